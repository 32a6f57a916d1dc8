"""Set-up: the openers of an event's lifters, all on one page."""

from fastapi import Request
from fastapi.responses import Response

from app.hall.forms import Typed
from app.hall.lists import Undo
from app.people.openers_page import openers_typed, openers_view, save_openers
from app.rules.values.words import say
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, in_path, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)


@routes.get("/desk/events/{key}/openers")
async def open_openers(request: Request, who: Desk, key: str) -> Response:
    """The table as stored."""
    return _openers(request, key, openers_typed(hall_of(request), key))


@routes.post("/desk/events/{key}/openers", record=("event", "Save an event's openers"))
async def store_openers(request: Request, who: Desk, key: str) -> Response:
    """Stores the table, all or none; where it replaced openers that were there, offers to put them back."""
    form, hall = await typed(request), hall_of(request)
    async with shown_again(lambda wrong: _openers(request, key, form, wrong)):
        before = openers_typed(hall, key)
        others = await save_openers(hall, key, form)
    path = f"/desk/events/{in_path(key)}/openers"
    if not others:
        return stored(path)
    back = {name: before.get(name, "") for name in form if name.startswith(("load-", "then-"))}
    asked = {f"asked-{name}": text for name, text in back.items() if text}
    undo = Undo(
        say("openers_stored", n=others),
        path,
        tuple((back | asked).items()),
    )
    return _openers(request, key, openers_typed(hall, key), undo=undo)


def _openers(request: Request, key: str, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    shown = form_of(form, wrong)
    view = openers_view(hall_of(request), key, form, shown.problems)
    views = {"form": shown, "view": view, "undo": undo}
    return setup_page(request, "people/openers.html", "/desk/events", view.name, wrong, **views)
