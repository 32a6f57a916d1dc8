"""Set-up: which divisions do an event, which variant of it, and how the counts of several counters become one."""

from fastapi import Request
from fastapi.responses import Response

from app.compose.event_divisions import divisions_page, divisions_typed, save_divisions
from app.hall.forms import Typed
from app.hall.heats import has_marks
from app.hall.lists import Undo
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, done, following, in_path, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)


@routes.get("/desk/events/{key}/variants")
async def open_variants(request: Request, who: Desk, key: str) -> Response:
    """The form as stored."""
    return _variants(request, key, divisions_typed(hall_of(request), key))


@routes.post("/desk/events/{key}/variants", record=("event", "Choose an event's divisions and variants"))
async def store_variants(request: Request, who: Desk, key: str) -> Response:
    """Stores who does what and how counts are joined."""
    form = await typed(request)
    async with shown_again(lambda wrong: _variants(request, key, form, wrong)):
        with following(f"/desk/events/{in_path(key)}/variants") as way:
            await save_divisions(hall_of(request), key, form)
    if has_marks(hall_of(request), key):
        return stored(way.at)
    return done(way, way.at, lambda undo: _variants(request, key, divisions_typed(hall_of(request), key), undo=undo))


def _variants(request: Request, key: str, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    view = divisions_page(hall_of(request), key)
    views = {"form": form_of(form, wrong), "view": view, "undo": undo}
    return setup_page(request, "compose/variants.html", "/desk/events", view.name, wrong, **views)
