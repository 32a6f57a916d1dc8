"""Set-up: events in the order run, and the composer in which every part of one can be changed.

A form is read in a thread: a list in it may be one that the reader of whole workouts has to be asked for.
"""

import asyncio

from fastapi import Request
from fastapi.responses import Response

from app.compose import event_edits, event_form, events
from app.compose.event_changes import Recount, recount_of
from app.compose.event_list import event_lines
from app.compose.event_look import look
from app.compose.event_rows import EventForm
from app.compose.event_view import event_page
from app.hall.forms import Typed
from app.hall.heats import has_marks
from app.hall.lists import Undo
from app.hall.organising import found, needed_roster
from app.store.kinds import EVENTS
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import ONLY_LOOKS, Rows
from app.web.setup_parts import NAMED, Desk, following, in_path, moved, offer, removed, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
SAVE = "save"
SURE = "sure"  # the organiser has seen what changes in the results


@routes.get("/desk/events")
async def events_page(request: Request, who: Desk) -> Response:
    """The events in the order run."""
    return _events(request)


@routes.get("/desk/events/blank")
async def new_event(request: Request, who: Desk) -> Response:
    """An empty event form."""
    return await _event(request, EventForm(), "")


@routes.post("/desk/events/new", record=("event", "Add an event"))
async def add_event(request: Request, who: Desk) -> Response:
    """Adds an event, or adds and moves rows of its form."""
    return await _saved(request, "")


@routes.post("/desk/events/look", record=ONLY_LOOKS)
async def look_at_event(request: Request, who: Desk) -> Response:
    """What a form shows as it stands: the strip, the event in words, warnings. Nothing is stored."""
    key = request.query_params.get("event", "")
    known = next((event.format for event in needed_roster(hall_of(request)).events if event.id == key), None)
    sent = await typed(request)
    seen = await asyncio.to_thread(look, event_form.typed_form(sent), known, sent.get("zoom", ""))
    return page(request, "compose/event_look.html", look=seen)


@routes.get("/desk/events/{key}")
async def open_event(request: Request, who: Desk, key: str) -> Response:
    """An event's form."""
    event = found(needed_roster(hall_of(request)).events, key, "event")
    return await _event(request, event_form.format_form(event.name, event.format), key)


@routes.post("/desk/events/{key}", record=("event", "Change an event"))
async def save_event(request: Request, who: Desk, key: str) -> Response:
    """Changes an event, or adds and moves rows of its form."""
    return await _saved(request, key)


@routes.post("/desk/events/{key}/move", record=("event", "Move an event"))
async def move_event(request: Request, who: Desk, key: str) -> Response:
    """Moves an event up or down in the order run."""
    return await moved(request, EVENTS, key, lambda undo: _events(request, undo=undo), "/desk/events")


@routes.post("/desk/events/{key}/delete", record=("event", "Delete an event"))
async def delete_event(request: Request, who: Desk, key: str) -> Response:
    """Deletes an event that has no heats."""

    def show(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
        return _events(request, wrong, undo)

    return await removed(request, EVENTS, key, show, "/desk/events")


async def _saved(request: Request, key: str) -> Response:
    """The button says what is wanted: to store, to store although results change, or a change of rows, which stores nothing."""
    sent = await typed(request)
    form, do, hall = event_form.typed_form(sent), sent.get("do", SAVE), hall_of(request)
    if do not in (SAVE, SURE):
        return await _event(request, event_edits.edited(form, do, sent), key)
    async with shown_again(lambda wrong: _event(request, form, key, wrong)):
        recount = recount_of(hall, await asyncio.to_thread(events.event_of, hall, form, key)) if key and do == SAVE else None
        if recount is not None and recount.to_be_shown:
            return await _event(request, form, key, recount=recount)
        with following(f"/desk/events/{in_path(key)}") as way:
            made = await events.save_event(hall, form, key)
    at = f"/desk/events/{in_path(made)}"
    if not way.step or has_marks(hall, made):  # under marks it changes only as it did now: after a look at what that does
        return stored(at)
    event = found(needed_roster(hall).events, made, "event")
    return await _event(request, event_form.format_form(event.name, event.format), made, undo=offer(way, "The event is saved."))


def _events(request: Request, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    lines, view = event_lines(hall_of(request)), form_of({}, wrong)
    return setup_page(request, "compose/events.html", "/desk/events", "Events", wrong, form=view, lines=lines, undo=undo)


async def _event(
    request: Request,
    form: EventForm,
    key: str,
    wrong: Wrong | None = None,
    recount: Recount | None = None,
    undo: Undo | None = None,
) -> Response:
    view = await asyncio.to_thread(event_page, hall_of(request), form, key)
    problems = form_of(event_form.typed_fields(form), wrong)
    views = {"form": problems, "view": view, "key": key, "recount": recount, "undo": undo}
    return setup_page(request, "compose/event.html", "/desk/events", form.name or "New event", wrong, **views)
