"""The cautions of an event: those of its movements, and those that hold for every hard effort.

Support only. The venue's emergency plan, local codes, the makers' instructions and licensed medical staff come first.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from app.rules.values.words import known, say
from app.rules.workout.equipment import needed_things
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.movement_library import COLLARS, PAD, ROPE
from app.rules.workout.movements import library, shown_name
from app.rules.workout.tasks import movements_of

LONG_S = 600  # from here on an event is long enough for heat to matter more than usual

STOP = "Any judge, athlete or helper may call stop on a lane at once. A stop is not argued with."
HEAT = "Water within reach, shade or moving air, and pauses. Stop on dizziness, chill, confusion or a headache."
# After NIOSH, rhabdomyolysis: muscle pain beyond what was expected, dark urine, weakness, also days later.
RHABDO = (
    "Muscle pain beyond what was expected, tea- or cola-coloured urine, or unusual weakness, even days later: to a doctor "
    "at once. It can be rhabdomyolysis."
)
CHEST = "Pain or pressure in the chest, or a collapse: stop, call the medic, send somebody for the AED."
LIFTS = "Collars on before every attempt; safety arms set; the space behind the lifter clear, no spare plates in it."
ROPES = "A rope's length between lanes; dry floor; nobody walks through a lane while ropes turn."
INVERTED = "Inverted work stops at once on neck pain, tingling or loss of control. A suspected neck injury is not moved."
NO_SPOTTERS_SAID = "How many spotters stand at the bar has not been said: agree on it first."
AISLES = "Aisles and doors stay clear, so that a runner and a stretcher get through."


@dataclass(frozen=True, slots=True)
class Caution:
    """Cautions that belong together."""

    about: str
    lines: tuple[str, ...]


def cautions(format: Format) -> tuple[Caution, ...]:
    """What to say before the event: movement by movement, then what holds for everybody."""
    used = {key for task in format.tasks.values() for key in movements_of(task)}
    movements = [format.movements[key] for key in format.movements if key in used]
    told = [Caution(shown_name(movement.name), movement.cautions) for movement in movements if movement.cautions]
    return (*told, Caution(say("For everybody"), tuple(_general(format, used))))


def _crew(format: Format) -> Iterator[str]:
    """Who must be at the bar before a lift begins: of several lifts the most that one asks for. Of a single repetition from a
    rack it is told that nobody has said how many spotters there are."""
    lifts = [task for task in format.tasks.values() if isinstance(task, LiftTask)]
    spotters = max((task.spotters or 0 for task in lifts), default=0)
    loaders = max((task.loaders or 0 for task in lifts), default=0)
    told = [say("crew.spotters", n=spotters)] * bool(spotters) + [say("crew.loaders", n=loaders)] * bool(loaders)
    if not spotters and any(task.rack and not task.times_reps for task in lifts):
        told.insert(0, say(NO_SPOTTERS_SAID))
    if told:
        yield say("{these} They are counted before every attempt; nobody lifts while one is missing.", these=" ".join(told))


def _general(format: Format, used: set[str]) -> Iterator[str]:
    needed = {thing for key in used for thing in needed_things(key, format.movements[key])}
    yield STOP
    lifted = any(isinstance(task, LiftTask) for task in format.tasks.values())
    if lifted or any(library().cautions[COLLARS] in format.movements[key].cautions for key in used):
        yield LIFTS
        yield from _crew(format)
    if ROPE in needed:
        yield ROPES
    if PAD in needed:
        yield INVERTED
    yield CHEST
    yield HEAT if format.length_ms < LONG_S * 1000 else say("This event is long. {heat}", heat=known(HEAT))
    yield RHABDO
    yield AISLES
