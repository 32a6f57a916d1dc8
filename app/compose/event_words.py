"""The words of the event form: what can be chosen, by the value that is stored."""

from typing import get_args

from app.rules.workout.formats import ScoreUnit
from app.rules.workout.tie_steps import TIE_STEPS

UNITS = {"kg": "kg", "lb": "lb"}
SCORE_UNITS = {unit: unit for unit in get_args(ScoreUnit)}
BETTER = {"more": "more is better", "less": "less is better"}
ROUNDINGS = {"none": "not rounded", "down": "rounded down", "nearest": "rounded to the nearest"}
TAKES = {
    "sum": "the sum of",
    "best": "the best of",
    "worst": "the worst of",
    "last": "the last of",
    "member_best": "each member's best, added up, of",
    "time": "the finish time of",
    "heaviest": "the heaviest load done of",
}
TIES = {key: kind.choice for key, kind in TIE_STEPS.items()}
RANKED = {"with": "with the others", "after": "after all who do it as written", "apart": "in a standing of its own"}
SCORE_NAMES = {
    "reps": "repetitions",
    "kg": "kilograms",
    "lb": "pounds",
    "cal": "calories",
    "kJ": "kilojoules",
    "W": "watts",
    "m": "metres",
    "cm": "centimetres",
    "km": "kilometres",
    "ft": "feet",
    "in": "inches",
    "mi": "miles",
}
