"""What is told of a heat that is run again: its lanes begin empty; openers are put before people, and declared by them alone."""

from collections.abc import Iterator

from app.hall.hall import Hall
from app.hall.heats import opener_before, opener_in
from app.rules.records.roster import Assignment, Heat
from app.rules.values.words import ranges, say
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.turns import members_in

Whose = tuple[int, bool]  # a member, and whether nobody else lifts in the window


def undeclared_text(hall: Hall, heat: Heat, run: int, heat_ms: int | None) -> str:
    """The lanes of whose lift at hand an earlier run knows an opener and this one nothing yet, in a sentence; empty for none.
    heat_ms: the heat's clock now, None before its GO."""
    lanes = sorted(lane.lane for lane in heat.lanes if _is_awaited(hall, lane, run, heat_ms)) if run > 1 else []
    named = say("lanes_named", n=len(lanes), named=ranges(lanes))
    return (
        f"Run {run}: what was declared before does not count in it. Still to be declared anew: {named}. The marshal, the lifter "
        "or the judge declares it."
        if lanes
        else ""
    )


def _is_awaited(hall: Hall, lane: Assignment, run: int, heat_ms: int | None) -> bool:
    """Whether at a bar of a lane's lift at hand somebody had declared before, and nobody has declared or lifted in this run."""
    place = hall.projection.place_of(lane.id)
    return place is not None and any(
        any(opener_before(hall, lane, run, window, *whose) for whose in lifters)
        and not any(opener_in(hall, lane, run, window, *whose) for whose in lifters)
        for window, lifters in _bars_at_hand(place.format, heat_ms)
    )


def _bars_at_hand(format: Format, heat_ms: int | None) -> Iterator[tuple[int, list[Whose]]]:
    """The bars of the lift that comes or runs, and of those that run beside it: the window of each, and who lifts at it. Later
    lifts are declared as they come."""
    tasks = [(index, window, format.tasks.get(window.task or "")) for index, window in enumerate(format.windows)]
    lifts = [(index, window, task) for index, window, task in tasks if isinstance(task, LiftTask)]
    there = [one for one in lifts if heat_ms is None or heat_ms < one[1].end_ms]
    until = min((window.end_ms for _, window, _ in there), default=0)
    for index, window, task in there:
        members = members_in(format, window)
        lifters = [(member, len(members) == 1) for member in members]
        if window.start_ms < until:
            yield from ((index, [one]) for one in lifters) if task.bars == "each" else [(index, lifters)]
