"""Set-up: a new event from a preset and its few knobs, and the dry run of an event, stored or not."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.compose import composing
from app.compose.dry_run import dry_run
from app.compose.event_form import typed_form
from app.compose.event_reading import read_event
from app.hall.forms import BadForm
from app.hall.organising import found, needed_roster
from app.rules.workout.formats import Format
from app.store.records import NotThere
from app.web.pages import hall_of, page, sentence
from app.web.setup_parts import NAMED, WRONG, Desk, form_of, in_path, setup_page, stored
from app.web.typed import typed

routes = APIRouter(dependencies=NAMED)
NOT_YET = "This can't be played yet. {} Close this page, put it right, and try again."


@routes.get("/desk/events/new")
async def choose_preset(request: Request, who: Desk) -> Response:
    """The presets as cards."""
    return setup_page(request, "compose/presets.html", "/desk/events", "New event", groups=composing.gallery())


@routes.post("/desk/events/dry-run")
async def play_form(request: Request, who: Desk) -> Response:
    """The dry run of a form as it stands."""
    try:
        name, format = read_event(typed_form(await typed(request)))
    except BadForm as bad:
        return sentence(request, 422, NOT_YET.format(bad))
    return _play(request, name, format)


@routes.get("/desk/events/new/{preset}")
async def open_preset(request: Request, who: Desk, preset: str) -> Response:
    """A preset's knobs, and what they make."""
    try:
        view = composing.preset_page(hall_of(request), preset)
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    return setup_page(request, "compose/preset.html", "/desk/events", view.name, view=view, form=form_of({}))


@routes.post("/desk/events/new/{preset}/look")
async def look_at_preset(request: Request, who: Desk, preset: str) -> Response:
    """What the knobs make as they stand. Nothing is stored."""
    try:
        view = composing.preset_page(hall_of(request), preset, await typed(request))
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    return page(request, "compose/preset_look.html", view=view)


@routes.post("/desk/events/new/{preset}/dry-run")
async def play_preset(request: Request, who: Desk, preset: str) -> Response:
    """The dry run of what the knobs make."""
    form = await typed(request)
    try:
        format = composing.preset_format(preset, form)
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    return _play(request, form.get("name", "").strip() or "Event", format)


@routes.post("/desk/events/new/{preset}")
async def make_event(request: Request, who: Desk, preset: str) -> Response:
    """Adds the event that the knobs make and opens it."""
    form, hall = await typed(request), hall_of(request)
    try:
        key = await composing.make_event(hall, preset, form)
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    except WRONG as wrong:
        view = composing.preset_page(hall, preset, form)
        return setup_page(request, "compose/preset.html", "/desk/events", view.name, wrong, view=view, form=form_of(form, wrong))
    return stored(f"/desk/events/{in_path(key)}")


@routes.get("/desk/events/{key}/dry-run")
async def play_event(request: Request, who: Desk, key: str) -> Response:
    """The dry run of an event as it is stored."""
    try:
        event = found(needed_roster(hall_of(request)).events, key, "event")
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    return _play(request, event.name, event.format)


def _play(request: Request, name: str, format: Format) -> Response:
    return page(request, "compose/dry_run.html", view=dry_run(hall_of(request), name, format))
