"""What stands on a lane and in the hall for an event, from its format: bars, boxes, ropes, machines, times the lanes.

Which movement needs what is common practice, no source; a movement that the library does not know is named, so that a person
decides.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.rules.workout.formats import Format, LiftTask, Window
from app.rules.workout.movements import DESCRIBED, LIKE, NAMES, same_name
from app.rules.workout.tasks import Movement, movements_of

BAR, COLLARS, RACK = "Barbell", "Pair of collars", "Rack with safety arms"
OVERHEAD, MAT, ROPE, BOX = "Bar overhead, fixed and dry", "Mat", "Jump rope", "Box that stands fast"
PAD, TAPE = "Head pad, level with the hands", "Taped floor box and wall line"

NEEDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        **dict.fromkeys(("back_squat", "front_squat"), (BAR, COLLARS, RACK)),
        **dict.fromkeys(("overhead_squat", "squat_press", "deadlift", "clean", "snatch", "clean_and_jerk"), (BAR, COLLARS)),
        **dict.fromkeys(("overhead_press", "jerk", "bar_hold"), (BAR, COLLARS)),
        "bench_press": (BAR, COLLARS, "Bench and rack with safety arms"),
        "dumbbell_snatch": ("Dumbbell",),
        "kettlebell_swing": ("Kettlebell",),
        **dict.fromkeys(("double_skip", "single_skip"), (ROPE,)),
        "rope_climb": ("Climbing rope with a mark at the top", "Thick mat"),
        **dict.fromkeys(("pull_up", "chest_to_bar", "muscle_up", "toes_to_bar", "bar_hang"), (OVERHEAD, MAT)),
        "inverted_press": (PAD, TAPE),
        "handstand_hold": (PAD,),
        "dip": ("Dip bars or rings, fixed and dry",),
        **dict.fromkeys(("sit_up", "plank_hold"), (MAT,)),
        **dict.fromkeys(("box_jump", "step_up"), (BOX,)),
        "row": ("Rowing machine",),
        "bike": ("Bike",),
        "ski": ("Ski machine",),
        "wall_throw": ("Ball and a marked target",),
        "throw": ("Implement, sector lines, tape measure",),
        "broad_jump": ("Jump mat and tape measure",),
        "sled_push": ("Sled with plates secured",),
        "carry": ("Load to carry, and a marked course",),
        "run": ("Marked running course",),
        "swim": ("Swimming lane with a lifeguard",),
        **dict.fromkeys(("push_up", "air_squat", "lunge", "burpee"), ()),
    }
)
EACH_LANE = ("Tablet, charged; or a clipboard with its scoresheet and two pencils",)
FOR_THE_HALL = (
    "Clock that all lanes see, and a whistle",
    "Water, towels and a mop",
    "Chalk",
    "One spare of everything that can break",
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
    """The movement of the library that a format's movement is, or is like; None for one of its own."""
    plain = same_name(movement.name)
    return NAMES.get(plain) or LIKE.get(plain) or (key if key in DESCRIBED else None)


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
        known = library_key(key, format.movements[key])
        for name in NEEDS.get(known or "", ()):
            lifted = isinstance(task, LiftTask)
            yield f"{name}, {task.bar.text()}" if lifted and name == BAR else name  # type: ignore[union-attr]
    if isinstance(task, LiftTask):
        yield f"Set of plates, pairs down to {task.least_plate.text()}"
