"""Whose tablet was dark while another counter's worked: what is taken for theirs, so that nothing is halved unsaid.

What proves that a counter was counting at a moment is a mark of theirs near it: a repetition, one refused, one taken back. A
signature proves nothing: who signs has seen the sheet, and the tablet may have been dark all the same. Who marks nothing while
another counts on may also have seen nothing to count, and not have said so. Which of the two it was can't be known: the window is
flagged for the head judge, and until a ruling it counts as if the tablet had been dark. Common practice, no source.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.rules.count.tally_shape import Dark
from app.rules.records.seats import SheetKind
from app.rules.workout.formats import Format, Window
from app.rules.workout.joining import join_counts


@dataclass(frozen=True, slots=True)
class Seen:
    """What one counter's sheet shows of a window, in ms on the heat clock and in order: when repetitions counted, and all the
    moments at which somebody was judging, in whichever window."""

    reps: Sequence[int]
    signs: Sequence[int]


def dark_stretches(format: Format, window: Window, seen: Mapping[SheetKind, Seen]) -> tuple[Dark, ...]:
    """The stretches of a window in which a counter shows nothing and others counted for longer than `quiet_ms`, from their first
    repetition in it to their last; and what these others, joined by the event's rule, have there."""
    return tuple(one for kind in seen for one in _of(kind, format, window, seen))


def _of(kind: SheetKind, format: Format, window: Window, seen: Mapping[SheetKind, Seen]) -> Iterator[Dark]:
    own = seen[kind]
    others = {other: one.reps for other, one in seen.items() if other != kind}
    inside = [at for at in own.signs if window.start_ms <= at < window.end_ms]
    for begin, end in pairwise([None, *inside, None]):
        found = {other: _between(reps, own.reps, begin, end) for other, reps in others.items()}
        counted = {other: len(reps) for other, reps in found.items() if reps and reps[-1] - reps[0] > format.quiet_ms}
        if counted:
            taken = join_counts(format.counters, list(counted.values())).count
            since, until = (window.start_ms if begin is None else begin), (window.end_ms if end is None else end)
            yield Dark(kind, since, until, tuple(counted), taken)


def _between(reps: Sequence[int], own: Sequence[int], begin: int | None, end: int | None) -> Sequence[int]:
    """The repetitions of another between two signs of life (None: the window's ends), without those that the counter has, too:
    with which the silence begins or ends, seen by the other a little earlier or later."""
    first = 0 if begin is None else bisect_right(reps, begin)
    last = len(reps) if end is None else bisect_left(reps, end)
    if begin is not None and _has(own, begin) and _same(reps, begin, first, first + 1):
        first += 1
    if end is not None and _has(own, end) and _same(reps, end, last - 1, last - 2):
        last -= 1
    return reps[first : max(first, last)]


def _has(times: Sequence[int], at: int) -> bool:
    index = bisect_left(times, at)
    return index < len(times) and times[index] == at


def _same(reps: Sequence[int], at: int, place: int, farther: int) -> bool:
    """Whether the other's repetition at a place is the counter's at a moment: it is the nearest to it, and no farther off than
    half way to the other's next on its own side."""
    if not (0 <= place < len(reps) and 0 <= farther < len(reps)):
        return False
    off, behind = abs(reps[place] - at), 2 * place - farther
    nearer = 0 <= behind < len(reps) and abs(reps[behind] - at) < off
    return not nearer and 2 * off <= abs(reps[farther] - reps[place])
