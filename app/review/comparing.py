"""The sheets of one lane compared, and the list of all lanes that were judged more than once, as frozen views."""

import re
from collections.abc import Mapping
from fractions import Fraction
from urllib.parse import urlencode

from app.hall.hall import Hall
from app.live.projection import Place
from app.review.comparing_drawings import ratio_text, signed, strip
from app.review.comparing_views import Choice, CompareIndex, CompareView, DisputeView, Figure, LaneLine, WindowView
from app.rules.agree.agreement import krippendorffs_alpha
from app.rules.agree.comparing import GOOD, Compared, Dispute, Read, Tolerance, WindowCompared, compare, read_sheet
from app.rules.count.sheets import with_bar
from app.rules.count.tally import WindowTally
from app.rules.records.holding import since_go
from app.rules.records.marks import sheet_key
from app.rules.records.platforms import sheet_row
from app.rules.records.roster import Entry
from app.rules.records.seats import SheetKind, sheets_that
from app.rules.values.clock_times import clock_ms_text, exact_text
from app.rules.values.units import decimal_text
from app.rules.values.words import say
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask
from app.rules.workout.words import listed, window_text
from app.store.refusals import NotThere

# The sheets with a time for every mark. Totals that were read out (the paper sheet) have none.
IN_TIME = sheets_that("counts", "joined", "compared")
SECONDS = re.compile(r"[0-9]{1,2}(\.[0-9]{1,3})?")
LEAST_S, MOST_S = Fraction(1, 10), Fraction(10)
WRONG_WITHIN = "Allow 0.1 to 10 seconds between two marks of the same repetition. 1 second is usual."
FAR_MS = 500  # a lag beyond this is more than a slow hand: common practice, no source


class NothingToCompare(NotThere):
    """Raised where there is no such lane, or no such sheet of it; its text is the sentence to show."""


def compare_index(hall: Hall) -> CompareIndex:
    """Every lane with two sheets or more, those that differ most first; then the others, which a film may settle."""
    twice: list[tuple[int, LaneLine]] = []
    others: list[LaneLine] = []
    units: list[list[int]] = []
    for place, entry in assignments(hall):
        counts = _counts(hall, place)
        apart = _apart(hall, place)
        line = _lane_line(place, entry, counts, apart)
        if len(counts) > 1:
            twice.append((apart, line))
            units += _units(hall, place)
        else:
            others.append(line)
    twice.sort(key=lambda found: -found[0])
    return CompareIndex(tuple(line for _, line in twice), tuple(others), _all_judges(units))


def compare_page(hall: Hall, assignment: str, first: str, second: str, within: str) -> CompareView:
    """Two sheets of one lane. Empty or unknown kinds: the judge's, and the first other there is. Raises NothingToCompare."""
    place, entry = next(((p, e) for p, e in assignments(hall) if p.assignment.id == assignment), (None, None))
    if place is None or entry is None:
        raise NothingToCompare("There is no such lane here. Start from the compared sheets.")
    kinds = list(sheets_in_time(hall, assignment))
    a = _kind(first, kinds, "lane")
    b = _kind(second, [kind for kind in kinds if kind != a], "video")
    seconds, wrong = _seconds(within)
    reads = {kind: read_kind(hall, place, kind) for kind in (a, b)}
    found = compare(place.format, reads[a], reads[b], Tolerance(rep_ms=int(seconds * 1000)))
    names = sheet_row(a, place.format).name, sheet_row(b, place.format).name
    return CompareView(
        assignment=assignment,
        entry=entry.name,
        where=where_text(place),
        judge=place.assignment.judge,
        first=names[0],
        second=names[1],
        firsts=_choices(hall, place, kinds, a),
        seconds=_choices(hall, place, kinds, b),
        within=within if wrong else decimal_text(seconds, 3),
        wrong=wrong,
        figures=tuple(_figures(found, names)),
        windows=tuple(_window(place.format, window, names) for window in found.windows),
        disputes=tuple(_dispute(hall, place, names, dispute) for dispute in found.disputes),
        film=f"{assignment}/{_run(hall, place)}",
        film_go=_film_go(hall, place),
        video_link=video_link(assignment),
        stands=_stands(hall, place),
        rule_link=f"/review/lanes/{assignment}",
    )


def assignments(hall: Hall) -> list[tuple[Place, Entry]]:
    """Every lane assignment in the order run, with its entry."""
    roster = hall.projection.roster
    if roster is None:
        return []
    entries = {entry.id: entry for entry in roster.entries}
    order = {event.id: number for number, event in enumerate(roster.events)}
    heats = sorted(roster.heats, key=lambda heat: (order[heat.event], heat.number))
    places = ((hall.projection.place_of(lane.id), entries[lane.entry]) for heat in heats for lane in heat.lanes)
    return [(place, entry) for place, entry in places if place is not None]


def sheets_in_time(hall: Hall, assignment: str) -> dict[SheetKind, str]:
    """The sheets of the counting run that hold a judged mark with a time, by kind, the lane judge's first."""
    marked = hall.projection.own_sheets(assignment)
    return {kind: marked[kind] for kind in IN_TIME if kind in marked and hall.projection.sheet_tally(marked[kind]).any_marks}


def read_kind(hall: Hall, place: Place, kind: SheetKind) -> Read:
    """One sheet of the counting run, read for comparing; empty if it holds nothing."""
    keys = hall.projection.own_sheets(place.assignment.id)
    own = hall.projection.sheet_marks(keys[kind]) if kind in keys else []
    lane = hall.projection.sheet_marks(keys["lane"]) if "lane" in keys else []
    clock = hall.projection.sheet_clock(f"{place.assignment.id}/{_run(hall, place)}/{kind}")
    return read_sheet(place.format, with_bar(kind, own, lane), clock)


def where_text(place: Place) -> str:
    """`There and back, heat 2, lane 3`."""
    return f"{place.event.name}, heat {place.heat.number}, lane {place.assignment.lane}"


def compare_link(assignment: str, first: str = "", second: str = "") -> str:
    """The address of a comparison."""
    said = {name: value for name, value in (("a", first), ("b", second)) if value}
    return f"/review/compare/{assignment}" + (f"?{urlencode(said)}" if said else "")


def video_link(assignment: str) -> str:
    """The address where a lane is judged from a film."""
    return f"/review/video?{urlencode({'assignment': assignment})}"


def kappa_figure(kappa: Fraction | None, both: int) -> Figure:
    """Cohen's kappa in words; `both`: what both judges marked."""
    if kappa is not None:
        words = f"Good or refused, beyond chance, on the {both} that both marked: 1 is full agreement, 0 what chance gives."
        return Figure("Cohen's kappa", ratio_text(kappa), words)
    why = "both gave the same verdict throughout" if both else "nothing was marked by both"
    return Figure("Cohen's kappa", "–", f"Can't be worked out: {why}.")


def _run(hall: Hall, place: Place) -> int:
    return hall.projection.judged_run(place.assignment.id)


def _stands(hall: Hall, place: Place) -> str:
    """What the head judge ruled about whose sheet counts, in words; empty while the judge's does."""
    stands = hall.projection.stands(place.assignment.id)
    if stands:
        where = [
            f"{sheet_row(one.kind, place.format).name.lower()} in window {index + 1}" for index, one in sorted(stands.items())
        ]
        return f"The head judge has let this sheet stand: {listed(where)}."
    counts = hall.projection.marked_sheets(place.assignment.id).get("lane", "")
    if not counts or counts == f"{place.assignment.id}/{_run(hall, place)}/lane":
        return ""
    key = sheet_key(counts)
    if key.assignment != place.assignment.id:
        return "The head judge has moved another lane's sheet here: that one counts."
    return f"The head judge has let this sheet stand: {sheet_row(key.kind, place.format).name.lower()}. It alone counts."


def _film_go(hall: Hall, place: Place) -> str:
    """Where GO is on the film, in ms from its start, as whoever judged from it wrote down last; empty where nobody did."""
    notes = hall.projection.sheet_marks(f"{place.assignment.id}/{_run(hall, place)}/video")
    said = [mark for mark in notes if mark.kind == "note" and "go" in mark.body]
    return str(max(said, key=lambda mark: mark.id).body["go"]) if said else ""


def _counts(hall: Hall, place: Place) -> dict[SheetKind, int]:
    """Repetitions and good lifts that each sheet has, over all windows."""
    found = {}
    for kind, key in sheets_in_time(hall, place.assignment.id).items():
        windows = hall.projection.sheet_tally(key).windows
        found[kind] = sum(_worth(window) for window in windows)
    return found


def _worth(window: WindowTally) -> int:
    """Repetitions that count, and good lifts."""
    return window.credited + sum(lift.good for lift in window.lifts)


def _apart(hall: Hall, place: Place) -> int:
    """How far the sheets lie apart, window by window, among those who marked anything in it."""
    tallies = [hall.projection.sheet_tally(key) for key in sheets_in_time(hall, place.assignment.id).values()]
    apart = 0
    for windows in zip(*(tally.windows for tally in tallies), strict=True):
        worths = [_worth(window) for window in windows if window.count or window.norep or window.lifts]
        apart += max(worths) - min(worths) if worths else 0
    return apart


def _units(hall: Hall, place: Place) -> list[list[int]]:
    """Of each window of repetitions, the counts of those who counted in it."""
    tallies = [hall.projection.sheet_tally(key) for key in sheets_in_time(hall, place.assignment.id).values()]
    counted = [i for i, w in enumerate(place.format.windows) if w.task and isinstance(place.format.tasks[w.task], CountTask)]
    return [[t.windows[i].credited for t in tallies if t.windows[i].count or t.windows[i].norep] for i in counted]


def _lane_line(place: Place, entry: Entry, counts: Mapping[SheetKind, int], apart: int) -> LaneLine:
    return LaneLine(
        entry=entry.name,
        where=where_text(place),
        judge=place.assignment.judge,
        counts=" · ".join(f"{sheet_row(kind, place.format).name} {count}" for kind, count in counts.items()),
        apart=f"{apart} apart, window by window" if apart else "same counts",
        differs=apart > 0,
        link=compare_link(place.assignment.id),
        video_link=video_link(place.assignment.id),
    )


def _all_judges(units: list[list[int]]) -> Figure | None:
    alpha = krippendorffs_alpha(units, "interval")
    if alpha is None:
        return None
    compared = sum(len(unit) > 1 for unit in units)
    words = f"How far all counts of a window agree: 1 is full, 0 is chance. Windows counted more than once: {compared}."
    return Figure("Krippendorff's alpha", ratio_text(alpha), words)


def _kind(asked: str, kinds: list[SheetKind], usual: SheetKind) -> SheetKind:
    if asked in kinds:
        return next(kind for kind in kinds if kind == asked)
    return kinds[0] if kinds else usual


def _seconds(text: str) -> tuple[Fraction, str]:
    """The tolerance in seconds as typed, and what is wrong with it."""
    if not text.strip():
        return Fraction(1), ""
    bare = text.strip().replace(",", ".")
    seconds = Fraction(bare) if SECONDS.fullmatch(bare) else Fraction(0)
    return (seconds, "") if LEAST_S <= seconds <= MOST_S else (Fraction(1), WRONG_WITHIN)


def _choices(hall: Hall, place: Place, kinds: list[SheetKind], chosen: SheetKind) -> tuple[Choice, ...]:
    counts = _counts(hall, place)
    shown = kinds if chosen in kinds else [*kinds, chosen]
    names = {kind: sheet_row(kind, place.format).name for kind in shown}
    return tuple(Choice(kind, f"{name} ({counts.get(kind, 'nothing yet')})", kind == chosen) for kind, name in names.items())


def _figures(found: Compared, names: tuple[str, str]) -> list[Figure]:
    first, second = names[0].lower(), names[1].lower()
    both = sum(1 for window in found.both for pair in window.pairs if pair.first and pair.second)
    share = "–" if found.share is None else f"{decimal_text(found.share * 100, 1)} %"
    agreed = "There is no window yet in which both marked a repetition or a lift."
    if found.seen:
        agreed = f"Repetitions and lifts that either marked: {found.seen}. Marked by both, and judged alike: {found.agreed}."
    return [
        Figure("Agreement", share, agreed),
        Figure("Difference in the count", signed(Fraction(found.difference)), _difference_words(found.difference, first, second)),
        kappa_figure(found.kappa, both),
        _lag(found.lag_ms, first, second),
    ]


def _difference_words(difference: int, first: str, second: str) -> str:
    if not difference:
        return "In the windows that both judged, both have the same count."
    more, less = (second, first) if difference > 0 else (first, second)
    return f"In the windows that both judged, the {more} counts {abs(difference)} more than the {less}."


def _lag(lag_ms: int | None, first: str, second: str) -> Figure:
    if lag_ms is None:
        return Figure("Time between them", "–", "Nothing was marked by both.")
    words = f"Half of the {second}'s marks come at least so much {'later' if lag_ms >= 0 else 'earlier'} than the {first}'s."
    if abs(lag_ms) > FAR_MS:
        words += " That is more than a slow hand: check the clock, or GO on the film."
    return Figure("Time between them", f"{decimal_text(Fraction(abs(lag_ms), 1000), 2)} s", words)


def _window(format: Format, found: WindowCompared, names: tuple[str, str]) -> WindowView:
    window = format.windows[found.index]
    task = format.tasks[window.task or ""]
    counts = [str(found.first), str(found.second)]
    if isinstance(task, LiftTask):
        sides = [[pair.first for pair in found.pairs if pair.first], [pair.second for pair in found.pairs if pair.second]]
        counts = [f"{sum(one.verdict == GOOD for one in side)} of {len(side)} good" for side in sides]
    elif not isinstance(task, CountTask | ListTask):
        counts = ["", ""]
    differs = counts[0] != counts[1] or not all(pair.agreed for pair in found.pairs)
    return WindowView(
        index=found.index,
        title=window_text(format, found.index),
        first=counts[0],
        second=counts[1],
        differs=differs or bool(found.only),
        state=f"only the {names[found.only == 'second'].lower()} marked here"
        if found.only
        else "they differ"
        if differs
        else "alike",
        start_ms=window.start_ms,
        strip=strip(window, found.pairs, format.late_ms),
    )


def _dispute(hall: Hall, place: Place, names: tuple[str, str], dispute: Dispute) -> DisputeView:
    lifting = isinstance(place.format.tasks[place.format.windows[dispute.window].task or ""], LiftTask)
    said = [f"{name}: {_said(dispute, text, lifting)}" for name, text in zip(names, (dispute.first, dispute.second), strict=True)]
    clock = hall.projection.sheet_clock(f"{place.assignment.id}/{_run(hall, place)}/video")
    return DisputeView(
        time=clock_ms_text(dispute.at),
        at=dispute.at,
        since_ms=since_go(dispute.at, clock.holds),
        window=dispute.window,
        where=window_text(place.format, dispute.window),
        words=". ".join(said) + ".",
        marks=" ".join(dispute.marks),
    )


def _said(dispute: Dispute, text: str, lifting: bool) -> str:
    if dispute.what == "finish":
        return say("finished", time=exact_text(Fraction(int(text), 1000))) if text else "not finished"
    if dispute.what in ("load", "measure"):
        return text or "nothing measured"
    good, refused = (say("lift.was_good"), say("lift.was_no")) if lifting else ("rep", "no rep")
    return {GOOD: good, "": "nothing marked"}.get(text, refused)
