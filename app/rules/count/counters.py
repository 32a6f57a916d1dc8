"""Who counted in one window, of several counters of a lane, and what each has."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from app.rules.count.dark import Seen, dark_stretches
from app.rules.count.paper import own_or_paper
from app.rules.count.tally_shape import Dark, Tally, WindowTally
from app.rules.records.seats import SheetKind, sheets_that
from app.rules.workout.formats import Format

COUNTERS = sheets_that("counts", "joined")
Sheets = Mapping[SheetKind, Tally]


@dataclass(frozen=True, slots=True)
class Counters:
    """Who counted in one window: what each counter's sheet has who was at work, the lane judge first (`paper`: as it was read
    out); who judged nothing while another counted; and the stretches of which others' counts are taken for a counter's."""

    windows: Mapping[SheetKind, WindowTally]
    away: tuple[SheetKind, ...]
    dark: tuple[Dark, ...]

    @property
    def counts(self) -> dict[SheetKind, Fraction]:
        """The counts that are joined."""
        return {kind: window.count + self._taken(kind) for kind, window in self.windows.items()}

    def _taken(self, kind: SheetKind) -> Fraction:
        return sum((one.taken for one in self.dark if one.kind == kind), Fraction(0))

    @property
    def whole(self) -> tuple[SheetKind, ...]:
        """Those who were at work all the time, else whoever has most."""
        dark = {one.kind for one in self.dark if self.windows[one.kind].finish_ms is None}
        whole = tuple(kind for kind in self.windows if kind not in dark)
        return whole or tuple(sorted(self.windows, key=lambda kind: (-self.windows[kind].count, COUNTERS.index(kind))))

    @property
    def shown(self) -> WindowTally:
        """The window beside what is joined, for its moments and refusals: of the first on whose sheet something stands, those
        who were at work all the time before others. Who took all back was there, and has nothing to show."""
        order = (*self.whole, *self.windows)
        return self.windows[next((kind for kind in order if self.windows[kind].holds), order[0])]


def counters_in(format: Format, sheets: Sheets, index: int) -> Counters:
    """Who was at work in a window, of those whose counts its event joins.

    Whoever's sheet shows nothing there was not at work, and whose tablet was dark for a stretch of it was not at work then
    (rules/count/dark.py): where another counted, that must not take from the count. If nobody was, the lane judge has zero.
    """
    found = _windows(format, sheets, index)
    at_work = {kind: window for kind, window in found.items() if _is_there(sheets, kind, window)}
    if not at_work:
        return Counters(_only_lane(found), (), ())
    at_work = {kind: window for kind, window in at_work.items() if not _halves(at_work, kind)}
    marked = {kind: window for kind, window in at_work.items() if window.by == (kind,)}
    seen = {kind: Seen(_moments(window), sheets[kind].seen.signs) for kind, window in marked.items()}
    dark = dark_stretches(format, format.windows[index], seen)
    counted = any(window.count for window in at_work.values())
    expected = [kind for kind in COUNTERS if kind == "lane" or kind in sheets]
    return Counters(at_work, tuple(kind for kind in expected if counted and kind not in at_work), dark)


def _moments(window: WindowTally) -> list[int]:
    """When the repetitions of a window were marked."""
    return [mark.at for mark in window.marked] or [at for at, _, _ in window.reps]


def _halves(windows: Mapping[SheetKind, WindowTally], kind: SheetKind) -> bool:
    """Whether a counter has no more than half of what was read out of the lane judge's tablet: when that was counted nobody
    knows, so it can't be told what of it falls into a silence."""
    lane = windows.get("lane")
    return kind != "lane" and lane is not None and "paper" in lane.by and 2 * windows[kind].count <= lane.count


def _windows(format: Format, sheets: Sheets, index: int) -> dict[SheetKind, WindowTally]:
    """A window on the sheet of each counter; the lane judge's also as it was read out."""
    found = {kind: replace(sheets[kind].windows[index], by=(kind,)) for kind in COUNTERS if kind in sheets}
    own = own_or_paper(format, sheets.get("lane"), sheets.get("paper"), index)
    if own is None:
        return found
    lane: dict[SheetKind, WindowTally] = {"lane": own}
    return lane | {kind: window for kind, window in found.items() if kind != "lane"}


def _only_lane(found: Mapping[SheetKind, WindowTally]) -> dict[SheetKind, WindowTally]:
    return {"lane": found["lane"]} if "lane" in found else dict(list(found.items())[:1])


def _is_there(sheets: Sheets, kind: SheetKind, window: WindowTally) -> bool:
    return window.holds or window.index in sheets[kind].seen.judged
