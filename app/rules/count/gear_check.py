"""What a judge looks at before a heat of lifts: the list belongs to the movement, and what is usual stands in where it has none.

A check is a mark on the lane judge's sheet: what was looked at, in its own words, and who signs for it. It is support and no
more: it never holds a GO up.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.rules.records.marks import Mark
from app.rules.values.units import both_units
from app.rules.workout.formats import Format, LiftTask, Task
from app.rules.workout.tasks import Movement

# The usual list of a lift: common practice, no source.
BAR_LINE = "Bar: {load}"
COLLARS_LINE = "Collars on both ends, {load} together"
COLLARS = "Collars on both ends"
PLATES = "Plates seen and identified: size and unit"
RACK = "Rack: safeties set and pinned"
FLOOR = "Clear space behind the lifter, no spare plates in it"
USUAL = (BAR_LINE, COLLARS_LINE, COLLARS, PLATES, RACK, FLOOR)


@dataclass(frozen=True, slots=True)
class Checked:
    """Who signed for a lane's equipment, and what of the list was not looked at."""

    name: str
    missing: tuple[str, ...]


def equipment_list(format: Format) -> tuple[str, ...]:
    """What to look at before a heat, in the order in which it is used; each line once, empty where there is nothing to check."""
    lines: list[str] = []
    for window in format.windows:
        task = None if window.task is None else format.tasks[window.task]
        for movement in _movements(format, task):
            lines += movement.checks or (_usual(task) if isinstance(task, LiftTask) else ())
    return tuple(dict.fromkeys(lines))


def lines_with_holes(format: Format) -> dict[str, tuple[str, dict[str, str]]]:
    """The lines of ours that name a load, each as a key of the catalogue and its holes: marks hold the line as it is written, a
    screen may say it in another language."""
    tasks = [task for task in format.tasks.values() if isinstance(task, LiftTask)]
    return {key.format_map(holes): (key, holes) for task in tasks for key, holes in _of_loads(task)}


def _movements(format: Format, task: Task | None) -> list[Movement]:
    if task is None:
        return []
    keys = [item.movement for item in task.items] if task.kind == "list" else [task.movement]
    return [format.movements[key] for key in keys]


def _usual(task: LiftTask) -> tuple[str, ...]:
    bar, *weighed = (key.format_map(holes) for key, holes in _of_loads(task))
    collars = weighed[0] if weighed else COLLARS
    return (bar, collars, PLATES, *((RACK,) if task.rack else ()), FLOOR)


def _of_loads(task: LiftTask) -> tuple[tuple[str, dict[str, str]], ...]:
    bar = (BAR_LINE, {"load": both_units(task.bar)})
    return (bar, (COLLARS_LINE, {"load": both_units(task.collars)})) if task.collars else (bar,)


def checked(wanted: Sequence[str], marks: Iterable[Mark], struck: Iterable[str]) -> Checked | None:
    """The newest check that stands among a lane's marks, or None. `wanted` is the list as it is now."""
    out = set(struck)
    checks = sorted((mark for mark in marks if mark.kind == "check" and mark.id not in out), key=lambda mark: mark.id)
    if not checks:
        return None
    newest = checks[-1].body  # ids are made in the order of time
    return Checked(newest["name"], tuple(line for line in wanted if line not in newest["items"]))
