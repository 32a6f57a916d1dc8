"""Set-up: the start list. Heats filled from the entries in order, or put together lane by lane."""

from fastapi import Request
from fastapi.responses import Response

from app.hall.forms import Typed
from app.hall.lists import Undo, event_choices
from app.hall.organising import needed_roster
from app.people.judges import judge_names
from app.plan import start_list
from app.plan.heat_views import entry_choices, heat_typed, lane_numbers, new_heat_typed, quick_filled, variant_choices
from app.plan.heat_views import start_list as start_lists
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, done, following, setup_page, stored, undo_of
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
FILL = {"lanes": "4", "first": "", "every": "25", "apart": ""}


@routes.get("/desk/heats")
async def heats_page(request: Request, who: Desk, event: str = "") -> Response:
    """The start lists of all events."""
    return _heats(request, {**FILL, "event": event})


@routes.post("/desk/heats", record=("plan", "Fill heats from the entries"))
async def fill_heats(request: Request, who: Desk) -> Response:
    """Fills heats from the entries that stand in none."""
    form = await typed(request)
    async with shown_again(lambda wrong: _heats(request, form, wrong)):
        await start_list.fill_heats(hall_of(request), form)
    return stored("/desk/heats")


@routes.get("/desk/heats/new")
async def new_heat(request: Request, who: Desk, event: str = "") -> Response:
    """An empty heat form."""
    return _heat(request, new_heat_typed(hall_of(request), event), "")


@routes.post("/desk/heats/new", record=("plan", "Add a heat"))
async def add_heat(request: Request, who: Desk) -> Response:
    """Adds a heat."""
    return await _saved(request, "")


@routes.get("/desk/heats/{key}/lanes")
async def heat_page(request: Request, who: Desk, key: str) -> Response:
    """A heat's form."""
    return _heat(request, heat_typed(hall_of(request), key), key)


@routes.post("/desk/heats/{key}/lanes", record=("plan", "Change who is in a heat"))
async def save_heat(request: Request, who: Desk, key: str) -> Response:
    """Changes a heat and its lanes."""
    return await _saved(request, key)


@routes.post("/desk/heats/{key}/delete", record=("plan", "Delete a heat"))
async def delete_heat(request: Request, who: Desk, key: str) -> Response:
    """Deletes a heat that was never started."""
    async with shown_again(lambda wrong: _heats(request, FILL, wrong)):
        with following("/desk/heats") as way:
            gone = await start_list.remove_heat(hall_of(request), key)
    return _heats(request, FILL, undo=undo_of(f"Heat {gone.number}", way))


async def _saved(request: Request, key: str) -> Response:
    """The button says what is wanted: to store, to fill the empty lanes, or to show another number of lanes."""
    form = await typed(request)
    hall = hall_of(request)
    if form.get("do") == "fill":
        return _heat(request, quick_filled(hall, form, key), key)
    if form.get("do") == "lanes":
        return _heat(request, form, key)
    async with shown_again(lambda wrong: _heat(request, form, key, wrong)):
        with following("/desk/heats") as way:
            words = await start_list.save_heat(hall, form, key)
    return done(way, "/desk/heats", lambda undo: _heats(request, FILL, undo=undo), words)


def _heats(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    hall = hall_of(request)
    return setup_page(
        request,
        "plan/heats.html",
        "/desk/heats",
        "Heats",
        wrong,
        form=form_of(form, wrong),
        lists=start_lists(hall),
        events=event_choices(hall),
        undo=undo,
    )


def _heat(request: Request, form: Typed, key: str, wrong: Wrong | None = None) -> Response:
    hall = hall_of(request)
    return setup_page(
        request,
        "plan/heat_form.html",
        "/desk/heats",
        "Heat",
        wrong,
        form=form_of(form, wrong),
        key=key,
        lanes=lane_numbers(form),
        events=event_choices(hall),
        entries=entry_choices(hall, form.get("event", ""), key),
        variants=variant_choices(hall, form.get("event", "")),
        judges=judge_names(needed_roster(hall)),
    )
