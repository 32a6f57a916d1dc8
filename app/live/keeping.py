"""What of the sheets at rest the store is to keep, so that a start need not read their marks."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.live.at_rest import AtRest, grounds_of, tally_bytes
from app.live.projection import Projection
from app.live.sheets import Sheet
from app.rules.records.numbers import spans_of
from app.store.kept.sheets import KeptSheet


@dataclass(frozen=True, slots=True)
class ToKeep:
    """A sheet to be kept, the ids of its marks, and as of which state it is so."""

    kept: KeptSheet
    ids: tuple[str, ...]
    sheet: Sheet
    as_of: object

    def done(self) -> None:
        """Notes that it is kept as it was."""
        self.sheet.kept_as = self.as_of


def to_keep(projection: Projection, assignment: str) -> Iterator[ToKeep]:
    """The sheets of an assignment that are at rest and not kept as they are."""
    for sheet in projection.resting(assignment):
        as_of, marks = sheet.as_of, tuple(sheet.marks.values())
        if len({mark.id for mark in marks}) < len(marks):
            continue
        rests_on, tally = _counted(projection, assignment, sheet.key)
        rest = AtRest(sheet.packed, dict(sheet.came_from), max(marks, key=lambda mark: mark.id), rests_on, tally)
        kept = KeptSheet(sheet.key, len(marks), spans_of(marks), rest.plain())
        yield ToKeep(kept, tuple(mark.id for mark in marks), sheet, as_of)


def _counted(projection: Projection, assignment: str, key: str) -> tuple[bytes, bytes]:
    """The tally of a sheet that counts alone, and what it rests on; of what several sheets make together nothing is kept."""
    place, tally = projection.place_of(assignment), projection.counting_tally(assignment)
    if place is None or tally is None or not projection.counts_alone(assignment, key) or tally != projection.sheet_tally(key):
        return b"", b""
    rests_on, told = grounds_of(place.format, projection.sheet_clock(key)), tally_bytes(tally)
    return (rests_on, told) if rests_on and told else (b"", b"")
