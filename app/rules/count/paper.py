"""Totals that a judge read out: they stand in for marks that have not come, and never add to marks that have."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from app.rules.count.tally import Tally, WindowTally
from app.rules.workout.formats import Format, LiftTask


def with_paper(format: Format, lane: Tally | None, paper: Tally | None) -> Tally | None:
    """The tally that counts when the desk has keyed in what a judge read off a tablet (the paper sheet of a lane).

    Window by window the paper sheet counts where it holds more than the lane's own: more repetitions, a finish, a heavier lift, a
    measure where there is none. When the tablet's marks come after all, they are as many and count again. So a total that was
    read out counts neither twice nor, once the marks are there, at all. Common practice, no source.
    """
    if paper is None or not paper.any_marks:
        return lane
    if lane is None:
        return paper
    chosen = standing_in(format, lane, paper)
    windows = tuple(chosen.get(window.index, window) for window in lane.windows)
    return replace(lane, windows=windows, any_marks=True)


def standing_in(format: Format, lane: Tally, paper: Tally) -> Mapping[int, WindowTally]:
    """The windows in which the paper sheet counts, by index."""
    pairs = zip(lane.windows, paper.windows, strict=True)
    return {said.index: said for own, said in pairs if _worth(format, said) > _worth(format, own)}


def _worth(format: Format, window: WindowTally) -> tuple[Fraction, ...]:
    """How much a window holds, as something to compare: a finish before work done, lifts by load, a measure as there or not."""
    name = format.windows[window.index].task
    task = None if name is None else format.tasks[name]
    if isinstance(task, LiftTask):
        return (Fraction(0) if window.best is None else window.best.value(task.times_reps),)
    return (
        Fraction(window.finish_ms is not None),
        Fraction(window.measure is not None),
        Fraction(max(window.count, window.credited)),
    )
