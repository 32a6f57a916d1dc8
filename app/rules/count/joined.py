"""How the sheets of one lane assignment become one tally: window by window first, then the event's rules run over the whole once.

In each window the lane judge's sheet counts, or what was read out from it if that is more. Where an event has several counters,
those who were at work there are joined by its rule. Where a ruling lets another sheet stand, that sheet alone counts there.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from app.rules.count.paper import own_or_paper
from app.rules.count.presence import fell_dark
from app.rules.count.settling import settled
from app.rules.count.tally_shape import Tally, WindowTally
from app.rules.records.marks import sheet_key
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SheetKind, sheets_that
from app.rules.workout.formats import CountTask, Format, LiftTask
from app.rules.workout.joining import join_counts

COUNTERS = sheets_that("counts", "joined")
Sheets = Mapping[SheetKind, Tally]


@dataclass(frozen=True, slots=True)
class Stood:
    """A sheet that a ruling lets stand."""

    kind: SheetKind
    tally: Tally


@dataclass(frozen=True, slots=True)
class Counters:
    """Who counted in one window: what each counter has who was at work, the lane judge first (`paper`: as it was read out), and
    who was not at work while another counted."""

    windows: Mapping[SheetKind, WindowTally]
    away: tuple[SheetKind, ...]

    @property
    def counts(self) -> dict[SheetKind, int]:
        """The counts that are joined."""
        return {kind: window.count for kind, window in self.windows.items()}


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
    return tuple(window.index for window in tally.windows if _at_work(tally, window))


def joined_tally(format: Format, sheets: Sheets, stands: Mapping[int, Stood] = NO_STANDS) -> Tally | None:
    """One tally from the sheets of one assignment, by kind; `stands` are the windows in which a ruling lets a sheet stand. None
    where nobody marked on a sheet that counts.

    Only counted repetitions are joined; lifts that three judges decide are, before, by judged_sheets. Where counts lie too far
    apart the window is named for a recount, until a ruling says which sheet stands there.
    """
    base = _base(format, sheets, stands)
    if base is None:
        return None
    if not stands and all(kind == "lane" or not _may_count(format, kind) for kind in sheets):
        return base
    chosen = [_chosen(format, index, sheets, stands) for index in range(len(format.windows))]
    windows, out = settled(format, [window for window, _ in chosen])
    own = {mark.id for window in base.windows for mark in window.marked}
    kept = [flag for flag in base.flags if flag.why != "after-out"]
    return replace(
        base,
        windows=windows,
        recounts=tuple(window.index for window, recount in chosen if recount),
        flags=(*kept, *(flag for flag in out if flag.mark in own)),
        any_marks=any(one.any_marks for one in _sources(format, sheets, stands)),
    )


def counters_in(format: Format, sheets: Sheets, index: int) -> Counters:
    """Who was at work in a window, of those whose counts its event joins.

    Whoever's sheet shows nothing there was not at work, and neither was, from then on, whose tablet went dark in the middle of it
    (rules/count/presence.py): where another counted, that must not take from the count. If nobody was, the lane judge has zero.
    """
    there = {kind: window for kind, window in _windows(format, sheets, index).items() if _is_there(sheets, kind, window)}
    end_ms = format.windows[index].end_ms
    dark = {
        kind
        for kind, window in there.items()
        for other in there.values()
        if window.by[0] == kind and fell_dark(window, sheets[kind].until_ms.get(index), other, end_ms)
    }
    at_work = {kind: window for kind, window in there.items() if kind not in dark}
    if not at_work:
        return Counters(_only_lane(format, sheets, index), ())
    counted = any(window.count for window in at_work.values())
    expected = [kind for kind in COUNTERS if kind == "lane" or kind in sheets]
    return Counters(at_work, tuple(kind for kind in expected if counted and kind not in at_work))


def _windows(format: Format, sheets: Sheets, index: int) -> dict[SheetKind, WindowTally]:
    """A window on the sheet of each counter; the lane judge's also as it was read out."""
    found = {kind: replace(sheets[kind].windows[index], by=(kind,)) for kind in COUNTERS if kind in sheets}
    own = own_or_paper(format, sheets.get("lane"), sheets.get("paper"), index)
    if own is None:
        return found
    lane: dict[SheetKind, WindowTally] = {"lane": own}
    return lane | {kind: window for kind, window in found.items() if kind != "lane"}


def _only_lane(format: Format, sheets: Sheets, index: int) -> dict[SheetKind, WindowTally]:
    found = _windows(format, sheets, index)
    return {"lane": found["lane"]} if "lane" in found else dict(list(found.items())[:1])


def _is_there(sheets: Sheets, kind: SheetKind, window: WindowTally) -> bool:
    return window.by == ("paper",) or _at_work(sheets[kind], window)


def _at_work(tally: Tally, window: WindowTally) -> bool:
    return window.holds or window.index in tally.there


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
        return replace(stood.tally.windows[index], by=(stood.kind,)), False
    if isinstance(task, LiftTask) or format.counters.how == "lane":
        return own_or_paper(format, sheets.get("lane"), sheets.get("paper"), index) or WindowTally(index), False
    found = counters_in(format, sheets, index)
    if not found.windows:
        return WindowTally(index), False
    first = next(iter(found.windows.values()))
    if not isinstance(task, CountTask):
        return replace(first, away=found.away), False
    made = join_counts(format.counters, list(found.counts.values()))
    by = tuple(kind for window in found.windows.values() for kind in window.by)
    return replace(first, joined=made.count, by=by, away=found.away), made.recount
