"""Set-up: the classes by sex, age and bodyweight, and who must be asked about theirs."""

from fastapi import Request
from fastapi.responses import Response

from app.hall.forms import Typed
from app.hall.lists import Undo
from app.people.classes import classes_page, classes_typed, let_count, make_classes, move_to_class, save_classes
from app.store.copies.undoing import Following
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, following, offer, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
HERE = "/desk/classes"


@routes.get(HERE)
async def open_classes(request: Request, who: Desk) -> Response:
    """The limits as stored, and who must be asked."""
    return await _classes(request, classes_typed(hall_of(request)))


@routes.post(HERE, record=("setup", "Save the limits of classes"))
async def store_classes(request: Request, who: Desk) -> Response:
    """Stores the limits, all or none."""
    form = await typed(request)
    async with shown_again(lambda wrong: _classes(request, form, wrong)):
        with following(HERE) as way:
            await save_classes(hall_of(request), form)
    return await _done(request, way)


@routes.post("/desk/classes/made", record=("setup", "Make classes from a list of bodyweights"))
async def make_row(request: Request, who: Desk) -> Response:
    """Makes a division for each class between bounds."""
    form = await typed(request)
    async with shown_again(lambda wrong: _classes(request, {**classes_typed(hall_of(request)), **form}, wrong)):
        await make_classes(hall_of(request), form)
    return stored(HERE)


@routes.post("/desk/classes/{key}/move", record=("entry", "Move an entry into another class"))
async def move_entry(request: Request, who: Desk, key: str) -> Response:
    """Moves an entry into a class that lets it in."""
    form, hall = await typed(request), hall_of(request)
    async with shown_again(lambda wrong: _classes(request, classes_typed(hall), wrong)):
        with following(HERE) as way:
            moved = await move_to_class(hall, key, form.get("division", ""))
    return await _done(request, way, moved)


@routes.post("/desk/classes/{key}/let", record=("entry", "Let a weigh-in outside its window count"))
async def let_weigh_in(request: Request, who: Desk, key: str) -> Response:
    """Lets a weigh-in outside its window count."""
    hall = hall_of(request)
    async with shown_again(lambda wrong: _classes(request, classes_typed(hall), wrong)):
        await let_count(hall, key, who.name or "the desk")
    return stored(HERE)


async def _done(request: Request, way: Following, sentence: str = "The limits are saved.") -> Response:
    if not way.step:
        return stored(HERE)
    return await _classes(request, classes_typed(hall_of(request)), undo=offer(way, sentence))


async def _classes(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    view = await classes_page(hall_of(request))
    views = {"form": form_of(form, wrong), "view": view, "undo": undo}
    return setup_page(request, "people/classes.html", "/desk/entries", "Classes", wrong, **views)
