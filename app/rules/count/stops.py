"""Who does nothing more on a lane: after a medical stop it starts again on the medic's word alone; an entry that is ruled out of
the event lifts no more."""

from collections.abc import Iterable

from app.rules.records.in_force import standing
from app.rules.records.roster import Assignment
from app.rules.records.rulings import Ruling


def medical_stop(rulings: Iterable[Ruling], lane: Assignment, event: str) -> Ruling | None:
    """The medical stop that holds on a lane; None once a named medic let it go on, or the entry is ruled out of the event.

    The entry is out when it withdrew, did not finish or was disqualified after the stop: then the others need not wait.
    The venue's plan and licensed medical staff come first; this only keeps a desk from pressing on by mistake.
    """
    stop: Ruling | None = None
    for ruling in standing(rulings):
        if ruling.kind == "medical" and ruling.assignment == lane.id:
            stop = ruling if ruling.body["state"] == "stopped" else None
        elif ruling.kind == "status" and ruling.body["status"] and _is_on(ruling, lane, event):
            stop = None
    return stop


def is_out(rulings: Iterable[Ruling], lane: Assignment, event: str) -> bool:
    """Whether whoever is on a lane is called there no more: ruled out of the event (withdrew, did not start or finish, was
    disqualified), or stopped for a medical reason until a medic lets them go on."""
    there = list(standing(rulings))
    said = [one for one in there if one.kind == "status" and _is_on(one, lane, event)]
    return bool(said and said[-1].body["status"]) or medical_stop(there, lane, event) is not None


def _is_on(ruling: Ruling, lane: Assignment, event: str) -> bool:
    if ruling.assignment is not None:
        return ruling.assignment == lane.id
    return ruling.entry == lane.entry and ruling.event in (None, event)
