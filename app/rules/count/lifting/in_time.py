"""Whether a bar left its rack in time: before the attempt's clock ended, and before the bell where that counts.

Each moment was told by a device's clock, which is known to within a bound (the mark's `err`). A lift is struck out only where no
reading within the bounds lets it be in time. Where some do and some do not, it counts, is flagged, and a person rules: the
referees saw it, and a doubt of clocks takes nothing. static/js/rules/lifting/in_time.js is the twin.
"""

from collections.abc import Iterator
from typing import Literal

from app.rules.count.lifting.bars import Said, Try, said
from app.rules.records.marks import Mark
from app.rules.workout.formats import LiftTask, Window

Past = Literal["before", "doubt", "past"]
Lateness = Literal["attempt-late", "attempt-doubt", "begun-late", "begun-doubt"]  # each the key of a flag (count/flags.py)
DOUBTS: frozenset[Lateness] = frozenset({"attempt-doubt", "begun-doubt"})


def past_end(left: Said, end: Said) -> Past:
    """Whether a bar left at an end or after it; `doubt`: within their bounds it may have been either."""
    off_ms = left.off_ms + end.off_ms
    if left.at - off_ms >= end.at:
        return "past"
    return "doubt" if left.at + off_ms >= end.at else "before"


def lateness(task: LiftTask, window: Window, late_ms: int, one: Try, first: bool, credited: bool) -> Iterator[Lateness]:
    """By which clocks a try was late, or may have been. late_ms: the grace of a bell, which an attempt's clock has too. first:
    it is the first try of its attempt, for what was begun in time counts whenever it ends. credited: a ruling calls it good: that
    settles what the attempt's clock says, and what the bell says where it names a moment before it."""
    if one.begun is None:
        return
    time = one.time
    if first and not credited and time.since_ms is not None and time.seconds is not None:
        end = Said(time.since_ms + time.seconds * 1000 + late_ms, time.off_ms)
        yield from _named(one.begun, end, "attempt-late", "attempt-doubt")
    placed = credited and one.mark.at < window.end_ms
    if task.counts_when == "begun" and not placed:
        yield from _named(one.begun, Said(window.end_ms + late_ms, 0), "begun-late", "begun-doubt")


def _named(begun: Mark, end: Said, past: Lateness, doubt: Lateness) -> Iterator[Lateness]:
    found = past_end(said(begun), end)
    if found != "before":
        yield past if found == "past" else doubt
