"""The way in for a tablet that can't send: the file of marks that it saved. The same door and the same rights as its sending."""

import asyncio
import json
from dataclasses import dataclass

from app.floor.judging import record_marks
from app.hall.devices import Who, look_at_refused
from app.hall.hall import Hall
from app.rules.records.marks import MOST_MARKS, BadMark, parse_mark, sheet_key
from app.rules.values.texts import cleaned, is_seen
from app.rules.values.units import shown
from app.rules.values.words import say

KIND, VERSION = "lane-ledger-marks", 1
MOST_BYTES = 16 * 1024 * 1024
MOST_NAME = 60
SHOWN = 5  # refusals that are written out


class BadTabletFile(ValueError):
    """Raised when a file is not one that a tablet saved; its text is the sentence to show. Nothing of it was stored."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What came of a tablet's file: marks that are new here, marks that were here already, why others were refused; `late`: how
    many of the new ones are of events that are signed off."""

    new: int
    known: int
    refused: tuple[str, ...]
    tablet: str
    late: int = 0

    def sentence(self) -> str:
        """The same for the desk."""
        said = f"{say('marks', n=self.new)} taken from {self.tablet}; {self.known} were here already."
        if self.late:
            said = f"{said} {say('tablet_file.late', n=self.late)}"
        if not self.refused:
            return said
        more = "" if len(self.refused) <= SHOWN else f" And {len(self.refused) - SHOWN} more."
        return f"{said} {say('marks', n=len(self.refused))} refused: {' '.join(sorted(set(self.refused))[:SHOWN])}{more}"


async def take_tablet_file(hall: Hall, who: Who, data: bytes) -> Taken:
    """Stores the marks of a file that a tablet saved; they merge with what is here. Raises BadTabletFile, StoreFull."""
    raw = await asyncio.to_thread(_read, data)  # a large one takes seconds, in which the lanes are answered
    sheets = await asyncio.to_thread(_sheets, raw["marks"])
    known = {mark.id for sheet in sheets for mark in hall.projection.sheet_marks(sheet)}
    ids = {key for one in raw["marks"] if isinstance(one, dict) and isinstance(key := one.get("id"), str)}
    refused: list[str] = []
    for start in range(0, len(raw["marks"]), MOST_MARKS):
        receipt = await record_marks(hall, who, raw["marks"][start : start + MOST_MARKS])
        refused += [one.sentence for one in receipt.refused]
    look_at_refused(hall)
    already = sum(1 for mark in ids if mark in known)
    stored = {mark.id for sheet in sheets for mark in hall.projection.sheet_marks(sheet)}
    late = {mark.id for lane in {sheet_key(sheet).assignment for sheet in sheets} for mark in hall.projection.came_late(lane)}
    return Taken(len(stored - known), already, tuple(refused), _called(raw.get("tablet")), len(late & (stored - known)))


def _read(data: bytes) -> dict[str, list[object]]:
    if len(data) > MOST_BYTES:
        raise BadTabletFile(f"The file is larger than {MOST_BYTES // 1024 // 1024} MB. Tablets never save one that large.")
    try:
        read = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        raise BadTabletFile("That is not a file that a tablet saved: it is not JSON.") from None
    if not isinstance(read, dict) or read.get("file") != KIND or not isinstance(read.get("marks"), list):
        raise BadTabletFile(f'The file is not one that a tablet saved: at the top it says "file": "{KIND}".')
    if read.get("version") != VERSION:
        raise BadTabletFile("The file was saved by another version of Lane Ledger, and this one can't read it.")
    return read


def _called(said: object) -> str:
    """The tablet's own name, as far as it can be shown."""
    name = cleaned(said[:MOST_NAME]) if isinstance(said, str) else ""
    return shown(name, MOST_NAME) if is_seen(name) else "a tablet"


def _sheets(marks: list[object]) -> set[str]:
    """The sheets that the readable ones of these marks stand on."""
    found = set()
    for raw in marks:
        try:
            found.add(parse_mark(raw).sheet)
        except BadMark:  # told by record_marks
            continue
    return found
