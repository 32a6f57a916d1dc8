"""Announcing an event's result: the moment that its time for protests may run from."""

from app.hall.changing import new_id
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.hall.organising import found, needed_roster
from app.results.results_state import announced_of, time_of_day
from app.review.ruling import store
from app.rules.records.in_force import signed_off
from app.rules.records.roster import Event
from app.rules.records.rulings import Ruling
from app.rules.result.protests import over_at

READ_OUT = "Read out or posted"


def announced_when(hall: Hall, event: Event) -> str:
    """The time of day at which an event's result was announced, or nothing."""
    announced = announced_of(hall, needed_roster(hall), event)
    return "" if announced is None else time_of_day(announced)


def not_to_announce(hall: Hall, event: Event) -> str:
    """Why there is no result of an event to announce, in words; or nothing."""
    roster, runs = needed_roster(hall), hall.projection.runs
    if signed_off(hall.projection.rulings, event.id) is not None:
        return f"{event.name} is signed off already."
    heats = [heat for heat in roster.heats if heat.event == event.id]
    if over_at(heats, runs, event.format.length_ms) is None:
        return f"Not every heat of {event.name} has been run."
    return ""


async def announce(hall: Hall, key: str, typed: Typed) -> Ruling:
    """Notes that an event's result is announced at this moment; announced again, the time runs anew. Raises BadForm, NotThere."""
    event, read = found(needed_roster(hall).events, key, "event"), Reading(typed)
    by = read.name("by", "Your name")
    if why := not_to_announce(hall, event):
        read.wrong("by", why)
    read.done()
    plain = {"id": new_id(), "kind": "announce", "event": event.id, "by": by, "why": READ_OUT}
    ruling = Ruling.model_validate({**plain, "made_wall_ms": later_than_all(hall)})
    await store(hall, (ruling,))
    return ruling
