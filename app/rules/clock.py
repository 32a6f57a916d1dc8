"""The heat clock: which window a moment falls in, and the offset between two clocks from their time stamps."""

from dataclasses import dataclass, field
from typing import Literal

from app.rules.formats import Format

Phase = Literal["before", "window", "gap", "over"]


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment of the heat clock.

    phase: before GO, in a window, in a gap between windows, or over. windows: indexes of the windows open now, in order of
    the format. main: the first of them that is work, else the first, else None. left_ms: until the bell of `main`, until GO
    before it, until the next window in a gap, 0 when over. next: index of the next window to open, or None.
    """

    phase: Phase
    windows: tuple[int, ...]
    main: int | None
    left_ms: int
    next: int | None


def moment_at(format: Format, ms: int) -> Moment:
    """The moment `ms` milliseconds after GO (negative: before). A window holds its first millisecond and not its bell."""
    open_now = tuple(i for i, w in enumerate(format.windows) if w.start_ms <= ms < w.end_ms)
    later = [(w.start_ms, i) for i, w in enumerate(format.windows) if w.start_ms > ms]
    following = min(later, default=None)
    if ms < 0:
        first = min((w.start_ms, i) for i, w in enumerate(format.windows))
        return Moment("before", (), None, -ms, first[1])
    if open_now:
        main = next((i for i in open_now if format.windows[i].task is not None), open_now[0])
        left = format.windows[main].end_ms - ms
        return Moment("window", open_now, main, left, following[1] if following else None)
    if following:
        return Moment("gap", (), None, following[0] - ms, following[1])
    return Moment("over", (), None, 0, None)


def moment_plain(moment: Moment) -> dict[str, object]:
    """A moment as JSON."""
    return {
        "phase": moment.phase,
        "windows": list(moment.windows),
        "main": moment.main,
        "left_ms": moment.left_ms,
        "next": moment.next,
    }


def rfc5905_offset(t1: float, t2: float, t3: float, t4: float) -> tuple[float, float]:
    """Offset and round-trip delay of one exchange: ((t2-t1)+(t3-t4))/2 and (t4-t1)-(t3-t2) (RFC 5905, section 8)."""
    return ((t2 - t1) + (t3 - t4)) / 2, (t4 - t1) - (t3 - t2)


# Crystals of phones and laptops stay within this of one another; common practice, no source.
DRIFT_PPM = 100.0
MOST_EXCHANGES = 64


@dataclass(frozen=True, slots=True)
class Exchange:
    """One exchange of time stamps: offset lies in [low, high] at the client's time `at` (all in milliseconds)."""

    at: float
    low: float
    high: float


@dataclass(slots=True)
class Offset:
    """Estimates server clock minus client clock from exchanges of four time stamps.

    Each exchange proves that the offset lies between t3-t4 and t2-t1; with age the interval widens by the drift. The
    estimate is the middle of the intersection of all intervals, its bound half the width. An empty intersection (a clock was
    stepped) forgets the past.
    """

    drift_ppm: float = DRIFT_PPM
    exchanges: list[Exchange] = field(default_factory=list)

    def add(self, t1: float, t2: float, t3: float, t4: float) -> None:
        """Takes one exchange: sent and received by the client at t1, t4; received and answered by the server at t2, t3 (ms)."""
        self.exchanges.append(Exchange(t4, t3 - t4, t2 - t1))
        del self.exchanges[:-MOST_EXCHANGES]
        low, high = self._interval(t4)
        if low > high:
            del self.exchanges[:-1]

    def estimate(self, now: float) -> tuple[float, float] | None:
        """(offset, bound) in milliseconds at the client's time `now`, or None before the first exchange."""
        if not self.exchanges:
            return None
        low, high = self._interval(now)
        return (low + high) / 2, max(0.0, (high - low) / 2)

    def _interval(self, now: float) -> tuple[float, float]:
        grow = self.drift_ppm / 1_000_000
        low = max(e.low - grow * max(0.0, now - e.at) for e in self.exchanges)
        high = min(e.high + grow * max(0.0, now - e.at) for e in self.exchanges)
        return low, high
