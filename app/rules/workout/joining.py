"""Several counters of one lane joined into one count by a stated rule, as rope and other counted sports do."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import Literal

from pydantic import Field

from app.rules.values.shapes import Base

How = Literal["lane", "closest_two", "drop_high_low", "mean", "median"]


class JoinRule(Base):
    """How counts of several counters become one.

    lane: the lane judge's count alone. closest_two: the mean of the two closest counts, the higher pair when equal.
    drop_high_low: without the highest and the lowest, the mean of the rest. mean, median: of all. `recount_beyond`: when the
    counts that are joined lie farther apart, the count must be taken again (from video, or the window run again).
    """

    how: How = "lane"
    recount_beyond: int | None = Field(default=None, ge=0, le=10_000)


@dataclass(frozen=True, slots=True)
class Joined:
    """The joined count, which of the counts (by index) went into it, and whether they lie too far apart to stand."""

    count: Fraction
    used: tuple[int, ...]
    recount: bool


def join_counts(rule: JoinRule, counts: Sequence[int | Fraction]) -> Joined:
    """Joins the counts of one window; the lane judge's comes first. With fewer counters than the rule needs, all there are
    count."""
    if not counts:
        return Joined(Fraction(0), (), False)
    used = _used(rule.how, counts)
    chosen = [counts[i] for i in used]
    apart = max(chosen) - min(chosen)
    recount = rule.recount_beyond is not None and apart > rule.recount_beyond
    return Joined(Fraction(sum(chosen)) / len(chosen), used, recount)


def _used(how: How, counts: Sequence[int | Fraction]) -> tuple[int, ...]:
    everyone = tuple(range(len(counts)))
    by_count = sorted(everyone, key=lambda i: counts[i])
    match how:
        case "lane":
            return (0,)
        case "closest_two" if len(counts) > 2:
            pairs = combinations(everyone, 2)
            return min(pairs, key=lambda pair: (abs(counts[pair[0]] - counts[pair[1]]), -counts[pair[0]] - counts[pair[1]]))
        case "drop_high_low" if len(counts) > 2:
            return tuple(sorted(by_count[1:-1]))
        case "median":
            middle = (len(counts) - 1) // 2
            return tuple(sorted(by_count[middle : len(counts) - middle]))
        case _:
            return everyone
