"""The unit that is true of a score and of its parts: a sum of unlike things is points, and the unit stays on the parts."""

from collections.abc import Mapping
from fractions import Fraction

from app.rules.values.units import KG_IN, MM_IN
from app.rules.workout.formats import Format, Part, ScoreRule
from app.rules.workout.tasks import CountTask, LiftTask, ListTask

POINTS = "points"
SAME_SCALE: Mapping[str, Fraction] = {**KG_IN, **MM_IN}


def alike(unit: str, other: str) -> bool:
    """Whether two units measure the same, so that one can be turned into the other: two of loads, or two of lengths."""
    return unit == other or (unit in SAME_SCALE and other in SAME_SCALE and (unit in KG_IN) == (other in KG_IN))


def convert(value: Fraction, unit: str, into: str) -> Fraction:
    """`value` from one unit into another that is alike, exact; counts, seconds and points are taken as they are."""
    return value * SAME_SCALE[unit] / SAME_SCALE[into] if unit != into and alike(unit, into) else value


def added_in(format: Format, rule: ScoreRule, unit: str) -> str:
    """The unit in which what was made in `unit` is added up: the score's where they are alike; loads in the event's unit, so
    that one declared in pounds is worth no more points than the same in kilograms; anything else in its own."""
    if alike(unit, rule.unit):
        return rule.unit
    return format.unit if unit in KG_IN else unit


def part_unit(format: Format, rule: ScoreRule, part: Part) -> str:
    """The unit of what one part adds. A weight makes points of it, unless it makes the mean of what is taken."""
    units = {added_in(format, rule, _made_in(format, rule, part, index)) for index in format.window_indexes(part)}
    return units.pop() if len(units) == 1 and _keeps_unit(format, part) else POINTS


def score_unit(format: Format, rule: ScoreRule) -> str:
    """The unit of a score in an event and all its variants. What is added up must be of one kind, else it is points."""
    if rule.unit == POINTS:
        return POINTS
    done = (format, *(format.varied(variant.id) for variant in format.variants))
    units = {part_unit(one, rule, part) for one in done for part in rule.parts}
    return units.pop() if len(units) == 1 else POINTS


def _keeps_unit(format: Format, part: Part) -> bool:
    several = {"sum": len(format.window_indexes(part)) - part.drop, "member_best": format.members}
    return part.weight in (1, Fraction(1, max(1, several.get(part.take, 1))))


def _made_in(format: Format, rule: ScoreRule, part: Part, index: int) -> str:
    """The unit of what a part takes from one window."""
    task = format.tasks[format.windows[index].task or ""]
    if part.take == "time":
        return "s"
    if part.take == "heaviest" and isinstance(task, ListTask):
        return rule.unit  # a load, as the format is checked
    if isinstance(task, LiftTask):
        return task.bar.unit
    return "reps" if isinstance(task, CountTask | ListTask) else task.unit
