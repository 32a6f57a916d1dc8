"""Events: stored from the event form, started from a preset, put in order, removed."""

from app.actions.changing import change_roster, id_or_new, new_id
from app.actions.event_reading import read_event
from app.actions.event_rows import EventForm
from app.actions.forms import BadForm, Problem, Reading, Typed
from app.actions.hall import Hall
from app.actions.organising import UNITS, found, moved, needed_roster
from app.rules.document import Event
from app.rules.formats import Format
from app.rules.presets import mirrored_pair
from app.rules.units import LoadUnit
from app.store import records

LONGEST_KNOB = 3600  # seconds


async def save_event(hall: Hall, form: EventForm, key: str = "") -> str:
    """Adds an event or changes one; returns its id. Raises BadForm with every problem, storing nothing."""
    roster = needed_roster(hall)
    known = next((event for event in roster.events if event.id == key), None)
    name, format = read_event(form, known.format if known else None)
    _check_name(hall, name, key)
    event = Event(id=id_or_new(key), name=name, format=format)
    await change_roster(hall, lambda session: records.put_event(session, event))
    return event.id


def _check_name(hall: Hall, name: str, key: str) -> None:
    if any(event.name.casefold() == name.casefold() and event.id != key for event in needed_roster(hall).events):
        raise BadForm([Problem("name", f"There is already an event called {name}. Give this one another name.")])


async def start_event(hall: Hall, typed: Typed) -> str:
    """Adds a mirrored pair event from a few knobs; returns its id. Everything in it can be changed afterwards."""
    read = Reading(typed)
    name = read.name("name", "The event's name")
    format = mirrored_pair_of(read)
    read.done()
    assert format is not None  # `done` has raised otherwise
    _check_name(hall, name, "")
    event = Event(id=new_id(), name=name, format=format)
    await change_roster(hall, lambda session: records.put_event(session, event))
    return event.id


def mirrored_pair_of(read: Reading) -> Format | None:
    """The preset's format from the starter's knobs, or None with the problems noted."""
    chosen = read.choice("unit", "The unit of loads", UNITS)
    unit: LoadUnit = "kg" if chosen == "kg" else "lb"
    lengths = [
        read.seconds("work", "The length of a window"),
        read.seconds("rest", "The rest between two windows", 0),
        read.seconds("change", "The time between the members", 0),
    ]
    for field, seconds in zip(("work", "rest", "change"), lengths, strict=True):
        if seconds > LONGEST_KNOB:
            read.wrong(field, "A window or rest is at most an hour long, 60:00.")
    bar = read.needed_load("bar", "The empty bar", unit)
    step = read.needed_load("step", "The least step from load to load", unit)
    plate = read.needed_load("plate", "The least plate", unit)
    if read.problems:
        return None
    return mirrored_pair(
        unit,
        work_seconds=lengths[0],
        rest_seconds=lengths[1],
        change_seconds=lengths[2],
        bar=bar,
        step=step,
        least_plate=plate,
    )


async def move_event(hall: Hall, key: str, by: int) -> None:
    """Moves an event up (-1) or down (1) in the order run."""
    ids = moved([event.id for event in needed_roster(hall).events], key, by)
    await change_roster(hall, lambda session: records.order_events(session, ids))


async def delete_event(hall: Hall, key: str) -> Event:
    """Removes an event and returns it, so that it can be put back. Raises InUse, NotThere."""
    event = found(needed_roster(hall).events, key, "event")
    await change_roster(hall, lambda session: records.delete_event(session, key))
    return event
