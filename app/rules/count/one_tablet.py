"""One lane, one tablet at a time: which marks count when two tablets marked in one window."""

from bisect import bisect_left, insort
from collections.abc import Sequence

from app.rules.records.kinds import JUDGED
from app.rules.records.marks import Mark


def doubled(marks: Sequence[Mark], quiet_ms: int) -> frozenset[str]:
    """The marks of one window that a second tablet made while the first was at work; they do not count.

    The tablet that marks first in a window holds the lane. Another takes it over with its first mark after the holder's last:
    then all count. If the holder marks again later, a mark of the other counts only if the holder was quiet for `quiet_ms` before
    and after it: the lane was handed over and back, for a judge needs longer from one tablet to another. All else would be one
    repetition counted twice, and waits for a person who strikes out what is wrong on either tablet. A third tablet stands to
    those two as the second to the first. Declarations, racked bars, notes and signatures may come from anywhere. Common practice,
    no source. `marks` stand (none is struck out) and come in order. Judges on sheets of their own are no second tablet to one
    another.
    """
    if len({mark.device for mark in marks}) < 2:
        return frozenset()
    sheets = {mark.sheet for mark in marks}
    if len(sheets) > 1:
        return frozenset().union(*(doubled([mark for mark in marks if mark.sheet == sheet], quiet_ms) for sheet in sheets))
    by_device: dict[str, list[Mark]] = {}
    for mark in marks:
        if mark.kind in JUDGED:
            by_device.setdefault(mark.device, []).append(mark)
    extra: set[str] = set()
    held: list[int] = []
    for own in by_device.values():  # in the order of each tablet's first mark
        over = [] if not held or own[0].at >= held[-1] else [mark for mark in own if _near(held, mark.at, quiet_ms)]
        extra.update(mark.id for mark in over)
        for mark in own:
            if mark.id not in extra:
                insort(held, mark.at)
    return frozenset(extra)


def _near(held: Sequence[int], at: int, quiet_ms: int) -> bool:
    """Whether a time in `held`, which is sorted, lies within `quiet_ms` of `at`."""
    index = bisect_left(held, at - quiet_ms)
    return index < len(held) and held[index] <= at + quiet_ms
