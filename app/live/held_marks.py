"""The marks as they lie on their sheets, and what can be told of them without counting."""

import threading
from collections.abc import Sequence

from app.live.doubled import Doubled
from app.live.sheets import Sheets
from app.rules.records.marks import Mark
from app.rules.records.seats import Seat


class HeldMarks:
    """All marks, by sheet and by id; thread-safe."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._sheets = Sheets()
        self.doubled = Doubled()

    def has_marks(self, sheet: str) -> bool:
        """Whether anything was ever marked on a sheet."""
        return sheet in self._sheets

    def as_stored(self, mark: Mark) -> Mark:
        """A mark as it is held here, with its receipt; itself if it is not."""
        held = self._sheets.get(mark.sheet)
        found = mark if held is None else held.marks.get(mark.id, mark)
        return found if found == mark else mark

    def sheet_marks(self, sheet: str) -> list[Mark]:
        """The marks of one sheet in their order on the heat clock."""
        with self._lock:
            held = self._sheets.get(sheet)
            if held is None:
                return []
            if held.ordered is None:
                held.ordered = sorted(held.marks.values(), key=lambda mark: mark.order)
            return list(held.ordered)

    def marks_on(self, assignment_id: str) -> int:
        """How many marks all sheets of an assignment hold."""
        return sum(len(sheet.marks) for sheet in self._sheets.of(assignment_id))

    def assignment_marks(self, assignment_id: str) -> list[Mark]:
        """The marks of all sheets of an assignment: every run, every kind of sheet."""
        with self._lock:
            return [mark for sheet in self._sheets.of(assignment_id) for mark in sheet.marks.values()]

    def named(self, mark_id: str) -> Sequence[Mark]:
        """The marks of this id, the first to come first: one, or none; several only where an id was used twice."""
        with self._lock:
            return self.doubled.named(mark_id)

    def came_from(self, sheet: str, seat: Seat) -> int:
        """How many marks of a sheet came from a seat."""
        held = self._sheets.get(sheet)
        return held.came_from[seat] if held else 0
