"""Set-up: a new event from a preset and its few knobs, and the dry run of an event, stored or not.

Knobs are read in a thread: a box for work may hold what the reader of whole workouts has to be asked for.
"""

import asyncio

from fastapi import Request
from fastapi.responses import Response

from app.compose import composing
from app.compose.dry_run import dry_run
from app.compose.event_form import typed_form
from app.compose.event_reading import read_event
from app.hall.forms import BadForm, Typed
from app.hall.organising import found, needed_roster
from app.rules.workout.formats import Format
from app.web.pages import hall_of, page, sentence
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import ONLY_LOOKS, Rows
from app.web.setup_parts import NAMED, Desk, in_path, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
NOT_YET = "This can't be played yet. {} Close this page, correct it and try again."


@routes.get("/desk/events/new")
async def choose_preset(request: Request, who: Desk) -> Response:
    """The presets as cards."""
    return setup_page(request, "compose/presets.html", "/desk/events", "New event", groups=composing.gallery())


@routes.post("/desk/events/dry-run", record=ONLY_LOOKS)
async def play_form(request: Request, who: Desk) -> Response:
    """The dry run of a form as it stands."""
    async with shown_again(lambda wrong: sentence(request, 422, NOT_YET.format(wrong)), BadForm):
        name, format = await asyncio.to_thread(read_event, typed_form(await typed(request)))
    return _play(request, name, format)


@routes.get("/desk/events/new/{preset}")
async def open_preset(request: Request, who: Desk, preset: str) -> Response:
    """A preset's knobs, and what they make."""
    return await _preset(request, preset, None)


@routes.post("/desk/events/new/{preset}/look", record=ONLY_LOOKS)
async def look_at_preset(request: Request, who: Desk, preset: str) -> Response:
    """What the knobs make as they stand. Nothing is stored."""
    view = await asyncio.to_thread(composing.preset_page, hall_of(request), preset, await typed(request))
    return page(request, "compose/preset_look.html", view=view)


@routes.post("/desk/events/new/{preset}/dry-run", record=ONLY_LOOKS)
async def play_preset(request: Request, who: Desk, preset: str) -> Response:
    """The dry run of what the knobs make."""
    form = await typed(request)
    format = await asyncio.to_thread(composing.preset_format, hall_of(request), preset, form)
    return _play(request, form.get("name", "").strip() or "Event", format)


@routes.post("/desk/events/new/{preset}", record=("event", "Add an event from a kind of event"))
async def make_event(request: Request, who: Desk, preset: str) -> Response:
    """Adds the event that the knobs make and opens it."""
    form = await typed(request)
    async with shown_again(lambda wrong: _preset(request, preset, form, wrong)):
        key = await composing.make_event(hall_of(request), preset, form)
    return stored(f"/desk/events/{in_path(key)}")


@routes.get("/desk/events/{key}/dry-run")
async def play_event(request: Request, who: Desk, key: str) -> Response:
    """The dry run of an event as it is stored."""
    event = found(needed_roster(hall_of(request)).events, key, "event")
    return _play(request, event.name, event.format)


async def _preset(request: Request, preset: str, form: Typed | None, wrong: Wrong | None = None) -> Response:
    view, shown = await asyncio.to_thread(composing.preset_page, hall_of(request), preset, form), form_of(form or {}, wrong)
    return setup_page(request, "compose/preset.html", "/desk/events", view.name, wrong, view=view, form=shown)


def _play(request: Request, name: str, format: Format) -> Response:
    return page(request, "compose/dry_run.html", view=dry_run(hall_of(request), name, format))
