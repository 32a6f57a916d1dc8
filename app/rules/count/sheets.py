"""Which sheets of a lane assignment count, and how several counters' sheets become one tally."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from app.rules.count.lights import BESIDE, Refold, but_for_rulings, judge_together, judged_by_three
from app.rules.count.paper import with_paper
from app.rules.count.sheet_clock import SheetClock, SheetClocks
from app.rules.count.tally import Tally, WindowTally, fold
from app.rules.count.verdicts import Verdict
from app.rules.records.document import Run, counting_number
from app.rules.records.in_force import in_force, signed_off
from app.rules.records.kinds import OF_THE_BAR
from app.rules.records.marks import Mark, SheetKey, sheet_key
from app.rules.records.roster import Assignment, Event, Heat, Roster
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SHEET_KINDS, SheetKind, sheets_that
from app.rules.workout.formats import CountTask, Format
from app.rules.workout.joining import join_counts

COUNTERS = sheets_that("counts", "joined")
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
    """The sheets that count for each lane assignment, by kind, as the rulings have it: which run, whose sheet, or one alone.

    A sheet that was moved to another entry counts there and nowhere else: the lane that it was made on has none, until one is
    moved to it. Common practice, no source.
    """
    found: dict[str, dict[SheetKind, str]] = {}
    for event in roster.events:
        ruled, signed = in_force(rulings, event.id), signed_off(rulings, event.id)
        held = signed.body["runs"] if signed else {}
        own_runs = {ruling.assignment: int(ruling.body["run"]) for ruling in ruled if ruling.kind == "run"}
        moved = _moved(ruled)
        alone = {ruling.assignment: str(ruling.body["sheet"]) for ruling in ruled if ruling.kind == "stand"}
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
    formats, clocks = formats_by_assignment(roster), SheetClocks(roster, runs, rulings)
    tallies = {}
    for assignment, sheets in ruled_sheets(roster, runs, rulings).items():
        marked = [(kind, key) for kind, key in sheets.items() if key in by_sheet]
        found = {kind: fold(formats[assignment], _read(key, by_sheet), clocks.of(key, assignment)) for kind, key in marked}
        if sheets and sheet_key(sheets["lane"]).kind == "lane":
            own = {kind: by_sheet[key] for kind, key in marked}
            refold = refolding(formats[assignment], own, clocks.of(sheets["lane"], assignment))
            found = judged_sheets(formats[assignment], found, refold)
        joined = joined_tally(formats[assignment], found)
        if joined is not None:
            tallies[assignment] = joined
    return tallies


def _read(key: str, by_sheet: Mapping[str, Sequence[Mark]]) -> list[Mark]:
    """The marks that one sheet is folded from, out of all there are."""
    return with_bar(sheet_key(key).kind, by_sheet[key], by_sheet.get(lane_sheet(key), []))


def with_bar(kind: SheetKind, marks: Iterable[Mark], lane: Iterable[Mark]) -> list[Mark]:
    """The marks that a sheet is folded from. Somebody who judges again judges the bar that the lane's sheet says was there."""
    own = list(marks)
    if kind not in JUDGED_AGAIN:
        return own
    bar = {mark.id: mark for mark in lane if mark.kind in OF_THE_BAR}
    taken_back = [mark for mark in lane if mark.kind == "strike" and mark.body["mark"] in bar]
    return [*own, *bar.values(), *taken_back]


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


def joined_tally(format: Format, by_kind: Mapping[SheetKind, Tally]) -> Tally | None:
    """One tally from the sheets of one assignment, by the format's rule for several counters. None without a lane sheet.

    Totals that were read out (the paper sheet) stand in for the lane judge's marks that have not come. Only counted repetitions
    are joined here; lifts that three judges decide are, before, by judged_sheets. Where the counts lie too far apart the window
    is named for a recount, and a sheet judged from video settles it.
    """
    lane = with_paper(format, by_kind.get("lane"), by_kind.get("paper"))
    if lane is None or format.counters.how == "lane":
        return lane
    windows, recounts = [], []
    sheets: dict[SheetKind, Tally] = {**by_kind, "lane": lane}
    for window in lane.windows:
        joined, recount = _join_window(format, window, sheets)
        windows.append(joined)
        if recount:
            recounts.append(window.index)
    return replace(lane, windows=tuple(windows), recounts=tuple(recounts))


def counts_in(by_kind: Mapping[SheetKind, Tally], index: int) -> dict[SheetKind, int]:
    """The counts of one window that can be joined, the lane judge's first.

    Another counter who marked nothing in it, neither a repetition nor a no-rep, was not counting: a tablet that went dark must
    not halve a score.
    """
    counts: dict[SheetKind, int] = {}
    for kind in COUNTERS:
        window = by_kind[kind].windows[index] if kind in by_kind else None
        if window is not None and (kind == "lane" or window.count or window.norep):
            counts[kind] = window.credited
    return counts


def _join_window(format: Format, window: WindowTally, by_kind: Mapping[SheetKind, Tally]) -> tuple[WindowTally, bool]:
    task = format.tasks.get(format.windows[window.index].task or "")
    if not isinstance(task, CountTask):
        return window, False
    made = join_counts(format.counters, list(counts_in(by_kind, window.index).values()))
    video = by_kind.get("video")
    if made.recount and video is not None:
        return replace(window, joined=join_counts(format.counters, [video.windows[window.index].credited]).count), False
    return replace(window, joined=made.count), made.recount


def _sheets(heat: Heat, runs: Sequence[Run]) -> Iterable[tuple[Assignment, dict[SheetKind, str]]]:
    number = counting_number(runs, heat.id)
    for lane in heat.lanes:
        yield lane, _kinds(lane.id, number)


def paper_sheet(sheet: str) -> str:
    """The sheet for what was read out or written down, beside a lane's own."""
    key = sheet_key(sheet)
    return SheetKey(key.assignment, key.run, "paper").text()
