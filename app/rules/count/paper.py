"""Totals that were read out: they stand in for marks that have not come, and never add to marks that have."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from app.rules.count.fold_lifts import best_lift
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.tally_shape import Tally, WindowTally
from app.rules.workout.formats import Format, LiftTask


def own_or_paper(format: Format, lane: Tally | None, paper: Tally | None, index: int) -> WindowTally | None:
    """What a window holds when the desk has keyed in what a judge read off a tablet (the paper sheet of a lane); None where
    there is no sheet of a tablet and nothing was read out of the window.

    The paper sheet counts where it holds more than the lane's own: more repetitions, a finish, a heavier lift, a measure where
    there is none, a refusal or a miss where nothing was judged. When the tablet's marks come after all, they are as many and
    count again. So a total that was read out counts neither twice nor, once the marks are there, at all. Where nothing stands on
    the paper it says nothing, not 0: what the desk took back shows no judge at work. Common practice, no source.
    """
    if paper is None or not paper.windows[index].holds:
        return None if lane is None else lane.windows[index]
    said = replace(paper.windows[index], by=("paper",))
    return said if lane is None or not lane.windows[index].holds else _more(format, lane.windows[index], said)


def standing_in(format: Format, lane: Tally, paper: Tally) -> Mapping[int, WindowTally]:
    """The windows in which the paper sheet counts, by index."""
    found = (own_or_paper(format, lane, paper, window.index) for window in lane.windows)
    return {window.index: window for window in found if window is not None and "paper" in window.by}


def _more(format: Format, own: WindowTally, said: WindowTally) -> WindowTally:
    task = format.tasks.get(format.windows[own.index].task or "")
    if isinstance(task, LiftTask):
        return _heavier(task, own, said)
    return said if _worth(said) > _worth(own) else own


def _worth(window: WindowTally) -> tuple[Fraction, ...]:
    """How much a window holds, as something to compare: a finish before work done, a measure as there or not."""
    return (
        Fraction(window.tapped),
        Fraction(window.finish_ms is not None),
        Fraction(window.measure is not None),
        Fraction(window.count),
    )


def _heavier(task: LiftTask, own: WindowTally, said: WindowTally) -> WindowTally:
    """The heavier lifts of two windows, each member's by themselves where both sheets say whose each lift was."""
    mine, theirs = ({lift.member for lift in window.lifts} for window in (own, said))
    if None in mine | theirs or len(mine | theirs) < 2:
        return said if _best(task, said.lifts) > _best(task, own.lifts) else own
    better = {member for member in theirs & mine if _best(task, _of(said, member)) > _best(task, _of(own, member))}
    heavier = better | theirs - mine
    if not heavier:
        return own
    lifts = [lift for lift in own.lifts if lift.member not in heavier] + [lift for lift in said.lifts if lift.member in heavier]
    lifts.sort(key=lambda lift: (lift.at, lift.mark))
    by = said.by if heavier >= mine else (*own.by, *said.by)
    return replace(own, lifts=tuple(lifts), best=best_lift(lifts, task.times_reps), by=by)


def _of(window: WindowTally, member: int | None) -> list[LiftTally]:
    return [lift for lift in window.lifts if lift.member == member]


def _best(task: LiftTask, lifts: tuple[LiftTally, ...] | list[LiftTally]) -> Fraction:
    # Of a load that grows, a sheet that lacks a window has put out what may count with the other's.
    best = best_lift([replace(lift, counts=True) if lift.out else lift for lift in lifts], task.times_reps)
    return Fraction(0) if best is None else best.value(task.times_reps)
