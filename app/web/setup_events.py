"""Set-up: events, started from a preset or from nothing, and the form in which every part of a format can be changed."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.actions import event_edits, event_form, event_rows
from app.actions import events
from app.actions.event_view import EventPage, event_page
from app.actions.forms import BadForm, Typed
from app.actions.organising import found, needed_roster
from app.actions.setup_views import Undo, event_lines
from app.store.records import NotThere, Refusal
from app.web.pages import hall_of, sentence
from app.web.setup_parts import NAMED, WRONG, Desk, form_of, in_path, setup_page, step_of, stored, undo_of
from app.web.typed import typed

routes = APIRouter(dependencies=NAMED)
START = {"unit": "lb", "work": "2:00", "rest": "2:00", "change": "0:00", "bar": "45", "step": "1", "plate": "0.5"}


@routes.get("/desk/events")
async def events_page(request: Request, who: Desk) -> Response:
    """The events in the order run."""
    return _events(request, START)


@routes.post("/desk/events")
async def start_event(request: Request, who: Desk) -> Response:
    """Starts an event from the preset's few knobs and opens it."""
    form = await typed(request)
    try:
        key = await events.start_event(hall_of(request), form)
    except WRONG as wrong:
        return _events(request, form, wrong)
    return stored(f"/desk/events/{in_path(key)}")


@routes.get("/desk/events/new")
async def new_event(request: Request, who: Desk) -> Response:
    """An empty event form."""
    return _event(request, event_rows.EventForm(), "")


@routes.post("/desk/events/new")
async def add_event(request: Request, who: Desk) -> Response:
    """Adds an event, or adds and moves rows of its form."""
    return await _saved(request, "")


@routes.get("/desk/events/{key}")
async def open_event(request: Request, who: Desk, key: str) -> Response:
    """An event's form."""
    try:
        event = found(needed_roster(hall_of(request)).events, key, "event")
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    return _event(request, event_form.format_form(event.name, event.format), key)


@routes.post("/desk/events/{key}")
async def save_event(request: Request, who: Desk, key: str) -> Response:
    """Changes an event, or adds and moves rows of its form."""
    return await _saved(request, key)


@routes.post("/desk/events/{key}/move")
async def move_event(request: Request, who: Desk, key: str) -> Response:
    """Moves an event up or down in the order run."""
    await events.move_event(hall_of(request), key, step_of(await typed(request)))
    return stored("/desk/events")


@routes.post("/desk/events/{key}/delete")
async def delete_event(request: Request, who: Desk, key: str) -> Response:
    """Deletes an event that has no heats."""
    try:
        gone = await events.delete_event(hall_of(request), key)
    except WRONG as wrong:
        return _events(request, START, wrong)
    fields = {"id": gone.id, "do": "save", **event_form.typed_fields(event_form.format_form(gone.name, gone.format))}
    return _events(request, START, undo=undo_of(gone.name, "/desk/events/new", fields))


async def _saved(request: Request, key: str) -> Response:
    """The button says what is wanted: `save`, or a change of the form's rows, which stores nothing."""
    sent = await typed(request)
    form = event_form.typed_form(sent)
    if sent.get("do", "save") != "save":
        return _event(request, event_edits.edited(form, sent["do"], sent), key)
    try:
        await events.save_event(hall_of(request), form, key or sent.get("id", ""))
    except WRONG as wrong:
        return _event(request, form, key, wrong)
    return stored("/desk/events")


def _events(request: Request, form: Typed, wrong: BadForm | Refusal | None = None, undo: Undo | None = None) -> Response:
    lines = event_lines(hall_of(request))
    view = form_of(form, wrong)
    return setup_page(request, "desk/events.html", "/desk/events", "Events", wrong, form=view, lines=lines, undo=undo)


def _event(request: Request, form: event_rows.EventForm, key: str, wrong: BadForm | Refusal | None = None) -> Response:
    view: EventPage = event_page(hall_of(request), form, key)
    problems = form_of(event_form.typed_fields(form), wrong)
    return setup_page(request, "desk/event.html", "/desk/events", "Event", wrong, form=problems, view=view, key=key)
