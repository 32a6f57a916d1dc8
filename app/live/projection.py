"""The projection: marks as they come in, standings as they are asked for. It holds nothing that the ledger does not hold.

A mark makes its sheet stale and nothing else; the next question adds to the sheet what has come since, and ranks its event again.
So the marks between two looks at the board are taken together. They can be counted before in small pieces: see catching_up.py.
"""

from collections.abc import Iterable, Mapping, Sequence

from app.live.at_rest import AtRest, grounds_of, tally_of
from app.live.grounds import Grounds
from app.live.held_marks import HeldMarks, some_at_a_time
from app.live.packed import without_marks
from app.live.places import Place, assignment_of, counted_by, places_of, read_alike, readers_of, reads_others
from app.live.sheets import Sheet, UnknownSheet
from app.live.standings import Standings
from app.rules.count.joined import Stood, joined_tally, windows_that_stand
from app.rules.count.paper import standing_in
from app.rules.count.sheet_clock import SheetClocks
from app.rules.count.sheets import (
    JUDGED_AGAIN,
    judged_sheets,
    lane_sheet,
    paper_sheet,
    refolding,
    ruled_sheets,
    sheets_that_count,
    stand_rulings,
    with_bar,
)
from app.rules.count.tally import Folding, Tally, fold
from app.rules.records.document import Run
from app.rules.records.in_force import standing
from app.rules.records.marks import Mark, SheetKey, sheet_key
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SHEET_KINDS, SheetKind
from app.rules.result.overall_results import OverallTable
from app.rules.result.results import EventResults
from app.rules.result.scoring import Score, score
from app.rules.workout.formats import Format, ScoreRule
from app.store.kept.sheets import KeptSheet

__all__ = ["Place", "Projection", "UnknownSheet"]


class Projection(HeldMarks):
    """The competition as it stands. `version` grows whenever an answer may have changed; thread-safe."""

    def __init__(self) -> None:
        super().__init__()
        self._standings = Standings(self.counting_tally, self.score_of)
        self._counting: dict[str, dict[SheetKind, str]] = {}
        self._ruled: dict[str, dict[SheetKind, str]] = {}
        self._standing: dict[str, tuple[Ruling, ...]] = {}  # which sheets were ruled to stand, by assignment
        self.standing_rulings: tuple[Ruling, ...] = ()  # those that none took back, in the order made
        self._joined: dict[str, Tally | None] = {}  # what counts for an assignment, while none of its sheets changes
        self._scores: dict[tuple[str, str], tuple[Tally, Score]] = {}
        self._readers: dict[str, set[str]] = {}  # which assignments count by the sheets of one
        self.grounds = Grounds(self.place_of, self.run_of, self.is_signed)
        self.version = 0
        self.records = 0  # how often records were taken over

    def load(
        self,
        roster: Roster | None,
        runs: Sequence[Run],
        rulings: Sequence[Ruling],
        marks: Iterable[Mark],
        kept: Sequence[KeptSheet] = (),
    ) -> None:
        """Begins anew from the store's contents: sheets that were kept, and the marks of the others; `roster` is None before
        there is a competition."""
        with self._lock:
            self._begin_marks()
            at_rest = self._take_kept(kept)
            for some in some_at_a_time(marks):
                self.apply(some)
                self._pack_but({mark.sheet for mark in some})
            self.roster_changed(roster, runs, rulings)
            for key, rest in at_rest.items():
                self._take_tally(key, rest)

    def _take_tally(self, key: str, rest: AtRest) -> None:
        """Takes the tally of a sheet as it was kept, if it is what would be counted now."""
        held, place = self._sheets[key], self._places.get(assignment_of(key))
        if not held.packed or place is None or not rest.rests_on:
            return
        assignment = place.assignment.id
        if self.counts_alone(assignment, key) and rest.rests_on == grounds_of(place.format, self.sheet_clock(key)):
            held.tally = self._joined[assignment] = tally_of(rest.tally)
            held.kept_as = held.as_of

    def roster_changed(self, roster: Roster | None, runs: Sequence[Run], rulings: Sequence[Ruling]) -> None:
        """Takes the newest roster, runs and rulings. Counted anew is what they touch: sheets whose format or clock changed, and
        assignments for which another sheet counts. Of a changed roster every standing is made again."""
        with self._lock:
            same = roster is self._roster or roster == self._roster
            roster = self._roster if same else roster
            places = self._places if same else places_of(roster)
            clocks = SheetClocks(roster, runs, rulings, self.doubled.found) if roster else None
            same_count = read_alike((self._places, self._clocks), (places, clocks))
            touched, before = self._sheets.counted_anew(same_count), counted_by(self._ruled, self._standing)
            self._roster, self._runs, self._rulings, self._places, self._clocks = (
                roster,
                tuple(runs),
                tuple(rulings),
                places,
                clocks,
            )
            self.standing_rulings = standing(self._rulings)
            self._given = {(run.heat, run.number): run for run in self._runs}
            self._counting = sheets_that_count(roster, self._runs) if roster else {}
            self._ruled = ruled_sheets(roster, self._runs, self._rulings) if roster else {}
            self._standing = stand_rulings(roster, self._rulings) if roster else {}
            counted = counted_by(self._ruled, self._standing)
            touched |= {one for one, by in counted.items() if before.get(one) != by or reads_others(one, *by)}
            self._readers = readers_of(self._ruled)
            if not same:
                touched |= places.keys() | self._joined.keys() | self._late.keys()
                self._scores.clear()
            self._standings.begin(roster, self._places, self._rulings, self._runs)
            for assignment in touched:
                self._joined.pop(assignment, None)
                self._late.pop(assignment, None)
                self._standings.touch(assignment)
            self.grounds.clear()
            self.version, self.records = self.version + 1, self.records + 1

    def apply(self, marks: Iterable[Mark]) -> None:
        """Takes marks, in any order, with or without duplicates."""
        with self._lock:
            changed = doubled = False
            for mark in marks:
                sheet = self._put(mark)
                if sheet is None:
                    continue
                sheet.came(mark)
                changed = True
                doubled = doubled or self.doubled.has(mark)
                self._sheets.bar_changed(mark)
                assignment = assignment_of(mark.sheet)
                self._late.pop(assignment, None)
                for reader in (assignment, *self._readers.get(assignment, ())):
                    self._joined.pop(reader, None)
                    self._standings.touch(reader)
            if doubled:  # which of them counts is decided anew
                self.doubled.find(sheet.marks for sheet in self._sheets.values())
                self.roster_changed(self._roster, self._runs, self._rulings)
            if changed:
                self.version += 1

    def time_passed(self) -> None:
        """Time alone has changed an answer: what is made of it is made anew."""
        with self._lock:
            self.version += 1

    def pack(self, assignment_id: str) -> bool:
        """Packs the sheets of an assignment that nobody marks any more, and keeps what they came to; whether it did. Marks that
        share a number or an id stay as they are."""
        with self._lock:
            sheets = [sheet for sheet in self._sheets.of(assignment_id) if not sheet.at_rest]
            shared = any(map(self._shares, sheets))
            if shared or not sheets or assignment_id not in self._places:
                return not shared
            whole = {id(self.sheet_tally(sheet.key)): sheet for sheet in sheets}
            tally = self.counting_tally(assignment_id)
            self._pack(sheets)
            if tally is not None:
                own = whole.get(id(tally))
                self._packed_tally(assignment_id, tally, (own and own.tally) or without_marks(tally))
            return True

    def _packed_tally(self, assignment_id: str, before: Tally, packed: Tally) -> None:
        """Has an assignment's tally in the place of the same one with its marks; the scores that were made of it stay."""
        self._joined[assignment_id] = packed
        for rule in self._places[assignment_id].format.scores:
            if (held := self._scores.get((assignment_id, rule.id))) is not None and held[0] is before:
                self._scores[assignment_id, rule.id] = packed, held[1]
        self._standings.touch(assignment_id)

    def supposing(self, rulings: Sequence[Ruling]) -> "Projection":
        """The competition as it would stand under these rulings instead. It shares the marks; what it is told stays in it."""
        with self._lock:
            other = Projection()
            other._sheets, other._packed_ids, other.doubled = self._sheets.beside(), self._packed_ids, self.doubled
            other._roster, other._places, other._runs, other._clocks = self._roster, self._places, self._runs, self._clocks
            other._counting, other._ruled, other._standing = self._counting, self._ruled, self._standing
            other._readers, other._joined, other._scores = self._readers, dict(self._joined), dict(self._scores)
            other._standings = self._standings.beside(other.counting_tally, other.score_of)
            other.roster_changed(self._roster, self._runs, rulings)
            return other

    def event_results(self, event_id: str) -> EventResults:
        """The results of an event as they stand, each division ranked. Raises KeyError for an event that is not there."""
        with self._lock:
            return self._standings.of(event_id)

    def overall(self) -> tuple[OverallTable, ...]:
        """The overall standing of each division; none without a rule for it, or before there is a competition."""
        with self._lock:
            return self._standings.overall()

    def to_count(self) -> list[str]:
        """The lane assignments that have to be counted before all standings are known."""
        with self._lock:
            return self._standings.to_count()

    def count_a_little(self, assignment_id: str) -> bool:
        """Does a small piece of counting an assignment; whether there may be more to do. Who stops half-way has lost nothing."""
        with self._lock:
            place = self._places.get(assignment_id)
            for sheet in self.marked_sheets(assignment_id).values():
                held, own = self._sheets[sheet], self._places.get(assignment_of(sheet))
                if held.tally is None and own is not None:
                    folding = self._folding(sheet, own)
                    if next(folding.steps(), self) is self:
                        held.tally = folding.tally()
                    return True
            tally = self.counting_tally(assignment_id)
            if place is not None and tally is not None:
                for rule in place.format.scores:
                    self.score_of(assignment_id, place.format, rule, tally)
            if any(self._sheets[sheet].packed for sheet in self.marked_sheets(assignment_id).values()):
                self.pack(assignment_id)
            return False

    def counting_sheet(self, assignment_id: str) -> str | None:
        """The key of the lane sheet that counts for an assignment, or None if there is no such assignment."""
        sheets = self._counting.get(assignment_id)
        return sheets["lane"] if sheets else None

    def sheet_tally(self, sheet: str) -> Tally:
        """The tally of one sheet, empty if it holds no marks. Raises UnknownSheet."""
        with self._lock:
            held = self._sheets.get(sheet)
            if held is not None and held.tally is not None:
                return held.tally
            place = self._places.get(assignment_of(sheet))
            if place is None:
                raise UnknownSheet("That sheet belongs to no lane of this competition.")
            if held is None:
                return fold(place.format, (), self.sheet_clock(sheet))
            held.tally = self._folding(sheet, place).tally()
            return held.tally

    def _folding(self, sheet: str, place: Place) -> Folding:
        """What adds a sheet up that holds marks, with all that have come."""
        marks = self._folded(sheet, self._sheets[sheet])
        return self._sheets.folding(sheet, marks, lambda: Folding(place.format, self.sheet_clock(sheet)))

    def _folded(self, sheet: str, held: Sheet | None) -> Iterable[Mark]:
        """The marks that a sheet is folded from: its own, and what the lane's sheet says of the bar to one who judges again."""
        kind = sheet_key(sheet).kind
        own = held.marks.values() if held else ()
        if kind not in JUDGED_AGAIN:
            return own
        lane = self._sheets.get(lane_sheet(sheet))
        return with_bar(kind, own, lane.marks.values() if lane else ())

    def counting_tally(self, assignment_id: str) -> Tally | None:
        """The tally that counts for an assignment, several counters joined; None without a mark on its lane sheet."""
        with self._lock:
            place = self._places.get(assignment_id)
            if place is None:
                return None
            if assignment_id not in self._joined:
                stands = self.stands(assignment_id)
                self._joined[assignment_id] = joined_tally(place.format, self.counted_sheets(assignment_id), stands)
            return self._joined[assignment_id]

    def stands(self, assignment_id: str) -> Mapping[int, Stood]:
        """The windows of an assignment in which a ruling lets a sheet stand, by index."""
        with self._lock:
            place, ruled = self._places.get(assignment_id), self._standing.get(assignment_id, ())
            if place is None or not ruled:
                return {}
            return windows_that_stand(place.format, ruled, lambda key: self._tally_for(assignment_id, key))

    def score_of(self, assignment_id: str, format: Format, rule: ScoreRule, tally: Tally) -> Score:
        """The score of a tally of an assignment; made once for the board and for the standings."""
        with self._lock:
            held = self._scores.get((assignment_id, rule.id))
            if held is None or held[0] is not tally:
                held = self._scores[assignment_id, rule.id] = (tally, score(format, rule, tally, held))
            return held[1]

    def judged(self, place: Place, tally: Tally) -> bool:
        """Whether the results have a first score for a tally of an assignment; else it is not judged yet."""
        with self._lock:
            return self._standings.judged(place.event.id, place.format.scores[0], tally, place.assignment.id)

    def counted_sheets(self, assignment_id: str) -> dict[SheetKind, Tally]:
        """The tallies of the sheets that count for an assignment and hold marks, by kind; one of another lane read as its own,
        the lane's by what three judges together decided, where they do."""
        with self._lock:
            keys, place = self.marked_sheets(assignment_id), self._places.get(assignment_id)
            found = {kind: self._tally_for(assignment_id, key) for kind, key in keys.items()}
            if place is None or self._clocks is None or "lane" not in keys or sheet_key(keys["lane"]).kind != "lane":
                return found
            marks = {kind: self._sheets[key].marks.values() for kind, key in keys.items()}
            refold = refolding(place.format, marks, self._clocks.of(keys["lane"], assignment_id))
            return judged_sheets(place.format, found, refold)

    def _tally_for(self, assignment_id: str, key: str) -> Tally:
        """The tally of a sheet as it is joined with others: whole, also of one that is packed."""
        place, held = self._places.get(assignment_id), self._sheets.get(key)
        if held is not None and held.at_rest:
            held.count_again()
        if place is None or self._clocks is None or (held is not None and assignment_of(key) == assignment_id):
            return self.sheet_tally(key)
        return fold(place.format, self._folded(key, held), self._clocks.of(key, assignment_id))

    def marked_sheets(self, assignment_id: str) -> dict[SheetKind, str]:
        """The sheets that count for an assignment and hold marks, by kind, as the rulings have it."""
        with self._lock:
            counting = self._ruled.get(assignment_id, {})
            return {kind: key for kind, key in counting.items() if key in self._sheets}

    def counts_alone(self, assignment_id: str, key: str) -> bool:
        """Whether an assignment counts by its lane judge's sheet of this key, and by nothing else."""
        with self._lock:
            return self.marked_sheets(assignment_id) == {"lane": key} and not self._standing.get(assignment_id)

    def judged_run(self, assignment_id: str) -> int:
        """The run of an assignment's own sheets that is looked at: the one that counts, or was ruled to."""
        counting, ruled = self._counting.get(assignment_id, {}), self._ruled.get(assignment_id, {}).get("lane", "")
        own = ruled if assignment_of(ruled) == assignment_id else counting.get("lane", "")
        return sheet_key(own).run if own else 1

    def own_sheets(self, assignment_id: str) -> dict[SheetKind, str]:
        """All sheets of that run that hold marks, by kind, whatever was ruled since about which of them counts."""
        with self._lock:
            run = self.judged_run(assignment_id)
            keys = {kind: SheetKey(assignment_id, run, kind).text() for kind in SHEET_KINDS}
            return {kind: key for kind, key in keys.items() if key in self._sheets}

    def stand_ins(self, sheet: str) -> tuple[int, ...]:
        """The windows of a lane's sheet that count by what the paper sheet beside it says."""
        with self._lock:
            paper, place = paper_sheet(sheet), self._places.get(assignment_of(sheet))
            if place is None or paper not in self._sheets:
                return ()
            return tuple(standing_in(place.format, self.sheet_tally(sheet), self.sheet_tally(paper)))

    def last_mark(self, assignment_id: str) -> Mark | None:
        """The mark that arrived last on the sheet that counts, or None."""
        with self._lock:
            held = self._sheets.get(self.counting_sheet(assignment_id) or "")
            return held.last if held else None
