"""Two sheets of one lane assignment compared: the same repetitions side by side, and where the judges differ."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median
from typing import Literal

from app.rules.agree.agreement import cohens_kappa, percent_agreement
from app.rules.agree.aligning import Pair, Seen, align
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.placing import place
from app.rules.count.sheet_clock import PLAIN, SheetClock, retimed
from app.rules.count.tally import Tally, WindowTally, fold
from app.rules.records.marks import Mark
from app.rules.values.units import decimal_text
from app.rules.workout.formats import Format, LiftTask, MeasureTask

GOOD, REFUSED = "good", "refused"

What = Literal["only-first", "only-second", "verdict", "load", "finish", "measure"]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far two marks of one repetition, or two verdicts on one lift, may lie apart in time, in milliseconds.

    Common practice, no source: a tap follows what is seen by a few tenths of a second, a verdict on a lift by some seconds.
    """

    rep_ms: int = 1_000
    lift_ms: int = 8_000


@dataclass(frozen=True, slots=True)
class Read:
    """One sheet as it is compared: its tally, and the marks of each window that may count, in order, at their true times."""

    tally: Tally
    marks: dict[int, tuple[Mark, ...]]


@dataclass(frozen=True, slots=True)
class Dispute:
    """One thing on which two judges differ. at: ms on the heat clock. first, second: what each has of it; empty for nothing.
    marks: the ids of the marks it rests on, as far as there are any."""

    window: int
    at: int
    what: What
    first: str
    second: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WindowCompared:
    """One window of work on two sheets: what counts on each, and its repetitions or lifts as pairs.

    only: whose marks alone there are, "first" or "second". The other was not judging then: nothing can be compared.
    """

    index: int
    first: int
    second: int
    pairs: tuple[Pair, ...]
    only: Literal["", "first", "second"] = ""


@dataclass(frozen=True, slots=True)
class Compared:
    """Two sheets compared, in the windows in which both judges marked something.

    agreed, seen: of so many repetitions and lifts that either saw, both have so many and judge them alike. kappa: agreement
    beyond chance on those that both marked; None where that can't be told. lag_ms: the median of how much later the second
    judge's marks are; None without a pair. disputes: in the order of time.
    """

    windows: tuple[WindowCompared, ...]
    disputes: tuple[Dispute, ...]
    agreed: int
    seen: int
    share: Fraction | None
    kappa: Fraction | None
    lag_ms: int | None

    @property
    def both(self) -> tuple[WindowCompared, ...]:
        """The windows that can be compared."""
        return tuple(window for window in self.windows if not window.only)

    @property
    def difference(self) -> int:
        """How many more repetitions count on the second sheet, over the windows that can be compared."""
        return sum(window.second - window.first for window in self.both)


def read_sheet(format: Format, marks: Iterable[Mark], clock: SheetClock = PLAIN) -> Read:
    """A sheet read as the tally reads it: taken back, out of its window or of a second tablet is out."""
    given = tuple(marks)
    tally = fold(format, given, clock)
    out = set(tally.struck) | {flag.mark for flag in tally.flags if flag.why == "second-tablet"}
    placed, into_hold = retimed({mark.id: mark for mark in given}, clock)
    windows: dict[int, list[Mark]] = {}
    for mark in sorted(placed.values(), key=lambda mark: mark.order):
        if mark.kind in ("rep", "norep") and mark.id not in out:
            index = place(format, mark, mark.body.get("member"), into_hold.get(mark.id), [])
            if index is not None:
                windows.setdefault(index, []).append(mark)
    return Read(tally, {index: tuple(found) for index, found in windows.items()})


def compare(format: Format, first: Read, second: Read, tolerance: Tolerance = Tolerance()) -> Compared:
    """Two sheets of one assignment, window by window."""
    windows, disputes = [], []
    for index, window in enumerate(format.windows):
        if window.task is not None:
            compared, differ = _window(format, index, first, second, tolerance)
            windows.append(compared)
            disputes += [] if compared.only else differ
    pairs = [pair for window in windows if not window.only for pair in window.pairs]
    met = [(pair.first, pair.second) for pair in pairs if pair.first and pair.second]
    verdicts = [(a.verdict, b.verdict) for a, b in met]
    return Compared(
        windows=tuple(windows),
        disputes=tuple(sorted(disputes, key=lambda one: (one.at, one.window, one.what))),
        agreed=sum(pair.agreed for pair in pairs),
        seen=len(pairs),
        share=percent_agreement([(pair.agreed, True) for pair in pairs]),
        kappa=cohens_kappa(verdicts),
        lag_ms=round(median(b.at - a.at for a, b in met)) if met else None,
    )


def verdict_pairs(compared: Compared) -> list[tuple[str, str]]:
    """What both judges said of each repetition or lift that both marked: for kappa over many sheets."""
    found = [(pair.first, pair.second) for window in compared.both for pair in window.pairs]
    return [(a.verdict, b.verdict) for a, b in found if a and b]


def _window(format: Format, index: int, first: Read, second: Read, tolerance: Tolerance) -> tuple[WindowCompared, list[Dispute]]:
    task = format.tasks[format.windows[index].task or ""]
    own, other = first.tally.windows[index], second.tally.windows[index]
    lifting = isinstance(task, LiftTask)
    sides = [_lifts(own), _lifts(other)] if lifting else [_reps(first, index), _reps(second, index)]
    pairs = align(sides[0], sides[1], tolerance.lift_ms if lifting else tolerance.rep_ms)
    disputes = [_dispute(index, pair) for pair in pairs if not pair.agreed]
    if lifting:
        disputes += _loads(index, pairs, own, other)
    disputes += _numbers(format, index, own, other)
    counts = (0, 0) if lifting or isinstance(task, MeasureTask) else (own.credited, other.credited)
    return WindowCompared(index, *counts, pairs, _only(own, other)), disputes


def _only(own: WindowTally, other: WindowTally) -> Literal["", "first", "second"]:
    """Whose marks alone a window holds: a judge who marked nothing in it, neither good nor refused, was not judging then."""
    marked = [bool(one.count or one.norep or one.lifts or one.measure is not None) for one in (own, other)]
    return "" if marked[0] == marked[1] else "first" if marked[0] else "second"


def _reps(read: Read, index: int) -> list[Seen]:
    return [Seen(mark.id, mark.at, GOOD if mark.kind == "rep" else REFUSED) for mark in read.marks.get(index, ())]


def _lifts(window: WindowTally) -> list[Seen]:
    return [Seen(lift.mark, lift.at, GOOD if lift.good else REFUSED) for lift in sorted(window.lifts, key=lambda one: one.at)]


def _dispute(index: int, pair: Pair) -> Dispute:
    what: What = "verdict" if pair.first and pair.second else "only-first" if pair.first else "only-second"
    seen = [one for one in (pair.first, pair.second) if one is not None]
    said = [one.verdict if one else "" for one in (pair.first, pair.second)]
    return Dispute(index, pair.at, what, said[0], said[1], tuple(one.mark for one in seen))


def _loads(index: int, pairs: Sequence[Pair], own: WindowTally, other: WindowTally) -> list[Dispute]:
    """Lifts that both saw, under different loads."""
    lifts: dict[str, LiftTally] = {lift.mark: lift for lift in (*own.lifts, *other.lifts)}
    found = []
    for pair in pairs:
        if pair.first and pair.second:
            a, b = lifts[pair.first.mark].load, lifts[pair.second.mark].load
            if a.kg != b.kg:
                found.append(Dispute(index, pair.at, "load", a.text(), b.text(), (pair.first.mark, pair.second.mark)))
    return found


def _numbers(format: Format, index: int, own: WindowTally, other: WindowTally) -> list[Dispute]:
    """What is no repetition: when the work was finished, what was measured."""
    window = format.windows[index]
    found = []
    if own.finish_ms != other.finish_ms:
        at = min(ms for ms in (own.finish_ms, other.finish_ms) if ms is not None)
        said = ["" if ms is None else str(ms) for ms in (own.finish_ms, other.finish_ms)]
        found.append(Dispute(index, window.start_ms + at, "finish", said[0], said[1], ()))
    if own.measure != other.measure:
        values = ["" if value is None else decimal_text(value, 6) for value in (own.measure, other.measure)]
        found.append(Dispute(index, window.end_ms, "measure", values[0], values[1], ()))
    return found
