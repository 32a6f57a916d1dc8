"""How the movement library describes a movement: the movement itself, what else people call it, what is like it, and the faults
it has only as a lift for load."""

from dataclasses import dataclass

from app.rules.values.units import Load
from app.rules.workout.tasks import Fault, Movement


@dataclass(frozen=True, slots=True)
class Described:
    """A movement of the library under its key.

    `called`: other names that people write for the same thing. `like`: movements that keep their own name, but whose standards,
    faults and cautions begin as this one's.
    """

    key: str
    movement: Movement
    called: tuple[str, ...] = ()
    like: tuple[str, ...] = ()
    lift_faults: tuple[Fault, ...] = ()


def fault(id: str, name: str, word: str) -> Fault:
    """A fault as a judge calls it: `No rep, depth.`"""
    return Fault(id=id, name=name, say=f"No rep, {word}.")


def kg(amount: int) -> Load:
    """A bound in kilograms."""
    return Load(str(amount), "kg")


# Bounds (`fastest_ms`, `heaviest`) are common sense, no source, unless a line says otherwise: well beyond what has been seen in
# public, so that what they flag is far more often a slip of the finger than a feat.

COLLARS = "Collars on before every attempt."
BAIL_OUT = "A clear space to bail out in, no spare plates in it."
SPOTTED = "Safety arms set or spotters ready; a clear space behind the lifter, no plates in it."
DROPPING = "Look behind before the bar is dropped; nobody walks through a lane."
BAR_CHECK = "The bar over the head is tried before the heat: dry, fixed, and it carries the heaviest."
LANDING = "A mat or clear floor below; step down when the grip goes."
TURNING = "Keep the line behind the lane clear; finishers walk out to the front."

TOUCHED = fault("touched", "Touched by a spotter", "touched")
DROPPED = fault("dropped", "Bar dropped", "dropped")
BELL = fault("bell", "After the bell", "time")
LOCKOUT = fault("lockout", "Arms not locked", "lock out")
STANDING = fault("standing", "Not stood up", "stand up")
DEPTH = fault("depth", "Not deep enough", "depth")
