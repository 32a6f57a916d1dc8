"""What a lifter's next lift would pass, for the call screen: the least load for each entry ahead, as the standings are now."""

from typing import Any

from app.floor.bar_beside import floors_of
from app.floor.turns import turn_of
from app.hall.devices import Who
from app.hall.hall import Hall
from app.live.platforms import stands_at
from app.rules.records.roster import Assignment
from app.rules.result.chasing import Ahead, Chase, Turn, chase
from app.rules.values.shapes import load_plain
from app.store.refusals import NotThere

Plain = dict[str, Any]
NO_LIFT = "There is no such lift on this lane."


class NoSuchLift(NotThere):
    """Raised when the lift that is asked about isn't this lane's; its text is the sentence to show."""


def ahead(hall: Hall, who: Who, assignment: str, window: int, member: int | None) -> Plain:
    """What the next lift chases, as JSON values, for a device at its place; `chase` is null where nothing can be said. `turn`:
    how many lifts come before, and whether it is called; null where lanes share no bar, or nobody waits on this one. Raises
    NoSuchLift."""
    place = hall.projection.place_of(assignment)
    roster = hall.projection.roster
    if place is None or roster is None or not stands_at(hall, who, place) or not 0 <= window < len(place.format.windows):
        raise NoSuchLift(NO_LIFT)
    task = place.format.windows[window].task
    if task is None or place.format.tasks[task].kind != "lift":
        raise NoSuchLift(NO_LIFT)
    lanes = [one.id for heat in roster.heats if heat.event == place.event.id for one in heat.lanes]
    tallies = {one: tally for one in lanes if (tally := hall.projection.counting_tally(one)) is not None}
    standing = hall.projection.event_results(place.event.id)
    turn = Turn(assignment, window, member, floors_of(hall, place.heat).get(window))
    found = chase(roster, standing, tallies, hall.projection.rulings, turn, hall.projection.runs)
    return {
        "chase": None if found is None else _plain(found, place.assignment),
        "turn": turn_of(hall, place.heat, place.assignment),
        "version": hall.projection.version,
    }


def _plain(found: Chase, assignment: Assignment) -> Plain:
    return {
        "assignment": assignment.id,
        "score": found.rule.name,
        "place": found.place,
        "shared": found.shared,
        "ahead": [_ahead(one) for one in found.ahead],
        "more": found.more,
    }


def _ahead(one: Ahead) -> Plain:
    load = None if one.load is None else load_plain(one.load)
    return {"name": one.name, "place": one.place, "level": one.level, "load": load}
