"""Signing an event's results off, which lets nothing later change them, and opening them again."""

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from app.hall.changing import new_id
from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.hall.heats import newest_runs, state_of
from app.hall.organising import needed_roster
from app.hall.views import State
from app.results.results_state import finality_of, finality_text
from app.review.finding import came_late
from app.review.flags import open_flags
from app.review.ruling import store, who_and_why
from app.rules.records.document import counting_number
from app.rules.records.in_force import after_sign_off, signed_off
from app.rules.records.marks import Mark
from app.rules.records.moves import ON_THE_FLOOR
from app.rules.records.roster import Event, Heat
from app.rules.records.rulings import Ruling
from app.rules.records.signed import marks_held
from app.rules.values.words import say
from app.store.refusals import NotThere

Shape = Literal["safe", "look", "kept"]
SIGNED = "Results looked through and signed off"


@dataclass(frozen=True, slots=True)
class EventLine:
    """An event at the review: how final it is, what still waits, what came after its sign-off; `refusal` says why it can't be
    signed off now."""

    id: str
    name: str
    state: State
    waits: str
    came_after: str
    signed: bool
    flags: int
    refusal: str


def event_lines(hall: Hall) -> tuple[EventLine, ...]:
    """The events in the order run."""
    waiting = open_flags(hall)
    of_lane = {lane.id: heat.event for heat in needed_roster(hall).heats for lane in heat.lanes}
    return tuple(
        _line(hall, event, sum(of_lane.get(flag.assignment) == event.id for flag in waiting))
        for event in needed_roster(hall).events
    )


def _line(hall: Hall, event: Event, flags: int) -> EventLine:
    found = finality_of(hall, event)
    shape: Shape = "safe" if found.state in ("final", "signed") else "look" if found.state == "protested" else "kept"
    waits = [f"{flags} to look at"] if flags else []
    if found.open:
        waits.append(say("protests_open", n=found.open))
    return EventLine(
        id=event.id,
        name=event.name,
        state=State(shape, finality_text(found)),
        waits=", ".join(waits),
        came_after=_came_after(hall, event),
        signed=found.signed is not None,
        flags=flags,
        refusal=_refusal(hall, event),
    )


def _came_after(hall: Hall, event: Event) -> str:
    signed = signed_off(hall.projection.rulings, event.id)
    if signed is None:
        return ""
    marks = sum(len(came_late(hall.projection, lane.id)) for heat in _heats(hall, event) for lane in heat.lanes)
    rulings = [one for one in after_sign_off(hall.projection.rulings, event.id) if _is_on(hall, one, event)]
    told = [say(what, n=n) for n, what in ((marks, "marks"), (len(rulings), "rulings")) if n]
    return f"{' and '.join(told)} came after the sign-off. They change nothing until it is opened again." if told else ""


def _is_on(hall: Hall, ruling: Ruling, event: Event) -> bool:
    if ruling.kind in ("flag", "protest", "undo", "sign_off"):
        return False
    place = hall.projection.place_of(ruling.assignment) if ruling.assignment else None
    return place.event.id == event.id if place else ruling.event in (None, event.id)


def _heats(hall: Hall, event: Event) -> list[Heat]:
    return [heat for heat in needed_roster(hall).heats if heat.event == event.id]


def _marks(hall: Hall, event: Event) -> list[Mark]:
    lanes = [lane.id for heat in _heats(hall, event) for lane in heat.lanes]
    return [mark for lane in lanes for mark in hall.projection.assignment_marks(lane)]


def _refusal(hall: Hall, event: Event) -> str:
    roster, runs = needed_roster(hall), newest_runs(hall.projection.runs)
    heats = _heats(hall, event)
    if any(state_of(hall, roster, heat, runs.get(heat.id)) in ON_THE_FLOOR for heat in heats):
        return f"A heat of {event.name} is on the floor. Wait for its last bell."
    if not any(heat.id in runs for heat in heats):
        return f"No heat of {event.name} has been run yet."
    found = finality_of(hall, event)
    return "Decide the protests first." if found.open else ""


def _event(hall: Hall, key: str) -> Event:
    event = next((event for event in needed_roster(hall).events if event.id == key), None)
    if event is None:
        raise NotThere("There is no such event. It may have been deleted meanwhile.")
    return event


async def sign_off(hall: Hall, key: str, typed: Typed) -> Ruling:
    """Signs an event off with the marks, runs and rulings of this moment. Raises BadForm, NotThere.

    Flags that are still open must be accepted by a tick: whoever signs has seen that there are some.
    """
    event, read = _event(hall, key), Reading(typed)
    by, why = read.name("by", "Your name"), read.optional("why", "The remark", 300)
    refusal = _refusal(hall, event)
    if refusal:
        read.wrong("by", refusal)
    lines = await asyncio.to_thread(event_lines, hall)  # every sheet is looked through: not on the loop that takes the marks
    if next(line for line in lines if line.id == key).flags and not read.raw("anyway"):
        read.wrong("anyway", "There are still things to look at. Tick here to sign off all the same.")
    if signed_off(hall.projection.rulings, key) is not None:
        read.wrong("by", f"{event.name} is signed off already.")
    read.done()
    runs = {heat.id: counting_number(hall.projection.runs, heat.id) for heat in _heats(hall, event)}
    body = {"state": "signed", "marks": marks_held(filter(hall.projection.counts, _marks(hall, event))), "runs": runs}
    return await _store(hall, event, body, by, why or SIGNED)


async def open_again(hall: Hall, key: str, typed: Typed) -> Ruling:
    """Opens a signed event again, for a reason. What came after the sign-off counts from then on. Raises BadForm, NotThere."""
    event, read = _event(hall, key), Reading(typed)
    by, why = who_and_why(read)
    read.done()
    if signed_off(hall.projection.rulings, key) is None:
        raise refuse("by", f"{event.name} is not signed off.")
    return await _store(hall, event, {"state": "open"}, by, why)


async def _store(hall: Hall, event: Event, body: Mapping[str, object], by: str, why: str) -> Ruling:
    plain = {"id": new_id(), "kind": "sign_off", "event": event.id, "body": body, "by": by, "why": why}
    ruling = Ruling.model_validate({**plain, "made_wall_ms": later_than_all(hall)})
    await store(hall, (ruling,))
    return ruling
