"""What makes a lane worth a look that no single mark shows: too quick for a hand, too quiet, too far from what was expected."""

from bisect import bisect_left, bisect_right
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from statistics import median
from typing import TypeVar

from app.rules.records.marks import Mark
from app.rules.workout.formats import Format, ListTask

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Bounds:
    """silent_ms: a lane that marks nothing for so long while others count is asked about; common practice, no source.
    far: from this modified z-score on a value is far off: 3.5, Iglewicz and Hoaglin (1993), How to Detect and Handle Outliers.
    least: of fewer other values nothing can be said; common practice, no source."""

    silent_ms: int = 30_000
    far: Fraction = Fraction(7, 2)
    least: int = 4


BOUNDS = Bounds()
# The median absolute deviation of a normal spread is 0.6745 of its standard deviation (Iglewicz and Hoaglin 1993).
NORMAL = Fraction(6745, 10_000)


def far_off(values: Mapping[Key, Fraction], bounds: Bounds = BOUNDS) -> dict[Key, Fraction]:
    """Those of some values that lie far from the middle of all, with their modified z-score: 0.6745 (value - median) / MAD. None
    where too few are known or they don't spread at all."""
    middle, spread = _middle(list(values.values())) if len(values) > bounds.least else (Fraction(0), Fraction(0))
    found = {key: NORMAL * (value - middle) / spread for key, value in values.items()} if spread else {}
    return {key: z for key, z in found.items() if abs(z) >= bounds.far}


def _middle(values: Sequence[Fraction]) -> tuple[Fraction, Fraction]:
    """The median of values, and the median absolute deviation from it."""
    middle = median(values)
    return middle, median(abs(value - middle) for value in values)


def far_from_own(place: int, others: Sequence[int], bounds: Bounds = BOUNDS) -> bool:
    """Whether a place lies far from the places of the same entry elsewhere. A spread of less than one place is taken as one."""
    if len(others) < bounds.least:
        return False
    middle = median(map(Fraction, others))
    spread = max(median(abs(other - middle) for other in others), Fraction(1))
    return NORMAL * abs(place - middle) / spread >= bounds.far


def too_fast(format: Format, index: int, reps: Sequence[Mark]) -> list[str]:
    """Repetitions of a work list that came faster than its movement is believed to allow; `reps` in order, none struck out.

    Only two of one movement are compared: from one line to the next is another matter. A counted window is flagged by its tally.
    """
    task = format.tasks.get(format.windows[index].task or "")
    if not isinstance(task, ListTask):
        return []
    round_ = [item.movement for item in task.items for _ in range(item.reps)]
    found = []
    for number, (before, after) in enumerate(pairwise(reps)):
        movement = round_[(number + 1) % len(round_)]
        fastest = format.movements[movement].fastest_ms
        if fastest is not None and round_[number % len(round_)] == movement and after.at - before.at < fastest:
            found.append(after.id)
    return found


@dataclass(frozen=True, slots=True)
class Silence:
    """A lane that marked nothing in a window from one moment of the heat clock to another, while `others` lanes counted."""

    lane: str
    window: int
    from_ms: int
    to_ms: int
    others: int


def silences(format: Format, times: Mapping[str, Sequence[int]], until_ms: int, bounds: Bounds = BOUNDS) -> list[Silence]:
    """The lanes of a heat that fell silent in a window of counting while at least half of the others counted on: marked in the
    first half of the time that is too long to be silent, and in the second.

    `times` are the moments of each lane's marks; `until_ms` is now, on the heat clock. A lane that is done with its list, and a
    window of lifts or a measured one, may be silent.
    """
    found = []
    ordered = {lane: sorted(marks) for lane, marks in times.items()}
    for index, window in enumerate(format.windows):
        task = format.tasks.get(window.task or "")
        if task is None or task.kind not in ("count", "list") or window.start_ms >= until_ms:
            continue
        end = min(window.end_ms, until_ms)
        for lane, marks in ordered.items():
            inside = marks[bisect_left(marks, window.start_ms) : bisect_left(marks, end)]
            for start, stop in pairwise([window.start_ms, *inside, end]):
                if stop - start < bounds.silent_ms:  # nearly always: only then is it worth a look at the others
                    continue
                others = [key for key, theirs in ordered.items() if key != lane and _counts_on(theirs, start, bounds.silent_ms)]
                if others and 2 * len(others) >= len(times) - 1:
                    found.append(Silence(lane, index, start, stop, len(others)))
    return found


def _counts_on(times: Sequence[int], start: int, for_ms: int) -> bool:
    """Whether there is one in each half of a span of time; `times` in order."""
    middle = start + for_ms // 2
    begun, half, over = (bisect_right(times, moment) for moment in (start, middle, start + for_ms))
    return begun < half < over
