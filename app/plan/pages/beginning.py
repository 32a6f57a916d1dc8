"""Before there is a competition: a whole one to begin from, changed by a few answers."""

import asyncio

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.hall.forms import Typed
from app.plan.beginning import begin_from, ready_typed, ready_view
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import Desk, setup_page, stored
from app.web.typed import typed

routes = Rows()
LIST = "/desk/setup"


@routes.get("/desk/begin/{key}")
async def beginning(request: Request, who: Desk, key: str) -> Response:
    """A competition to begin from, with what it holds and what is asked. Once there is one, its list of the day."""
    if hall_of(request).projection.roster is not None:
        return RedirectResponse(LIST, 303)
    return await _beginning(request, key, ready_typed(key))


@routes.post("/desk/begin/{key}", record=("setup", "Start from a ready-made day"))
async def begin(request: Request, who: Desk, key: str) -> Response:
    """Begins it, all of it in one step."""
    form = await typed(request)

    async def again(wrong: Wrong) -> Response:
        return await _beginning(request, key, form, wrong)

    async with shown_again(again):
        await begin_from(hall_of(request), key, form)
    return stored(LIST)


async def _beginning(request: Request, key: str, form: Typed, wrong: Wrong | None = None) -> Response:
    """In a thread: its events are read, and how many entries fit is tried out."""
    view = await asyncio.to_thread(ready_view, key, form)
    return setup_page(request, "plan/beginning.html", LIST, view.name, wrong, view=view, form=form_of(form, wrong))
