"""Two judges' marks of the same work laid side by side in time: which of them speak of the same repetition.

The order in time is kept on both sides, a pair lies no farther apart than the tolerance, and of all ways to pair them the one
taken costs least. Common practice in comparing two sequences in time, no source; the weights are ours: see pair_cost, alone_cost.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Seen:
    """What one judge marked: the mark's id, its time (ms on the heat clock), and what was said."""

    mark: str
    at: int
    verdict: str


@dataclass(frozen=True, slots=True)
class Pair:
    """One repetition as two judges have it; None where one of them has none."""

    first: Seen | None
    second: Seen | None

    @property
    def at(self) -> int:
        """When it was, ms on the heat clock: as the first judge has it, if there is one."""
        seen = self.first or self.second
        return seen.at if seen else 0

    @property
    def agreed(self) -> bool:
        """Whether both saw it and said the same."""
        return self.first is not None and self.second is not None and self.first.verdict == self.second.verdict


def pair_cost(first: Seen, second: Seen, tolerance_ms: int) -> int:
    """What it costs to take two marks for one repetition, in quarters of a millisecond: their distance in time, and a quarter of
    the tolerance more where the verdicts differ."""
    return 4 * abs(first.at - second.at) + (0 if first.verdict == second.verdict else tolerance_ms)


def alone_cost(tolerance_ms: int) -> int:
    """What a mark without its like costs, in quarters of a millisecond: half the tolerance.

    So two marks of one verdict are a pair rather than two of their own up to the whole tolerance, and yet a judge who missed the
    first of ten does not shift the other nine.
    """
    return 2 * tolerance_ms


def cost(pairs: Sequence[Pair], tolerance_ms: int) -> int:
    """What a way of pairing costs, in quarters of a millisecond."""
    return sum(
        pair_cost(pair.first, pair.second, tolerance_ms) if pair.first and pair.second else alone_cost(tolerance_ms)
        for pair in pairs
    )


def align(first: Sequence[Seen], second: Sequence[Seen], tolerance_ms: int) -> tuple[Pair, ...]:
    """The marks of two judges paired at the least cost; each side keeps its order. Each side comes sorted by time.

    Equal costs: a pair is taken before two marks alone, and of two ways the one that pairs the later marks. Raises ValueError for
    a tolerance below 1 ms.
    """
    if tolerance_ms < 1:
        raise ValueError("Two marks are compared within a tolerance of at least a millisecond.")
    return _Table(first, second, tolerance_ms).path()


class _Table:
    """The least cost for the first i and the first j marks. Only marks within the tolerance can meet, so only a band is kept."""

    def __init__(self, first: Sequence[Seen], second: Sequence[Seen], tolerance_ms: int) -> None:
        self._first, self._second, self._tolerance = first, second, tolerance_ms
        self._alone = alone_cost(tolerance_ms)
        times = [seen.at for seen in second]
        # Of each mark of the first side: the marks of the second side from `from` on and before `to` lie within the tolerance.
        self._from = [bisect_left(times, seen.at - tolerance_ms) for seen in first]
        self._to = [bisect_right(times, seen.at + tolerance_ms) for seen in first]
        self._rows: list[list[int]] = []
        for i in range(len(first)):
            self._rows.append(self._row(i))

    def _cost(self, i: int, j: int) -> int:
        """The least cost for the first i and the first j marks: from the band, or beside it, where nothing more can meet."""
        alone = 0
        while i and j < self._from[i - 1]:
            i, alone = i - 1, alone + self._alone
        if i == 0:
            return alone + j * self._alone
        beyond = max(0, j - self._to[i - 1])
        return alone + self._rows[i - 1][j - beyond - self._from[i - 1]] + beyond * self._alone

    def _row(self, i: int) -> list[int]:
        """Costs with the first i + 1 marks, for j from `from` to `to`."""
        row = [self._cost(i, self._from[i]) + self._alone]
        for j in range(self._from[i] + 1, self._to[i] + 1):
            met = self._cost(i, j - 1) + pair_cost(self._first[i], self._second[j - 1], self._tolerance)
            row.append(min(met, self._cost(i, j) + self._alone, row[-1] + self._alone))
        return row

    def path(self) -> tuple[Pair, ...]:
        """The way back from the end."""
        i, j = len(self._first), len(self._second)
        back: list[Pair] = []
        while i or j:
            if i and self._from[i - 1] < j <= self._to[i - 1] and self._met(i, j):
                i, j = i - 1, j - 1
                back.append(Pair(self._first[i], self._second[j]))
            elif j and self._cost(i, j) == self._cost(i, j - 1) + self._alone:
                j -= 1
                back.append(Pair(None, self._second[j]))
            else:
                i -= 1
                back.append(Pair(self._first[i], None))
        return tuple(reversed(back))

    def _met(self, i: int, j: int) -> bool:
        paired = self._cost(i - 1, j - 1) + pair_cost(self._first[i - 1], self._second[j - 1], self._tolerance)
        return self._cost(i, j) == paired
