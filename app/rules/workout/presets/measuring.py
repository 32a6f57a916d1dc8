"""The preset of a measured number: a distance, calories, a time held."""

from app.rules.workout.formats import Format, MeasureTask, Part, ScoreRule
from app.rules.workout.presets.building import Turn, count_knob, movement_knob, one_after_another, rest_knob, window_knob
from app.rules.workout.presets.knobs import Knob, Preset, Turned, preset

UNITS = {
    "m": "Metres",
    "cm": "Centimetres",
    "km": "Kilometres",
    "ft": "Feet",
    "in": "Inches",
    "mi": "Miles",
    "cal": "Calories",
    "kJ": "Kilojoules",
    "s": "Seconds",
    "W": "Watts",
    "points": "Points",
}
BETTER = {"more": "More is better", "less": "Less is better"}
KEEPS = {"last": "The last one", "best": "The highest", "least": "The lowest", "sum": "All added up"}
TRIALS = {"best": "The best window", "total": "All windows added up", "lowest": "The worst window"}


def _measured(turned: Turned) -> Format:
    unit, better, trials = turned.choice("measure"), turned.choice("better"), turned.choice("score")
    low, high, step = turned.number("low"), turned.number("high"), turned.number("step")
    if step <= 0:
        turned.refuse("step", "is more than zero")
    if high < low:
        turned.refuse("high", "is not below the lowest value")
    task = MeasureTask.model_validate(
        {
            "movement": turned.movement("movement"),
            "unit": unit,
            "step": step,
            "low": low,
            "high": high,
            "keep": turned.choice("keep"),
        }
    )
    windows = [Turn("measure", turned.seconds("window"), turned.seconds("rest"))] * turned.count("windows")
    part = {"best": Part(take="best", tasks=("measure",)), "lowest": Part(take="worst", tasks=("measure",))}
    return Format(
        movements=turned.movements,
        tasks={"measure": task},
        windows=one_after_another(windows, "windows"),
        scores=(
            ScoreRule.model_validate(
                {
                    "name": UNITS[unit],
                    "unit": unit,
                    "better": better,
                    "parts": (part.get(trials, Part(take="sum", tasks=("measure",))),),
                }
            ),
        ),
    )


MEASURING: tuple[Preset, ...] = (
    preset(
        "measured",
        "A measured number",
        "A distance, calories or a time held, read by the judge; in one window or in several.",
        (
            movement_knob("Ski erg"),
            Knob("measure", "Measured in", "choice", "m", choices=UNITS),
            Knob("step", "The smallest step", "number", "1", help="Anything between two steps is cut off."),
            Knob("low", "The lowest possible value", "number", "0", help="A value outside is flagged and does not count."),
            Knob("high", "The highest possible value", "number", "10000"),
            Knob("keep", "Which value in a window counts", "choice", "last", choices=KEEPS),
            Knob("better", "The score", "choice", "more", choices=BETTER),
            window_knob("4:00"),
            count_knob("windows", "Windows", "1", 1, 50),
            rest_knob("1:30"),
            Knob("score", "Which window counts", "choice", "best", choices=TRIALS),
        ),
        _measured,
    ),
)
