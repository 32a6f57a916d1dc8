"""What a reviewer is given of a look, to be filled in and sealed: the film, the parts to count, the faults that the kit knows.

It holds no claim, no other look, no entry, division or gym, so that nothing in it tells what somebody hopes to be counted.
"""

from typing import Literal

from pydantic import Field

from app.rules.records.seal import Digest
from app.rules.round.records import MOST_REPS, Gear, Ms, Seen
from app.rules.round.rule import EventRule, FaultRule, PartRule, Rule
from app.rules.round.told import read_number
from app.rules.round.words import as_word
from app.rules.values.shapes import Base, Id, Key, Name

MOST_ADDRESS = 1000  # characters of a film's
NOT_SEEN = "Count each part of the event: {name} has no count. What is not to be credited has a count and a fault."


class PartSheet(Base):
    """A window or lift to be counted. asked: as the kit has it; count: as it is typed (told.py), None until it is. reps: the
    moments of repetitions that were counted one by one."""

    name: Name
    of: Literal["window", "lift"]
    asked: PartRule | None = None
    count: str | None = Field(default=None, max_length=40)
    faults: tuple[Key, ...] = Field(default=(), max_length=10)
    at_ms: Ms | None = None
    reps: tuple[Ms, ...] = Field(default=(), max_length=MOST_REPS)


class LookSheet(Base):
    """A look to be filled in. film_print: of the film, as it was handed in (tree.py); None where none was. known: the faults that
    may be said, each of what it is of. until: when it goes back (Unix milliseconds). word: as it is read in the film, empty where
    none is seen."""

    file: Literal["lane-ledger-look"] = "lane-ledger-look"
    version: Literal[1] = 1
    round: Id
    look: Id
    reviewer: Id
    event: Name
    film: str = Field(max_length=MOST_ADDRESS)
    film_print: Digest | None = None
    until: Ms
    known: tuple[FaultRule, ...]
    parts: tuple[PartSheet, ...]
    faults: tuple[Key, ...] = Field(default=(), max_length=10)
    word: str = Field(default="", max_length=100)
    gear: tuple[Gear, ...] = Field(default=(), max_length=200)


def blank_sheet(rule: Rule, event: EventRule, **given: object) -> LookSheet:
    """A sheet with nothing filled in. given: look, reviewer, film, film_print and until, as they are in it."""
    parts = tuple(PartSheet(name=one.name, of=one.of, asked=one) for one in event.parts)
    return LookSheet.model_validate({"round": rule.id, "event": event.name, "known": rule.faults, "parts": parts, **given})


def seen_in(sheet: LookSheet) -> dict[str, object]:
    """What a filled sheet says, as the fields of a sealed look. Raises ValueError with a sentence where a part has no count."""
    seen = []
    for part in sheet.parts:
        if part.count is None:
            raise ValueError(NOT_SEEN.format(name=part.name))
        value = read_number(part.asked or PartRule(name=part.name, of=part.of), part.count)
        seen.append(Seen(value=value, faults=part.faults, at_ms=part.at_ms, reps=part.reps))
    return {"look": sheet.look, "seen": tuple(seen), "faults": sheet.faults, "word": as_word(sheet.word), "gear": sheet.gear}
