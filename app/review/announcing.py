"""Announcing an event's result: the moment that its time for protests may run from; and taking a mistaken announcement back."""

from app.hall.changing import new_id
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.hall.heats import newest_runs, state_of
from app.hall.organising import found, needed_roster
from app.results.results_state import announced_of, moment_text
from app.review.ruling import store, undoing, who_and_why
from app.rules.records.in_force import signed_off
from app.rules.records.moves import ON_THE_FLOOR
from app.rules.records.roster import Event
from app.rules.records.rulings import Ruling
from app.rules.result.protests import announcements, last_go, open_until, over_at

NOT_ANNOUNCED = "The announcement was taken back already, or a heat was run again since."
READ_OUT = "Read out or posted"


def announced_when(hall: Hall, event: Event) -> str:
    """When an event's result was announced, or nothing."""
    announced = announced_of(hall, needed_roster(hall), event)
    return "" if announced is None else moment_text(hall, announced)


def not_to_announce(hall: Hall, event: Event) -> str:
    """Why there is no result of an event to announce, in words; or nothing."""
    roster, runs = needed_roster(hall), hall.projection.runs
    if signed_off(hall.projection.rulings, event.id) is not None:
        return f"{event.name} is signed off already."
    heats = [heat for heat in roster.heats if heat.event == event.id]
    if over_at(heats, runs, event.format.length_ms) is None:
        return f"Not every heat of {event.name} has been run."
    return on_the_floor(hall, event)


def on_the_floor(hall: Hall, event: Event) -> str:
    """That a heat of an event is under way, so that it has no result yet, in words; or nothing."""
    roster, runs = needed_roster(hall), newest_runs(hall.projection.runs)
    heats = (heat for heat in roster.heats if heat.event == event.id)
    if any(state_of(hall, roster, heat, runs.get(heat.id)) in ON_THE_FLOOR for heat in heats):
        return f"A heat of {event.name} is on the floor. Wait for its last bell, or close it."
    return ""


async def announce(hall: Hall, key: str, typed: Typed) -> Ruling:
    """Notes that an event's result is announced at this moment; announced again, the time runs anew. Raises BadForm, NotThere."""
    event, read = found(needed_roster(hall).events, key, "event"), Reading(typed)
    by = read.name("by", "Your name")
    if why := not_to_announce(hall, event):
        read.wrong("by", why)
    read.done()
    plain = {"id": new_id(), "kind": "announce", "event": event.id, "by": by, "why": READ_OUT}
    heats = [heat for heat in needed_roster(hall).heats if heat.event == event.id]
    made = max(later_than_all(hall), last_go(heats, hall.projection.runs))  # the wall clock may have been set back since
    ruling = Ruling.model_validate({**plain, "made_wall_ms": made})
    await store(hall, (ruling,))
    return ruling


def taken_back_does(hall: Hall, event: Event) -> str:
    """What taking the announcement of an event's result back does to its time for protests, in words; empty where there is none
    to take back."""
    said = _standing(hall, event)
    if not said or signed_off(hall.projection.rulings, event.id) is not None:
        return ""
    rules = needed_roster(hall).competition
    if rules.protest_from == "bell":
        return "The time for protests runs from the last bell all the same."
    if len(said) == 1:
        return "Then the result is not announced, and the time for protests has not begun. Protests that came in stay."
    before = said[-2].made_wall_ms
    over = open_until(before, rules.protest_minutes) or before
    return f"Then the announcement of {moment_text(hall, before)} counts again: protests until {moment_text(hall, over)}."


async def take_back(hall: Hall, key: str, typed: Typed) -> Ruling:
    """Takes the announcement that counts back, for a reason: by a record of its own, as if it had not been made. Raises BadForm,
    NotThere."""
    event, read = found(needed_roster(hall).events, key, "event"), Reading(typed)
    by, why = who_and_why(read)
    said = _standing(hall, event)
    if signed_off(hall.projection.rulings, event.id) is not None:
        read.wrong("by", f"{event.name} is signed off. Reopen it first.")
    elif not said:
        read.wrong("by", NOT_ANNOUNCED)
    read.done()
    made = undoing(hall, said[-1], by, why)
    await store(hall, (made,))
    return made


def _standing(hall: Hall, event: Event) -> tuple[Ruling, ...]:
    heats = [heat for heat in needed_roster(hall).heats if heat.event == event.id]
    return announcements(event.id, heats, hall.projection.runs, hall.projection.rulings)
