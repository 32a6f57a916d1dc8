"""A sheet at rest as bytes: its packed marks, what is told of it without them, and the tally that counts with what that rests on.

A tally is taken from there only where the same rules would make it of the same marks under the same format, by the same clock.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import msgspec

from app import rules
from app.live.packed import Reps, without_marks
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import Tally
from app.rules.records.marks import Mark, parse_received, received_plain
from app.rules.workout.formats import Format


@dataclass(frozen=True, slots=True)
class AtRest:
    """What is kept of a sheet. came_from: how many of its marks came from each seat. last: the mark with the highest id, as a
    store gives them out. rests_on, tally: see above, empty where none is kept."""

    packed: bytes
    came_from: Mapping[str, int]
    last: Mark
    rests_on: bytes = b""
    tally: bytes = b""

    def plain(self) -> bytes:
        """As bytes."""
        return msgspec.msgpack.encode((self.packed, self.came_from, received_plain(self.last), self.rests_on, self.tally))

    @classmethod
    def read(cls, content: bytes) -> "AtRest":
        """The same from its bytes."""
        packed, came_from, last, rests_on, tally = msgspec.msgpack.decode(content)
        return cls(packed, came_from, parse_received(last), rests_on, tally)


def grounds_of(format: Format, clock: SheetClock) -> bytes:
    """A digest of all that a tally rests on beside its marks; empty where that can't be told in short."""
    if clock.counting:
        return b""
    held = clock.held.sign_off if clock.held else None
    said = (clock.holds, clock.shift_ms, clock.ruled, held, clock.given)
    return hashlib.sha256(_rules() + format.model_dump_json().encode() + repr(said).encode()).digest()


def tally_bytes(tally: Tally) -> bytes:
    """A tally without its marks; empty for one that would not be read back as it is."""
    slim = without_marks(tally)
    told = msgspec.msgpack.encode(slim, enc_hook=_told)
    return told if tally_of(told) == slim else b""


def tally_of(told: bytes) -> Tally:
    """A tally from its bytes."""
    tally = msgspec.msgpack.decode(told, type=Tally, dec_hook=_meant)
    return replace(tally, windows=tuple(replace(one, reps=Reps(one.reps) if one.reps else ()) for one in tally.windows))


def _told(value: Any) -> Any:
    return str(value) if isinstance(value, Fraction) else list(value)


def _meant(kind: type, said: Any) -> Any:
    return kind(said)


@cache
def _rules() -> bytes:
    """A digest of the rule book's own text: another version of it may count otherwise."""
    seen = hashlib.sha256()
    root = Path(rules.__path__[0])
    for file in sorted(root.rglob("*.py")):
        seen.update(file.relative_to(root).as_posix().encode() + file.read_bytes())
    return seen.digest()
