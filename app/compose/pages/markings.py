"""Set-up: what is marked for an event, drawn to scale, and the sheets to print."""

from fastapi import Request
from fastapi.responses import Response

from app.compose.markings import markings_page, markings_typed, save_markings, sheets
from app.hall.forms import Typed
from app.hall.lists import Undo
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, in_path, setup_page
from app.web.typed import typed

routes = Rows(dependencies=NAMED)


@routes.get("/desk/events/{key}/markings")
async def open_markings(request: Request, who: Desk, key: str) -> Response:
    """The form as stored, and the drawings."""
    return _markings(request, key, markings_typed(hall_of(request), key))


@routes.post("/desk/events/{key}/markings", record=("event", "Save an event's markings"))
async def store_markings(request: Request, who: Desk, key: str) -> Response:
    """Stores what is marked, and offers to put back what was."""
    form = await typed(request)
    async with shown_again(lambda wrong: _markings(request, key, form, wrong)):
        before = await save_markings(hall_of(request), key, form)
    undo = Undo("Saved.", f"/desk/events/{in_path(key)}/markings", tuple(before.items()))
    return _markings(request, key, markings_typed(hall_of(request), key), undo=undo)


@routes.get("/desk/events/{key}/markings/sheets")
async def print_sheets(request: Request, who: Desk, key: str, per: str = "lane") -> Response:
    """The sheets, one for each lane of each heat or for each athlete, to be printed."""
    view = sheets(hall_of(request), key, per)
    return page(request, "compose/markings_sheets.html", view=view, key=key, per="athlete" if per == "athlete" else "lane")


def _markings(request: Request, key: str, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    view = markings_page(hall_of(request), key)
    views = {"form": form_of(form, wrong), "view": view, "undo": undo}
    return setup_page(request, "compose/markings.html", "/desk/events", f"Markings of {view.name}", wrong, **views)
