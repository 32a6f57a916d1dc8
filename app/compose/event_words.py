"""The words of the event form: what can be chosen, by the value that is stored."""

from typing import get_args

from app.rules.workout.formats import MeasureTask, ScoreUnit
from app.rules.workout.tie_steps import TIE_STEPS

UNITS = {"kg": "kg", "lb": "lb"}
KINDS = {"count": "count repetitions", "lift": "lift a load", "list": "finish a list of work", "measure": "measure a number"}
KEEPS = {"last": "the last", "best": "the greatest", "least": "the least", "sum": "their sum"}
COUNTS = {"finished": "finished before the bell", "begun": "begun before the bell"}
BARS = {"one": "one bar for all", "each": "a bar for each member"}
ORDERS = {"lanes": "each lane by itself", "lightest": "all lanes share a bar, the lightest first"}
JUDGES = {"1": "the lane's judge", "3": "three judges, two of three"}
MISLOADS = {
    "published": "good and heavier counts, good and lighter as the lifter chooses, else again",
    "keep": "what was really on it counts",
    "again": "the declared load is lifted again",
    "own": "as chosen below",
}
OUTCOMES = {"keep": "what was on it counts", "again": "lifted again", "choose": "the lifter chooses"}
MEASURES = {unit: unit for unit in get_args(MeasureTask.model_fields["unit"].annotation)}
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
