"""The marks as they lie on their sheets, and what can be told of them without counting."""

import threading
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import islice

from app.live.at_rest import AtRest
from app.live.doubled import Doubled
from app.live.packed import Ids, bodies_in, moments_in, unpack, without_marks
from app.live.records import Records
from app.live.sheets import Sheet, Sheets
from app.rules.count.sheet_clock import PLAIN, SheetClock, SheetClocks
from app.rules.records.marks import Mark
from app.rules.records.seats import Seat
from app.store.kept.sheets import KeptSheet

AT_A_TIME = 100_000  # more than a day's marks; sheets on which none of so many is are packed while a store is read


def some_at_a_time(marks: Iterable[Mark]) -> Iterator[list[Mark]]:
    """Marks in the order given, as many in one step as may be in memory unpacked."""
    each = iter(marks)
    while some := list(islice(each, AT_A_TIME)):
        yield some


class HeldMarks(Records):
    """All marks, by sheet and by id; thread-safe."""

    def __init__(self) -> None:
        super().__init__()
        self._lock = threading.RLock()
        self._begin_marks()
        self._clocks: SheetClocks | None = None
        self._late: dict[str, tuple[Mark, ...]] = {}  # what came to an assignment after its event was signed off

    def _begin_marks(self) -> None:
        self._sheets, self._packed_ids = Sheets(), Ids()
        self.doubled = Doubled(self._of_packed)

    def _of_packed(self, mark_id: str) -> Mark | None:
        """The mark of an id that was on a sheet when it was packed."""
        for number in self._packed_ids.under(mark_id):
            found = self._sheets.numbered(number).marks.get(mark_id)
            if found is not None:
                return found
        return None

    def _put(self, mark: Mark) -> Sheet | None:
        """Puts a mark on its sheet; None if it is there already."""
        sheet = self._sheets.open(mark.sheet)
        if sheet.packed and sheet.marks.get(mark.id) == mark:
            return None
        return sheet if self.doubled.put(sheet.open(), mark) else None

    def _take_kept(self, kept: Iterable[KeptSheet]) -> dict[str, AtRest]:
        """Takes sheets that come packed, before any mark; returns those that do. One whose numbers another has too is put mark by
        mark, for those are looked through together."""
        found: dict[str, AtRest] = {}
        for one in sorted(kept, key=lambda one: one.numbers[:1]):
            rest, sheet = AtRest.read(one.content), self._sheets.open(one.sheet)
            if not self.doubled.take_packed(one.numbers):
                self.apply(unpack(one.sheet, rest.packed).values())
                continue
            sheet.take(rest.packed, one.marks, rest.came_from, rest.last)
            self._packed_ids.put_new(rest.packed, sheet.number)
            found[one.sheet] = rest
        return found

    def apply(self, marks: Iterable[Mark]) -> None:
        """Takes marks, in any order, with or without duplicates."""
        raise NotImplementedError

    def _shares(self, sheet: Sheet) -> bool:
        """Whether a mark of a sheet shares its number or its id with another: then it is not packed."""
        return any(map(self.doubled.has, sheet.held.values()))

    def _pack_but(self, keys: Collection[str]) -> None:
        """Packs all sheets but some."""
        still = [sheet for key, sheet in self._sheets.items() if not sheet.packed and key not in keys]
        self._pack(sheet for sheet in still if not self._shares(sheet))

    def _pack(self, sheets: Iterable[Sheet]) -> None:
        """Packs sheets, their tallies too."""
        for sheet in sheets:
            for mark_id in sheet.held:
                self._packed_ids.put(mark_id, sheet.number)
                self.doubled.let_go(mark_id)
            self._sheets.pack(sheet)
            sheet.tally = sheet.tally and without_marks(sheet.tally)

    def resting(self, assignment_id: str) -> list[Sheet]:
        """The sheets of an assignment that are at rest, but those that the store keeps as they are."""
        with self._lock:
            return [one for one in self._sheets.of(assignment_id) if one.at_rest and one.kept_as is not one.as_of]

    @property
    def many(self) -> int:
        """How many marks there are."""
        return sum(map(len, self._sheets.values()))

    def has_marks(self, sheet: str) -> bool:
        """Whether anything was ever marked on a sheet."""
        return sheet in self._sheets

    def as_of(self, sheet: str) -> object:
        """The very same thing while a sheet says the same, packed or not; None while it holds no marks."""
        held = self._sheets.get(sheet)
        return held.as_of if held else None

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
            if held.packed:
                return sorted(held.marks.values(), key=lambda mark: mark.order)
            if held.ordered is None:
                held.ordered = sorted(held.marks.values(), key=lambda mark: mark.order)
            return list(held.ordered)

    def sheet_moments(self, sheet: str) -> list[int]:
        """The times of the marks of a sheet as their tablets gave them, in ms on the heat clock, in order."""
        with self._lock:
            held = self._sheets.get(sheet)
            if held is None or not held.packed:
                return [mark.at for mark in self.sheet_marks(sheet)]
            return sorted(moments_in(held.packed))

    def marks_named(self, sheet: str, ids: Collection[str]) -> dict[str, Mark]:
        """Those marks of a sheet that have one of these ids, by id: of a packed sheet no others are made."""
        with self._lock:
            held = self._sheets.get(sheet)
            if held is None or not ids:
                return {}
            if held.packed:
                return unpack(sheet, held.packed, ids)
            return {key: held.held[key] for key in ids if key in held.held}

    def begun_by_hand(self, sheet: str) -> bool:
        """Whether a mark of a sheet was made by a clock that was started by hand."""
        with self._lock:
            held = self._sheets.get(sheet)
            if held is None:
                return False
            bodies = bodies_in(held.packed) if held.packed else (mark.body for mark in held.held.values())
            return any(body.get("hand") for body in bodies)

    def marks_on(self, assignment_id: str) -> int:
        """How many marks all sheets of an assignment hold."""
        return sum(len(sheet) for sheet in self._sheets.of(assignment_id))

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

    def counts(self, mark: Mark) -> bool:
        """Whether a mark is among those that its sheet is folded from: the one of its number, and signed if its event is."""
        return self._clocks is None or self._clocks.counts(mark)

    def is_signed(self, event_id: str) -> bool:
        """Whether an event is signed off."""
        return self._clocks is not None and self._clocks.is_signed(event_id)

    def came_late(self, assignment_id: str) -> tuple[Mark, ...]:
        """The marks of an assignment that its event's sign-off does not hold. One of a doubled number is told for itself."""
        with self._lock:
            if assignment_id not in self._late:
                marks = (mark for mark in self.assignment_marks(assignment_id) if not self.doubled.has(mark))
                self._late[assignment_id] = tuple(mark for mark in marks if not self.counts(mark))
            return self._late[assignment_id]

    def sheet_clock(self, sheet: str) -> SheetClock:
        """The clock that a sheet's marks are read by."""
        return self._clocks.of(sheet) if self._clocks else PLAIN
