"""How a wall line is measured, step by step: a protocol of our own, common practice, no source. Its measures are the event's.

A step is a sentence of the catalogue with its holes, so that a tablet can be handed it in the language of its judge.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from app.rules.values.lengths import Length, tape_text
from app.rules.values.shapes import Base
from app.rules.values.words import Told

MOST_READINGS = 5


class Measuring(Base):
    """What an event says of it. `shoes`: on or off. `faces`: the wall, or the room with the back to it. `readings`: how often it
    is measured; of those that agree the lower or the higher `counts`. `edge`: which edge of the tape is the line. `second`:
    whether another person reads the tape and signs."""

    shoes: Literal["on", "off"] = "on"
    faces: Literal["wall", "room"] = "wall"
    readings: int = Field(default=2, ge=1, le=MOST_READINGS)
    counts: Literal["lower", "higher"] = "lower"
    edge: Literal["upper", "lower"] = "lower"
    second: bool = True


# By field, what its choices are called where an event's organiser chooses.
CHOICES: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "shoes": ("Shoes", {"on": "on, as in the event", "off": "off"}),
    "faces": ("The athlete stands", {"wall": "facing the wall, toes against it", "room": "with back and heels against it"}),
    "counts": ("Of readings that agree", {"lower": "the lower counts", "higher": "the higher counts"}),
    "edge": ("The line is the tape's", {"lower": "lower edge", "upper": "upper edge"}),
}
SHOES = {"on": "Shoes on, as in the event.", "off": "Shoes off."}
STANDS = {
    "wall": "Stand facing the wall, toes against it, heels on the floor.",
    "room": "Stand with your back and heels against the wall.",
}
ARMS = "Both arms straight up, shoulder width apart, hands on the wall. Look straight ahead."
MARK = "Mark the wall at the crease of the wrists; if one is lower, at that one."
TAPE = "Hold the tape upright on the wall and measure from the floor to the mark."
AGAIN = "Step away and measure again until there are {readings} readings."
APART = "If two differ by more than {off}, go on until two agree."
COUNTS = {"lower": "Of those that agree, the lower counts.", "higher": "Of those that agree, the higher counts."}
DROP = {
    "lower": "The line is {drop} under that. Tape it level: its lower edge is the line.",
    "upper": "The line is {drop} under that. Tape it level: its upper edge is the line.",
}
SECOND = "A second person reads the tape too and signs the sheet."
EVERY_STEP = (*SHOES.values(), *STANDS.values(), ARMS, MARK, TAPE, AGAIN, APART, *COUNTS.values(), *DROP.values(), SECOND)


@dataclass(frozen=True, slots=True)
class Protocol:
    """An event's protocol: its steps in order, and what its drawing shows: which way the athlete faces, the drop in words, empty
    while nobody has said it."""

    steps: tuple[Told, ...]
    faces: Literal["wall", "room"]
    drop: str


def protocol(how: Measuring, unit: Literal["in", "cm"], drop: Length | None, tolerance: Length | None) -> Protocol:
    """How the wall line of an event is measured; `unit` is its tape's. What nobody has said yet has no step."""
    said = "" if drop is None else tape_text(drop.mm, unit)
    return Protocol(tuple(_steps(how, said, "" if tolerance is None else tape_text(tolerance.mm, unit))), how.faces, said)


def _steps(how: Measuring, drop: str, off: str) -> Iterator[Told]:
    yield from (Told(SHOES[how.shoes]), Told(STANDS[how.faces]), Told(ARMS), Told(MARK), Told(TAPE))
    if how.readings > 1:
        yield Told(AGAIN, {"readings": str(how.readings)})
        if off:
            yield Told(APART, {"off": off})
        yield Told(COUNTS[how.counts])
    if drop:
        yield Told(DROP[how.edge], {"drop": drop})
    if how.second:
        yield Told(SECOND)
