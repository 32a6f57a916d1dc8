"""Set-up: a new event from a workout as it is written. Reading takes a thread: a judge's tap never waits for it."""

import asyncio

from fastapi import Request
from fastapi.responses import Response

from app.compose import written_event
from app.hall.forms import Typed
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import ONLY_LOOKS, Rows
from app.web.setup_parts import NAMED, Desk, in_path, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
TITLE = "Paste a workout"


@routes.get("/desk/workout")
async def paste_workout(request: Request, who: Desk) -> Response:
    """Where a workout is pasted or typed."""
    return await _workout(request, {})


@routes.post("/desk/workout/look", record=ONLY_LOOKS)
async def look_at_workout(request: Request, who: Desk) -> Response:
    """What a text is understood to say, with the answers given so far. Nothing is stored."""
    form = await typed(request)
    view = await asyncio.to_thread(written_event.written_page, hall_of(request), form)
    return page(request, "compose/workout_look.html", view=view)


@routes.post("/desk/workout", record=("event", "Add an event from a written workout"))
async def make_from_workout(request: Request, who: Desk) -> Response:
    """Adds the event that the text says and opens it."""
    form = await typed(request)
    async with shown_again(lambda wrong: _workout(request, form, wrong)):
        key = await written_event.make_written_event(hall_of(request), form)
    return stored(f"/desk/events/{in_path(key)}")


async def _workout(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    view = await asyncio.to_thread(written_event.written_page, hall_of(request), form)
    return setup_page(request, "compose/workout.html", "/desk/events", TITLE, wrong, view=view, form=form_of(form, wrong))
