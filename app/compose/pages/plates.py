"""Set-up: what lies at each lane to load a bar with."""

from fastapi import Request
from fastapi.responses import Response

from app.compose import plating
from app.compose.plate_views import fits, plates_page, tried
from app.hall.forms import Typed
from app.hall.lists import Choice, Undo
from app.hall.organising import found, needed_roster
from app.hall.plain import save
from app.store.kinds import PLATE_SETS
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, done, following, in_path, removed, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
HERE = "/desk/plates"


@routes.get("/desk/plates")
async def open_plates(request: Request, who: Desk) -> Response:
    """All sets, and which lane has which."""
    return _plates(request, {})


@routes.post("/desk/plates", record=("setup", "Add a set of plates"))
async def begin(request: Request, who: Desk) -> Response:
    """Makes a set from one that is offered."""
    form = await typed(request)
    async with shown_again(lambda wrong: _plates(request, form, wrong)):
        key = await plating.begin_set(hall_of(request), form)
    return stored(f"{HERE}/{in_path(key)}")


@routes.post("/desk/plates/lanes", record=("setup", "Give lanes their plates"))
async def give_lanes(request: Request, who: Desk) -> Response:
    """Says which lane has which set."""
    form = await typed(request)
    async with shown_again(lambda wrong: _plates(request, form, wrong)):
        with following(HERE) as way:
            await plating.give_lanes(hall_of(request), form)
    return done(way, HERE, lambda undo: _plates(request, {}, undo=undo))


@routes.get("/desk/plates/{key}")
async def open_set(request: Request, who: Desk, key: str, load: str = "") -> Response:
    """A set's form, and how a load is put on with it."""
    plates = found(needed_roster(hall_of(request)).plate_sets, key, "plate set")
    return _set(request, key, plating.set_typed(plates), load=load)


@routes.post("/desk/plates/{key}", record=("setup", "Change a set of plates"))
async def save_set(request: Request, who: Desk, key: str) -> Response:
    """Changes a set, or shows its form with more rows."""
    form = await typed(request)
    async with shown_again(lambda wrong: _set(request, key, form, wrong)):
        found(needed_roster(hall_of(request)).plate_sets, key, "plate set")
        if form.get("do") == "more":
            return _set(request, key, form)
        with following(f"{HERE}/{in_path(key)}") as way:
            await save(hall_of(request), plating.PLATES, form, key)
    plates = found(needed_roster(hall_of(request)).plate_sets, key, "plate set")
    return done(way, way.at, lambda undo: _set(request, key, plating.set_typed(plates), undo=undo))


@routes.post("/desk/plates/{key}/copy", record=("setup", "Copy a set of plates"))
async def copy_set(request: Request, who: Desk, key: str) -> Response:
    """Makes a set like another."""
    async with shown_again(lambda wrong: _plates(request, {}, wrong)):
        made = await plating.copy_set(hall_of(request), key)
    return stored(f"{HERE}/{in_path(made)}")


@routes.post("/desk/plates/{key}/delete", record=("setup", "Delete a set of plates"))
async def delete_set(request: Request, who: Desk, key: str) -> Response:
    """Removes a set that no lane has."""
    return await removed(request, PLATE_SETS, key, _plates, HERE)


def _plates(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    view = plates_page(hall_of(request))
    offers = tuple(Choice(key, name) for key, name in plating.offers().items())
    views = {"view": view, "form": form_of(form, wrong), "offers": offers}
    return setup_page(request, "compose/plates.html", HERE, "Plates", wrong, undo=undo, **views)


def _set(
    request: Request, key: str, form: Typed, wrong: Wrong | None = None, load: str = "", undo: Undo | None = None
) -> Response:
    views = {
        "undo": undo,
        "form": form_of(form, wrong),
        "key": key,
        "rows": plating.plate_rows(form),
        "orders": tuple(Choice(*one) for one in plating.ORDERS.items()),
        "colours": tuple(Choice(*one) for one in plating.COLOURS.items()),
        "tried": tried(hall_of(request), key, load),
        "load": load,
        "fits": fits(hall_of(request), key),
    }
    return setup_page(request, "compose/plate_set.html", HERE, form.get("name") or "Plates", wrong, **views)
