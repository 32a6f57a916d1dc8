"""What runs over all windows of an event: targets that grow, and who is put out by a miss. Once, over what was joined.

Sheets are joined window by window before: a minute that was read out and two that were marked are three minutes of one entry.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

from app.rules.count.fold_lifts import best_lift
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.tally_shape import Flag, WindowTally
from app.rules.records.marks import Mark
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, Window
from app.rules.workout.turns import members_in

Within = Callable[[Window, WindowTally, int | None, int | None], WindowTally]


def within(place: Window, window: WindowTally, most: int | None, target: int | None) -> WindowTally:
    """A window of which no more than `most` counts. Where several counted, the moments are those of the sheet it began with."""
    joined = window.joined if window.joined is None or most is None else min(window.joined, Fraction(most))
    credited = window.count if most is None else min(window.count, most)
    reps = _moments(place, window)[: credited if joined is None else ceil(joined)]
    return replace(window, target=target, credited=credited, joined=joined, reps=reps)


def settled(
    format: Format, windows: Sequence[WindowTally], within: Within = within
) -> tuple[tuple[WindowTally, ...], list[Flag]]:
    """The windows with what counts of their repetitions, and the marks that don't count because the entry was out. Whoever keeps
    what came of a window may give another way to it than `within`.

    Where the event says so, a miss of what any window asks for puts the entry out of all later ones; of a list that is its end.
    With a target no more than that counts. Each later window of its task asks for more, by `grows`. A miss puts the entry out
    where the task says so: in later windows of the task nothing counts. So it is for a lifter where a load grows.
    """
    seen: dict[str, int] = {}
    out: set[str] = set()
    gone = False  # out of the event
    climbs: dict[str, Climb] = {}
    made: list[WindowTally] = []
    flags: list[Flag] = []
    for window in windows:
        name = format.windows[window.index].task or ""
        task = format.tasks.get(name)
        if isinstance(task, LiftTask) and task.loads:
            made.append(climbs.setdefault(name, Climb(format, task)).through(window))
            flags.extend(Flag(lift.mark, "after-out") for lift in made[-1].lifts if lift.out)
            continue
        if isinstance(task, ListTask) and format.miss_puts_out:
            window = window.barred or window
            found = _of_nothing(format, window, task, within) if gone else window
            flags.extend(Flag(mark.id, "after-out") for mark in window.marked if gone)
            gone = gone or found.unfinished
            made.append(found)
            continue
        if not isinstance(task, CountTask):
            made.append(window)
            continue
        nth = seen.get(name, 0)
        seen[name] = nth + 1
        target = None if task.target is None else task.target + task.grows * nth
        barred = gone or name in out
        found = within(format.windows[window.index], window, 0 if barred else target, target)
        if barred:
            flags.extend(Flag(mark.id, "after-out") for mark in window.marked)
        elif target is not None and found.counted < target:
            gone = format.miss_puts_out
            out |= {name} if task.miss_puts_out else set()
        made.append(found)
    return tuple(made), flags


def _of_nothing(format: Format, window: WindowTally, task: ListTask, within: Within) -> WindowTally:
    """A window of a list of which nothing counts, for the entry was out."""
    left = None if task.rounds is None else task.work_in_round * task.rounds
    nothing = within(format.windows[window.index], window, 0, None)
    return replace(nothing, finish_ms=None, tapped=False, left=left, barred=window)


class Climb:
    """A load that grows, through the windows of its task in order: who is out, by member (None where nobody in particular lifted,
    and of one athlete)."""

    def __init__(self, format: Format, task: LiftTask) -> None:
        self._format, self._task = format, task
        self._out: set[int | None] = set()
        self._missed: Counter[int | None] = Counter()  # running

    def through(self, window: WindowTally) -> WindowTally:
        """The window with what counts there of its lifts. What an earlier look had put out is looked at again."""
        lifts = tuple(self._one(lift) for lift in window.lifts)
        asked = self._format.asked_load(window.index)
        if self._task.rises == "window" and asked is not None:
            done = {self._who(lift) for lift in lifts if lift.good and lift.counts and lift.load >= asked}
            self._out |= self._lifters(window.index) - done
        return replace(window, lifts=lifts, best=best_lift(lifts, self._task.times_reps))

    def _one(self, lift: LiftTally) -> LiftTally:
        who, counts = self._who(lift), lift.counts or lift.out
        if who in self._out:
            return replace(lift, counts=False, out=counts)
        if counts:
            self._missed[who] = 0 if lift.good else self._missed[who] + 1
        if self._task.misses_out is not None and self._missed[who] >= self._task.misses_out:
            self._out.add(who)
        return replace(lift, counts=counts, out=False) if lift.out else lift

    def _who(self, lift: LiftTally) -> int | None:
        return lift.member if self._format.members > 1 else None

    def _lifters(self, index: int) -> set[int | None]:
        """Who could lift in a window; of several, also nobody in particular."""
        return {None, *(members_in(self._format, self._format.windows[index]) if self._format.members > 1 else ())}


def _moments(place: Window, window: WindowTally) -> Sequence[tuple[int, int, int | None]]:
    """The moments of all repetitions that are marked, with whose they are; a window that was not cut short has them."""
    if len(window.reps) == len(window.marked):
        return window.reps
    return tuple((mark.at, 1, member_of(place, mark)) for mark in window.marked)


def member_of(window: Window, mark: Mark) -> int | None:
    """The member a mark is for: as it says, else the window's only member, else nobody in particular."""
    if "member" in mark.body:
        return int(mark.body["member"])
    return window.who[0] if isinstance(window.who, tuple) and len(window.who) == 1 else None
