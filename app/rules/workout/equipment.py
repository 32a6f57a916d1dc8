"""What stands on a lane and in the hall for an event, from its format: bars, boxes, ropes, machines, times the lanes.

Which movement needs what stands with it in the library; a movement that the library does not know is named, so that a person
decides.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from app.rules.values.words import decimal, known, say
from app.rules.workout.formats import Format, LiftTask, Window
from app.rules.workout.movement_library import BAR
from app.rules.workout.movements import library, lookup
from app.rules.workout.tasks import Movement, movements_of

EACH_LANE = ("Tablet, charged; or a clipboard with its scoresheet and two pencils",)
FOR_THE_HALL = (
    "Clock that all lanes see, and a whistle",
    "Water, towels and a mop",
    "Chalk",
    "A spare of everything that can break",
)


@dataclass(frozen=True, slots=True)
class Thing:
    """Something that is needed: how many on a lane and how many in all."""

    name: str
    each: int
    total: int


@dataclass(frozen=True, slots=True)
class Equipment:
    """What an event needs. `unknown`: movements that the library does not know; somebody has to say what they need."""

    lanes: int
    things: tuple[Thing, ...]
    hall: tuple[str, ...]
    unknown: tuple[str, ...]


def library_key(key: str, movement: Movement) -> str | None:
    """The movement of the library that a format's movement is: by its name, else the one that it began as. None for one of its
    own. Formats from before it was said tell what they began as by the key."""
    known, begun = library(), movement.library or key
    return lookup(movement.name).key or (begun if begun in known.described else known.formerly.get(begun))


def needed_things(key: str, movement: Movement) -> tuple[str, ...]:
    """The keys of the things that a format's movement needs; none for one that the library does not know."""
    known = library_key(key, movement)
    return library().described[known].needs if known else ()


def equipment(format: Format, lanes: int) -> Equipment:
    """What an event needs on so many lanes.

    People who work at the same time need one each; those who take turns or share as they like use the same.
    """
    most: dict[str, int] = {}
    for window in format.windows:
        if window.task is not None:
            for name in dict.fromkeys(_names(format, window)):
                most[name] = max(most.get(name, 0), _at_once(format, window))
    things = [Thing(name, each, each * lanes) for name, each in most.items()]
    things += [Thing(name, 1, lanes) for name in EACH_LANE]
    used = {key for task in format.tasks.values() for key in movements_of(task)}
    unknown = [format.movements[key].name for key in sorted(used) if library_key(key, format.movements[key]) is None]
    return Equipment(lanes, tuple(things), FOR_THE_HALL, tuple(unknown))


def _at_once(format: Format, window: Window) -> int:
    if isinstance(format.tasks[window.task or ""], LiftTask) or window.who == "any":
        return 1
    return format.members if window.who == "all" else len(window.who)


def _names(format: Format, window: Window) -> Iterator[str]:
    task = format.tasks[window.task or ""]
    for key in sorted(movements_of(task)):
        for thing in needed_things(key, format.movements[key]):
            name = known(library().things[thing])
            yield f"{name}, {decimal(task.bar.text())}" if isinstance(task, LiftTask) and thing == BAR else name
    if isinstance(task, LiftTask):
        yield say("Set of plates, pairs down to {load}", load=decimal(task.least_plate.text()))
