"""Events: stored from the event form."""

import asyncio

from app.compose.event_reading import read_event
from app.compose.event_rows import EventForm
from app.hall.changing import id_or_new
from app.hall.forms import BadForm, Problem
from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.hall.plain import is_taken, keep
from app.rules.records.roster import Event
from app.store.kinds import EVENTS


async def save_event(hall: Hall, form: EventForm, key: str = "") -> str:
    """Adds an event or changes one; returns its id. Raises BadForm with every problem, storing nothing."""
    return await keep(hall, EVENTS, await asyncio.to_thread(event_of, hall, form, key))


def event_of(hall: Hall, form: EventForm, key: str = "") -> Event:
    """The event as the form says it. Raises BadForm with every problem."""
    known = next((event for event in needed_roster(hall).events if event.id == key), None)
    name, format = read_event(form, known.format if known else None)
    check_name(hall, name, key)
    if known is None:
        return Event(id=id_or_new(key), name=name, format=format)
    variants = {to: key for to, key in known.variants.items() if format.variant(key)}
    return known.model_copy(update={"name": name, "format": format, "variants": variants})


def check_name(hall: Hall, name: str, key: str) -> None:
    """Raises BadForm if another event has that name."""
    if is_taken(needed_roster(hall), EVENTS, name, key):
        raise BadForm([Problem("name", f"There is already an event called {name}. Give this one another name.")])
