"""What runs over all windows of an event: targets that grow, and who is put out by a miss. Once, over what was joined.

Sheets are joined window by window before: a minute that was read out and two that were marked are three minutes of one entry.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

from app.rules.count.tally_shape import Flag, WindowTally
from app.rules.records.marks import Mark
from app.rules.workout.formats import CountTask, Format, Window

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

    With a target no more than that counts. Each later window of its task asks for more, by `grows`. A miss puts the entry out
    where the task says so: in later windows of the task nothing counts.
    """
    seen: dict[str, int] = {}
    out: set[str] = set()
    made: list[WindowTally] = []
    flags: list[Flag] = []
    for window in windows:
        name = format.windows[window.index].task or ""
        task = format.tasks.get(name)
        if not isinstance(task, CountTask):
            made.append(window)
            continue
        nth = seen.get(name, 0)
        seen[name] = nth + 1
        target = None if task.target is None else task.target + task.grows * nth
        found = within(format.windows[window.index], window, 0 if name in out else target, target)
        if name in out:
            flags.extend(Flag(mark.id, "after-out") for mark in window.marked)
        elif task.miss_puts_out and target is not None and found.counted < target:
            out.add(name)
        made.append(found)
    return tuple(made), flags


def _moments(place: Window, window: WindowTally) -> tuple[tuple[int, int, int | None], ...]:
    """The moments of all repetitions that are marked, with whose they are; a window that was not cut short has them."""
    if len(window.reps) == len(window.marked):
        return window.reps
    return tuple((mark.at, 1, member_of(place, mark)) for mark in window.marked)


def member_of(window: Window, mark: Mark) -> int | None:
    """The member a mark is for: as it says, else the window's only member, else nobody in particular."""
    if "member" in mark.body:
        return int(mark.body["member"])
    return window.who[0] if isinstance(window.who, tuple) and len(window.who) == 1 else None
