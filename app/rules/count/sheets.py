"""Which sheets of a lane assignment count, and the tally that comes of them (rules/count/joined.py); which of the lane
assignments of an entry counts."""

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from app.rules.count.joined import joined_tally, windows_that_stand
from app.rules.count.lifting.verdicts import Verdict
from app.rules.count.lights import BESIDE, Refold, but_for_rulings, judge_together, judged_by_three
from app.rules.count.sheet_clock import SheetClock, SheetClocks
from app.rules.count.tally import Tally, fold
from app.rules.records.document import Run, counting_number
from app.rules.records.in_force import in_force, signed_off
from app.rules.records.kinds import OF_THE_BAR
from app.rules.records.marks import Mark, SheetKey, sheet_key
from app.rules.records.numbers import find_doubles
from app.rules.records.roster import Assignment, Event, Heat, Roster
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SHEET_KINDS, SheetKind, sheets_that
from app.rules.workout.formats import Format

# Sheets of somebody who judges the same work a second time. What was on the bar is no judgement: it is the lane's word.
JUDGED_AGAIN = frozenset(sheets_that("joined", "compared"))


def variant_key(event: Event, division: str, chosen: str = "") -> str:
    """Which variant an entry does: the one it chose, else its division's; empty, or a key that there is not, is as written."""
    return chosen or event.variants.get(division, "")


def format_for(event: Event, division: str, chosen: str = "") -> Format:
    """The format as an entry does it: in the variant it chose, else in its division's, else as written."""
    return event.format.varied(variant_key(event, division, chosen))


def formats_by_assignment(roster: Roster) -> dict[str, Format]:
    """The format that each lane assignment is judged under, by assignment id."""
    events = {event.id: event for event in roster.events}
    divisions = {entry.id: entry.division for entry in roster.entries}
    return {
        lane.id: format_for(events[heat.event], divisions[lane.entry], lane.variant)
        for heat in roster.heats
        for lane in heat.lanes
    }


def sheets_that_count(roster: Roster, runs: Sequence[Run]) -> dict[str, dict[SheetKind, str]]:
    """All sheets of the counting run of each lane assignment, by kind: those that its own tablets write on."""
    return {lane.id: sheets for heat in roster.heats for lane, sheets in _sheets(heat, runs)}


def ruled_sheets(roster: Roster, runs: Sequence[Run], rulings: Sequence[Ruling]) -> dict[str, dict[SheetKind, str]]:
    """The sheets that count for each lane assignment, by kind, as the rulings have it: which run, whose, or one judge's alone.

    A sheet that was moved to another entry counts there and nowhere else: the lane that it was made on has none, until one is
    moved to it. Common practice, no source.
    """
    found: dict[str, dict[SheetKind, str]] = {}
    for event in roster.events:
        ruled, signed = in_force(rulings, event.id), signed_off(rulings, event.id)
        held = signed.body["runs"] if signed else {}
        own_runs = {ruling.assignment: int(ruling.body["run"]) for ruling in ruled if ruling.kind == "run"}
        moved = _moved(ruled)
        alone = {lane: sheet for lane, sheet in _alone(ruled).items() if sheet_key(sheet).kind == "lane"}
        for heat in (heat for heat in roster.heats if heat.event == event.id):
            number = held.get(heat.id) or counting_number(runs, heat.id)
            for lane in heat.lanes:
                own = (lane.id, own_runs.get(lane.id, number))
                source = moved.get(lane.id, own)
                given_away = lane.id not in moved and own in moved.values()
                found[lane.id] = {} if given_away else _kinds(*source)
                if lane.id in alone:
                    found[lane.id] = {"lane": alone[lane.id]}
    return found


def _alone(rulings: Sequence[Ruling]) -> dict[str, str]:
    """The sheet that stands in no window in particular, by assignment: the newest ruling holds."""
    whole = [ruling for ruling in rulings if ruling.kind == "stand" and "windows" not in ruling.body]
    return {str(ruling.assignment): str(ruling.body["sheet"]) for ruling in whole}


def stand_rulings(roster: Roster, rulings: Sequence[Ruling]) -> dict[str, tuple[Ruling, ...]]:
    """The rulings in force that let a sheet stand, by lane assignment, in the order made."""
    found: dict[str, tuple[Ruling, ...]] = {}
    events = {lane.id: heat.event for heat in roster.heats for lane in heat.lanes}
    for event in roster.events:
        for ruling in in_force(rulings, event.id):
            if ruling.kind == "stand" and ruling.assignment and events.get(ruling.assignment) == event.id:
                found[ruling.assignment] = (*found.get(ruling.assignment, ()), ruling)
    return found


def _moved(rulings: Sequence[Ruling]) -> dict[str, tuple[str, int]]:
    """Whose sheets were moved to an assignment: assignment and run. One set of sheets is one entry's: the newest ruling holds."""
    moved: dict[str, tuple[str, int]] = {}
    for ruling in rulings:
        if ruling.kind == "move" and ruling.assignment is not None:
            key = sheet_key(ruling.body["sheet"])
            source = (key.assignment, key.run)
            moved = {to: what for to, what in moved.items() if what != source} | {ruling.assignment: source}
    return moved


def _kinds(assignment: str, run: int) -> dict[SheetKind, str]:
    return {kind: SheetKey(assignment, run, kind).text() for kind in SHEET_KINDS}


def counting_tallies(
    roster: Roster, runs: Sequence[Run], marks: Iterable[Mark], rulings: Sequence[Ruling] = ()
) -> dict[str, Tally]:
    """The tally of each lane assignment, read by its sheet's clock, its counters joined; those without a mark are left out."""
    by_sheet: dict[str, list[Mark]] = {}
    for mark in marks:
        by_sheet.setdefault(mark.sheet, []).append(mark)
    doubles = find_doubles(mark for those in by_sheet.values() for mark in those)
    formats, clocks = formats_by_assignment(roster), SheetClocks(roster, runs, rulings, doubles)
    standing = stand_rulings(roster, rulings)
    tallies = {}
    for assignment, sheets in ruled_sheets(roster, runs, rulings).items():
        marked = [(kind, key) for kind, key in sheets.items() if key in by_sheet]
        found = {kind: _read_tally(formats[assignment], by_sheet, clocks, assignment, key) for kind, key in marked}
        if sheets and sheet_key(sheets["lane"]).kind == "lane":
            own = {kind: by_sheet[key] for kind, key in marked}
            refold = refolding(formats[assignment], own, clocks.of(sheets["lane"], assignment))
            found = judged_sheets(formats[assignment], found, refold)
        tally_of = partial(_read_tally, formats[assignment], by_sheet, clocks, assignment)
        stands = windows_that_stand(formats[assignment], standing.get(assignment, ()), tally_of)
        joined = joined_tally(formats[assignment], found, stands)
        if joined is not None:
            tallies[assignment] = joined
    return tallies


def _read_tally(format: Format, by_sheet: Mapping[str, Sequence[Mark]], clocks: SheetClocks, assignment: str, key: str) -> Tally:
    return fold(format, _read(key, by_sheet), clocks.of(key, assignment))


def _read(key: str, by_sheet: Mapping[str, Sequence[Mark]]) -> list[Mark]:
    """The marks that one sheet is folded from, out of all there are."""
    return with_bar(sheet_key(key).kind, by_sheet.get(key, ()), by_sheet.get(lane_sheet(key), []))


def with_bar(kind: SheetKind, marks: Iterable[Mark], lane: Iterable[Mark]) -> list[Mark]:
    """The marks that a sheet is folded from. Somebody who judges again judges the bar that the lane's sheet says was there."""
    own = list(marks)
    if kind not in JUDGED_AGAIN:
        return own
    there = list(lane)
    bar = [mark for mark in there if mark.kind in OF_THE_BAR]
    named = {mark.id for mark in bar}
    taken_back = [mark for mark in there if mark.kind == "strike" and mark.body["mark"] in named]
    return [*own, *bar, *taken_back]


def lane_sheet(sheet: str) -> str:
    """The lane judge's sheet beside another of the same assignment and run."""
    key = sheet_key(sheet)
    return SheetKey(key.assignment, key.run, "lane").text()


def refolding(format: Format, marks: Mapping[SheetKind, Iterable[Mark]], clock: SheetClock) -> Refold:
    """Folds the lane's sheet again by the verdicts of three judges, with the tries that only the others decided."""

    def refold(verdicts: Mapping[str, Verdict], added: frozenset[str]) -> Tally:
        others = [mark for kind in BESIDE for mark in marks.get(kind, ()) if mark.id in added]
        return fold(format, [*marks.get("lane", ()), *others], clock, but_for_rulings(verdicts, clock.ruled))

    return refold


def judged_sheets(format: Format, by_kind: Mapping[SheetKind, Tally], refold: Refold) -> dict[SheetKind, Tally]:
    """The sheets of one assignment, the lane's folded again by what three judges together decided, where they do."""
    if "lane" not in by_kind or not judged_by_three(format):
        return dict(by_kind)
    judged = judge_together(format, by_kind)
    return {**by_kind, "lane": refold(judged.verdicts, judged.added)}


def _sheets(heat: Heat, runs: Sequence[Run]) -> Iterable[tuple[Assignment, dict[SheetKind, str]]]:
    number = counting_number(runs, heat.id)
    for lane in heat.lanes:
        yield lane, _kinds(lane.id, number)


def paper_sheet(sheet: str) -> str:
    """The sheet for what was read out or written down, beside a lane's own."""
    key = sheet_key(sheet)
    return SheetKey(key.assignment, key.run, "paper").text()


def lanes_of(roster: Roster, event_id: str) -> dict[str, list[str]]:
    """The lane assignments of each entry in an event, in the order of the heats."""
    lanes: dict[str, list[str]] = {}
    for heat in sorted((h for h in roster.heats if h.event == event_id), key=lambda h: h.number):
        for lane in heat.lanes:
            lanes.setdefault(lane.entry, []).append(lane.id)
    return lanes


def assigned(lanes: Sequence[str], tallies: Mapping[str, Tally]) -> str:
    """The assignment that counts for an entry without a ruling: the first on which it was judged, in the order of the heats;
    before that the last that was marked, else the last. A sheet with nothing on it, or all of it struck out, replaces nothing."""
    judged = [lane for lane in lanes if _worked(tallies, lane)]
    marked = [lane for lane in lanes if _marked(tallies, lane)]
    return judged[0] if judged else [*lanes, *marked][-1]


def twice(lanes: Sequence[str], tallies: Mapping[str, Tally]) -> tuple[str, ...]:
    """The assignments on which an entry was judged, where they are several: which of them counts is a person's decision."""
    judged = tuple(lane for lane in lanes if _worked(tallies, lane))
    return judged if len(judged) > 1 else ()


def _worked(tallies: Mapping[str, Tally], assignment: str) -> bool:
    tally = tallies.get(assignment)
    return tally is not None and tally.worked


def reruns(lanes: Mapping[str, str], rulings: Sequence[Ruling]) -> dict[str, str]:
    """Entry id to the assignment that counts by a ruling on a rerun; the newest holds. `lanes` are the event's, with who stands
    there."""
    counts = {}
    for ruling in (ruling for ruling in rulings if ruling.kind == "rerun"):
        lane = str(ruling.body["again"] if ruling.body["counts"] == "again" else ruling.assignment)
        if lanes.get(lane) == ruling.entry:
            counts[lanes[lane]] = lane
    return counts


def _marked(tallies: Mapping[str, Tally], assignment: str) -> bool:
    tally = tallies.get(assignment)
    return tally is not None and tally.any_marks
