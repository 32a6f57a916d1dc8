"""The heat clock: which window a moment falls in, and the offset between two clocks from their time stamps."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf
from typing import Literal

from app.rules.workout.formats import Format

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


def gone_to(ended: bool, now_ms: int, marked: Iterable[int]) -> int:
    """How far a heat's clock is known to have gone, in ms: to now. Where it was ended early, when that was stands on no clock: so
    to its last mark, `marked` being the moments of all its lanes' marks."""
    return min(now_ms, max(marked, default=0)) if ended else now_ms


# Crystals of phones and laptops are sold as within 100 of the true second, so two of them are within this of one another; common
# practice, no source.
DRIFT_PPM = 200.0
LATELY = 4  # exchanges: so many seconds after a clock has jumped the bound holds the truth again, on however bad a network


@dataclass(slots=True)
class Offset:
    """Estimates server clock minus client clock from exchanges of four time stamps, all in milliseconds.

    Each exchange proves that the offset lies between t3-t4 and t2-t1; with age that interval widens by the drift, at both ends
    alike. So of all lower ends one is the best now and for ever, and of all upper ends one: they are all that is kept. The
    estimate is the middle of the intersection. An empty intersection (a clock was stepped) forgets the past; on a bad network a
    step of some milliseconds leaves it filled, and old exchanges exclude the truth. So the bound reaches to both ends of what the
    latest few exchanges allow by themselves. `grain_ms` is how coarsely the client's clock is read: browsers round it down.
    """

    drift_ppm: float = DRIFT_PPM
    grain_ms: float = 0.0
    _low: float = -inf  # the ends as they would have been at the client's time 0
    _high: float = inf
    _lately: tuple[tuple[float, float], ...] = ()  # both ends of each of the latest exchanges, likewise

    def add(self, t1: float, t2: float, t3: float, t4: float) -> None:
        """Takes one exchange: sent and received by the client at t1, t4; received and answered by the server at t2, t3 (ms)."""
        grow = self.drift_ppm / 1_000_000
        ends = (t3 - t4 - self.grain_ms, t2 - t1)
        # Each end was proven at its own moment: the lower one at t4, the upper one at t1.
        low, high = min(ends) + grow * t4, max(ends) - grow * t1
        self._low, self._high = max(self._low, low), min(self._high, high)
        self._lately = (*self._lately, (low, high))[-LATELY:]
        if self._low - grow * t4 > self._high + grow * t4:
            self._low, self._high, self._lately = low, high, ((low, high),)

    def estimate(self, now: float) -> tuple[float, float] | None:
        """(offset, bound) in milliseconds at the client's time `now`, or None before the first exchange."""
        if self._low == -inf:
            return None
        aged = self.drift_ppm / 1_000_000 * now
        low, high = self._low - aged, self._high + aged
        offset = low + (high - low) / 2
        return offset, max(0.0, (high - low) / 2, self._from_lately(offset, aged))

    def _from_lately(self, offset: float, aged: float) -> float:
        """How far an estimate lies from the further end of what the latest exchanges allow."""
        low, high = max(low for low, _ in self._lately) - aged, min(high for _, high in self._lately) + aged
        return max(offset - low, high - offset)
