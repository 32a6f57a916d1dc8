"""How soon somebody is called at a bar that lanes share, told to the phones of lifters and coaches: they hold no other lifter's
marks, and the order of lifting is folded from them all. They are told no more than the warm-up area's page shows everybody."""

from collections.abc import Mapping, Sequence
from typing import Any

from app.hall.hall import Hall
from app.hall.heats import bar_lanes, by_openers, event_of, heat_ms, newest_runs, state_of, still_in
from app.live.presence import Who
from app.rules.count.lift_order import Waiting, called_lift, called_next
from app.rules.records.document import Run
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.platforms import heats_at_platforms
from app.rules.records.roster import Assignment, Heat, Roster

Plain = dict[str, Any]


def turns_of(hall: Hall, who: Who) -> Plain:
    """By assignment of whoever waits, how many lifts come before theirs, and whether they are called now; in JSON values."""
    roster = hall.projection.roster
    if roster is None:
        return {}
    runs, found = newest_runs(hall.projection.runs), Plain()
    for heat in heats_at_platforms(roster):
        ours = {lane.lane: lane.id for lane in heat.lanes if lane.entry in who.entries}
        found |= _turns(hall, roster, heat, runs.get(heat.id), ours) if ours else {}
    return found


def turn_of(hall: Hall, heat: Heat, lane: Assignment) -> Plain | None:
    """The same of one lane of a heat; None where its lanes share no bar, or nobody waits on it."""
    roster = hall.projection.roster
    if roster is None or heat.id not in {one.id for one in heats_at_platforms(roster)}:
        return None
    run = newest_runs(hall.projection.runs).get(heat.id)
    return _turns(hall, roster, heat, run, {lane.lane: lane.id}).get(lane.id)


def _turns(hall: Hall, roster: Roster, heat: Heat, run: Run | None, ours: Mapping[int, str]) -> Plain:
    """`ours`: the assignments that are asked about, by lane."""
    waiting, called = _waiting(hall, roster, heat, run)
    return {ours[one.lot]: {"before": before, "called": one is called} for before, one in enumerate(waiting) if one.lot in ours}


def _waiting(hall: Hall, roster: Roster, heat: Heat, run: Run | None) -> tuple[Sequence[Waiting], Waiting | None]:
    """Who waits at a heat's bar, in order, and whoever of them is called."""
    event, state = event_of(roster, heat), state_of(hall, roster, heat, run)
    if run is None or state not in ON_THE_FLOOR:
        return ((), None) if state is HeatState.OVER else (by_openers(hall, roster, event, still_in(hall, event, heat)), None)
    lanes = list(bar_lanes(hall, roster, event, run, heat))
    order = called_next(lanes, heat_ms(hall, run))
    return order, called_lift(order, lanes)
