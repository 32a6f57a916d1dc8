"""What a device may know of the entries at its place: one rule for the packet that it fetches and the line that it holds open.

A coach's phone knows all of its own lifters and nothing of others. A lane's call screen passes from one lifter to the next: who
is at hand there is its own, and of the others on its lane it knows what the hall may, as the board shows it: their names, and
what they have declared and lifted. What they mean to lift, and what was noted beside their work, is not in the traffic. The
devices of judges, referees, marshal and loaders need all of it. Common practice, no source.
"""

from collections.abc import Sequence
from typing import Any, Literal

from app.hall.hall import Hall
from app.hall.heats import newest_runs, state_of
from app.live.places import Place, assignment_of
from app.live.platforms import with_entries
from app.live.presence import Who
from app.rules.records.kinds import ROWS, UNTOLD, Kind
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.roster import Heat, Roster

Plain = dict[str, Any]
Knows = Literal["all", "public", "nothing"]
ALL_KINDS: frozenset[Kind] = frozenset(ROWS)


def knows(hall: Hall, who: Who, place: Place) -> Knows:
    """How much of an entry in one heat a device may know that stands at its lane."""
    if with_entries(who):
        return "all" if place.assignment.entry in who.entries else "nothing"
    if who.role != "lifter":
        return "all"
    return "all" if place.heat.id == at_hand(hall, place.assignment.lane) else "public"


def told_to(hall: Hall, who: Who, marks: Sequence[Plain]) -> list[Plain]:
    """Of some marks in JSON values, those that a device is told of."""
    places = {sheet: hall.projection.place_of(assignment_of(sheet)) for sheet in {mark["sheet"] for mark in marks}}
    hidden = {sheet: ALL_KINDS if place is None else untold(knows(hall, who, place)) for sheet, place in places.items()}
    return [mark for mark in marks if mark["kind"] not in hidden[mark["sheet"]]]


def untold(known: Knows) -> frozenset[Kind]:
    """The kinds of mark that a device is not told of, of an entry of which it knows so much."""
    return {"all": frozenset[Kind](), "public": UNTOLD, "nothing": ALL_KINDS}[known]


def at_hand(hall: Hall, lane: int) -> str | None:
    """The heat at hand on a lane: the one that is on the floor, else the first to come; None where there is neither."""
    roster = hall.projection.roster
    if roster is None:
        return None
    runs = newest_runs(hall.projection.runs)
    there = [(heat, state_of(hall, roster, heat, runs.get(heat.id))) for heat in in_order(roster) if _has(heat, lane)]
    going = [heat.id for heat, state in there if state in ON_THE_FLOOR]
    coming = [heat.id for heat, state in there if state is not HeatState.OVER]
    return going[-1] if going else coming[0] if coming else None


def in_order(roster: Roster) -> Sequence[Heat]:
    """The heats in the order in which a tablet has them: by event, then by number."""
    order = {event.id: number for number, event in enumerate(roster.events)}
    return sorted(roster.heats, key=lambda heat: (order[heat.event], heat.number))


def _has(heat: Heat, lane: int) -> bool:
    return any(one.lane == lane for one in heat.lanes)
