"""Several clocks say when something was, each with a bound on its error: what they agree on."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Witness:
    """One clock's word: it was at `at_ms`, give or take `bound_ms`."""

    at_ms: int
    bound_ms: int

    @property
    def ends(self) -> tuple[int, int]:
        """The first and the last moment at which it may have been."""
        return self.at_ms - self.bound_ms, self.at_ms + self.bound_ms


@dataclass(frozen=True, slots=True)
class Agreed:
    """What clocks agree on: the middle of what all of `votes` of them allow, and half its width, rounded up."""

    at_ms: int
    bound_ms: int
    votes: int


def agreed(witnesses: Sequence[Witness]) -> Agreed | None:
    """What most clocks allow: Marzullo's rule (K. Marzullo 1984, Maintaining the time in a distributed system).

    Where as many say one thing as another nobody can tell who is right: all that either allows is possible. None of no witness.
    """
    best: list[tuple[int, int]] = []
    votes = 0
    for low in sorted({one.ends[0] for one in witnesses}):
        here = [one for one in witnesses if one.ends[0] <= low <= one.ends[1]]
        high = min((one.ends[1] for one in here), default=low)
        if len(here) > votes:
            best, votes = [], len(here)
        if len(here) == votes:
            best.append((low, high))
    if not best:
        return None
    first, last = best[0][0], best[-1][1]
    return Agreed((first + last) // 2, (last - first + 1) // 2, votes)
