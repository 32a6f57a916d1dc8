"""How the sheets of one lane assignment become one tally: window by window first, then the event's rules run over the whole once.

In each window the lane judge's sheet counts, or what was read out from it if that is more. Where an event has several counters,
those who were at work there are joined by its rule (counters.py); of what can't be joined, a work list, a measure, a lift, one
sheet counts. Where a ruling lets another sheet stand, that sheet alone counts there.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from app.rules.count.counters import COUNTERS, Counters, Sheets, counters_in
from app.rules.count.paper import own_or_paper
from app.rules.count.settling import settled
from app.rules.count.tally_shape import Tally, WindowTally
from app.rules.records.marks import sheet_key
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SheetKind
from app.rules.workout.formats import CountTask, Format, LiftTask
from app.rules.workout.joining import join_counts


@dataclass(frozen=True, slots=True)
class Stood:
    """A sheet that a ruling lets stand."""

    kind: SheetKind
    tally: Tally


NO_STANDS: Mapping[int, Stood] = MappingProxyType({})


def windows_that_stand(format: Format, rulings: Sequence[Ruling], tally_of: Callable[[str], Tally]) -> dict[int, Stood]:
    """The windows in which a ruling lets a sheet stand, the newest in each; `rulings` in the order made, `tally_of` adds up a
    sheet by its key.

    A ruling that names windows holds in these, also where the sheet has nothing. One that names none takes the place of earlier
    ones: a lane judge's sheet stands alone (see ruled_sheets), any other in the windows in which somebody judged on it. A film of
    one window in dispute says nothing of the others.
    """
    found: dict[int, Stood] = {}
    for ruling in (ruling for ruling in rulings if ruling.kind == "stand"):
        key = str(ruling.body["sheet"])
        stood = Stood(sheet_key(key).kind, tally_of(key))
        named = ruling.body.get("windows")
        if named is None:
            found.clear()
            named = () if stood.kind == "lane" else judged_in(stood.tally)
        found.update((index, stood) for index in named if index < len(format.windows) and format.windows[index].task is not None)
    return found


def judged_in(tally: Tally) -> tuple[int, ...]:
    """The windows in which a sheet has something, or shows that somebody was judging."""
    there = tally.seen.judged | tally.seen.signed
    return tuple(window.index for window in tally.windows if window.holds or window.index in there)


def joined_tally(format: Format, sheets: Sheets, stands: Mapping[int, Stood] = NO_STANDS) -> Tally | None:
    """One tally from the sheets of one assignment, by kind; `stands` are the windows in which a ruling lets a sheet stand. None
    where nobody marked on a sheet that counts; a paper on which nothing stands is none.

    Only counted repetitions are joined; lifts that three judges decide are, before, by judged_sheets; of all else the sheet of
    the first counts who was at work all the time, and who differs is named. Where counts lie too far apart the window is named
    for a recount, until a ruling says which sheet stands there.
    """
    sheets = {kind: one for kind, one in sheets.items() if kind != "paper" or one.worked or one.seen.signed}
    base = _base(format, sheets, stands)
    if base is None:
        return None
    if not stands and all(kind == "lane" or not _may_count(format, kind) for kind in sheets):
        return base
    chosen = [_chosen(format, index, sheets, stands) for index in range(len(format.windows))]
    windows, out = settled(format, [window for window, _ in chosen])
    sources = _sources(format, sheets, stands)
    own = {mark.id for window in base.windows for mark in window.marked}
    own |= {lift.mark for window in base.windows for lift in window.lifts}
    kept = [flag for flag in base.flags if flag.why != "after-out"]
    return replace(
        base,
        windows=windows,
        recounts=tuple(window.index for window, recount in chosen if recount),
        flags=(*kept, *(flag for flag in out if flag.mark in own)),
        any_marks=any(one.any_marks for one in sources),
        seen=replace(base.seen, signed=base.seen.signed.union(*(one.seen.signed for one in sources))),
    )


def _may_count(format: Format, kind: SheetKind) -> bool:
    """Whether a kind of sheet can change a number without a ruling."""
    return kind in ("lane", "paper") or (kind in COUNTERS and format.counters.how != "lane")


def _sources(format: Format, sheets: Sheets, stands: Mapping[int, Stood]) -> list[Tally]:
    return [*(tally for kind, tally in sheets.items() if _may_count(format, kind)), *(one.tally for one in stands.values())]


def _base(format: Format, sheets: Sheets, stands: Mapping[int, Stood]) -> Tally | None:
    """The tally that says what no window holds (signatures, stops, what is odd): of the sheet that stands everywhere, else the
    lane judge's, else the first that counts."""
    work = [index for index, window in enumerate(format.windows) if window.task is not None]
    everywhere = {id(stands[index].tally) for index in work} if len(stands) == len(work) else set()
    if len(everywhere) == 1:
        return stands[work[0]].tally
    if "lane" in sheets:
        return sheets["lane"]
    return next((tally for tally in _sources(format, sheets, stands) if tally.any_marks), None)


def _chosen(format: Format, index: int, sheets: Sheets, stands: Mapping[int, Stood]) -> tuple[WindowTally, bool]:
    """What counts in one window, before the rules that run over all; and whether it must be counted again."""
    task = format.tasks.get(format.windows[index].task or "")
    if task is None:
        return WindowTally(index), False
    if index in stands:
        stood = stands[index]
        return replace(stood.tally.windows[index], by=(stood.kind,), ruled=True), False
    if format.counters.how == "lane" or (isinstance(task, LiftTask) and task.judges == 3):
        return own_or_paper(format, sheets.get("lane"), sheets.get("paper"), index) or WindowTally(index), False
    found = counters_in(format, sheets, index)
    if not found.windows:
        return WindowTally(index), False
    if not isinstance(task, CountTask):
        return _one_sheets(format, found), False
    made = join_counts(format.counters, list(found.counts.values()))
    by = tuple(kind for window in found.windows.values() for kind in window.by)
    return replace(found.shown, joined=made.count, by=by, away=found.away, dark=found.dark), made.recount


def _one_sheets(format: Format, found: Counters) -> WindowTally:
    """Of what can't be joined one sheet counts, the first of those who were at work all the time. Who judged it otherwise is
    named for the head judge; so is who would have come first."""
    kind = found.whole[0]
    one = found.windows[kind]
    unlike = tuple(other for other, window in found.windows.items() if _differs(format, one, window))
    before = COUNTERS[: COUNTERS.index(kind)]
    away = tuple(other for other in before if other not in found.windows)
    return replace(one, away=away, dark=tuple(one for one in found.dark if one.kind in before), unlike=unlike)


def _differs(format: Format, one: WindowTally, other: WindowTally) -> bool:
    """Whether two judges differ by more than their own reaction at a finish."""
    if one.finish_ms is not None and other.finish_ms is not None and abs(one.finish_ms - other.finish_ms) > format.late_ms:
        return True
    return _judged(one) != _judged(other)


def _judged(window: WindowTally) -> tuple[object, ...]:
    """What was judged in a window, as something to compare."""
    good = frozenset((lift.member, lift.load.kg, lift.reps) for lift in window.lifts if lift.good and lift.counts)
    return window.credited, window.finish_ms is None, window.measure, good
