"""Whether a bar left its rack in time: before the attempt's clock ended, and before the bell where that counts.

Each moment was told by a device's clock, which is known to within a bound (the mark's `err`). A lift is struck out only where no
reading within the bounds lets it be in time. Where some do and some do not, it counts, is flagged, and a person rules: the
referees saw it, and a doubt of clocks takes nothing. Two moments of one life of a device's clock are as far apart as that clock
says, however far from the heat's it was; which life, the marks say (`life`, `moved`), and those that do not are as unsure of one
another as those of two devices. static/js/rules/lifting/in_time.js is the twin.
"""

from collections.abc import Iterator, Sequence
from math import ceil
from typing import Literal

from app.rules.count.clock import DRIFT_PPM
from app.rules.count.lifting.bars import Said, Try, said
from app.rules.records.marks import Mark
from app.rules.workout.formats import LiftTask, Window

Past = Literal["before", "doubt", "past"]
Lateness = Literal["attempt-late", "attempt-doubt", "begun-late", "begun-doubt"]  # each the key of a flag (count/flags.py)
GO = Said(0, 0)
READ_MS = 3  # of one clock: it is read to a millisecond, and both moments were rounded to one
DOUBTS: frozenset[Lateness] = frozenset({"attempt-doubt", "begun-doubt"})


def apart(since: Said, then: Said) -> tuple[int, int]:
    """How many ms a moment came after another, at least and at most: by the heat's clock, and by the device's own where both are
    of one life of it. Where the two can't both be right, nothing between them is sure."""
    ms, off_ms = then.at - since.at, since.off_ms + then.off_ms
    least, most = ms - off_ms, ms + off_ms
    if since.life and since.life == then.life:
        own = then.own - since.own
        reach = READ_MS + ceil(DRIFT_PPM * abs(own) / 1_000_000)
        least, most = sorted((max(least, own - reach), min(most, own + reach)))
    return least, most


def past_end(then: Said, since: Sequence[Said], ms: int) -> Past:
    """Whether a moment came so many ms after the latest of some, or later; `doubt`: within their bounds it may have, or not."""
    found = [apart(one, then) for one in since]
    if all(least >= ms for least, _ in found):
        return "past"
    return "doubt" if all(most >= ms for _, most in found) else "before"


def lateness(task: LiftTask, window: Window, late_ms: int, one: Try, first: bool, credited: bool) -> Iterator[Lateness]:
    """By which clocks a try was late, or may have been. late_ms: the grace of a bell, which an attempt's clock has too. first:
    it is the first try of its attempt, for what was begun in time counts whenever it ends. credited: a ruling calls it good: that
    settles what the attempt's clock says, and what the bell says where it names a moment before it."""
    if one.begun is None:
        return
    time = one.time
    if first and not credited and time.since_ms is not None and time.seconds is not None:
        past = past_end(said(one.begun), time.told, time.seconds * 1000 + late_ms)
        yield from _named(past, "attempt-late", "attempt-doubt")
    placed = credited and one.mark.at < window.end_ms
    if task.counts_when == "begun" and not placed:
        past = past_end(said(one.begun), (GO,), window.end_ms + late_ms)
        yield from _named(past, "begun-late", "begun-doubt")


def before_it_left(one: Try, begun: Mark) -> bool:
    """Whether a try of which no leaving of the rack is known was decided before this one, however far the clocks are off."""
    unknown = one.begun is None and "begun" not in one.mark.body
    return unknown and past_end(said(begun), (said(one.mark),), 1) == "past"


def _named(found: Past, past: Lateness, doubt: Lateness) -> Iterator[Lateness]:
    if found != "before":
        yield past if found == "past" else doubt
