"""What is told of a heat that is run again: its lanes begin empty; openers are put before people, and declared by them alone."""

from collections.abc import Iterator

from app.hall.hall import Hall
from app.hall.heats import opener_before
from app.rules.count.lifting.opener_said import opener_said
from app.rules.records.roster import Assignment, Heat
from app.rules.values.words import ranges, say
from app.rules.workout.formats import LiftTask
from app.rules.workout.turns import members_in


def undeclared_text(hall: Hall, heat: Heat, run: int) -> str:
    """The lanes on which something was declared in an earlier run and nothing is in this one, in a sentence; empty for none."""
    lanes = sorted(lane.lane for lane in heat.lanes if any(_undeclared(hall, lane, run))) if run > 1 else []
    named = say("lanes_named", n=len(lanes), named=ranges(lanes))
    return (
        f"Run {run}: what was declared before does not count in it, and nothing is declared yet on {named}. The marshal's "
        "and the lifters' screens begin with the last opener."
        if lanes
        else ""
    )


def _undeclared(hall: Hall, lane: Assignment, run: int) -> Iterator[bool]:
    """Of each lift of a lane, whether that is so."""
    place = hall.projection.place_of(lane.id)
    here = hall.projection.sheet_marks(f"{lane.id}/{run}/lane")
    for number, window in enumerate(place.format.windows if place else ()):
        if place and window.task and isinstance(place.format.tasks[window.task], LiftTask):
            members = members_in(place.format, window)
            for member in members:
                alone = len(members) == 1
                before = opener_before(hall, lane, run, number, member, alone)
                yield before is not None and opener_said(here, number, member, alone) is None
