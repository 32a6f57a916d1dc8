"""Set-up: the people who judge, one at a time or pasted as lines."""

from fastapi import Request
from fastapi.responses import Response

from app.hall.forms import Typed
from app.hall.lists import Undo, club_names
from app.hall.organising import needed_roster
from app.people import judges
from app.store.kinds import JUDGES
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, removed, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
HERE = "/desk/judges"


@routes.get("/desk/judges")
async def judges_page(request: Request, who: Desk) -> Response:
    """All judges, and a form for one more."""
    return _judges(request, {})


@routes.post("/desk/judges", record=("plan", "Add a judge"))
async def add_judge(request: Request, who: Desk) -> Response:
    """Adds a judge."""
    form = await typed(request)
    async with shown_again(lambda wrong: _judges(request, form, wrong)):
        await judges.save_judge(hall_of(request), form)
    return stored(HERE)


@routes.get("/desk/judges/paste")
async def paste_page(request: Request, who: Desk) -> Response:
    """The page for many judges at once."""
    return _paste(request, {})


@routes.post("/desk/judges/paste", record=("plan", "Add judges pasted as lines"))
async def paste(request: Request, who: Desk) -> Response:
    """Shows how pasted lines are understood, or stores them all; never some of them."""
    form = await typed(request)
    if form.get("do") != "store":
        return _paste(request, form)
    async with shown_again(lambda wrong: _paste(request, form, wrong)):
        await judges.store_judges(hall_of(request), form.get("lines", ""))
    return stored(HERE)


@routes.get("/desk/judges/{key}")
async def judge_page(request: Request, who: Desk, key: str) -> Response:
    """A judge's form."""
    return _judge(request, judges.judge_typed(hall_of(request), key), key)


@routes.post("/desk/judges/{key}", record=("plan", "Change a judge"))
async def save_judge(request: Request, who: Desk, key: str) -> Response:
    """Changes a judge."""
    form = await typed(request)
    async with shown_again(lambda wrong: _judge(request, form, key, wrong)):
        await judges.save_judge(hall_of(request), form, key)
    return stored(HERE)


@routes.post("/desk/judges/{key}/away", record=("plan", "Mark a judge as here or away"))
async def away(request: Request, who: Desk, key: str) -> Response:
    """Says that a judge is away, or here again."""
    form = await typed(request)
    async with shown_again(lambda wrong: _judges(request, {}, wrong)):
        await judges.set_away(hall_of(request), key, bool(form.get("away")))
    return stored(HERE)


@routes.post("/desk/judges/{key}/delete", record=("plan", "Delete a judge"))
async def delete_judge(request: Request, who: Desk, key: str) -> Response:
    """Removes a judge who stands on no lane."""
    return await removed(request, JUDGES, key, _judges, HERE)


def _judges(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    hall = hall_of(request)
    views = {"form": form_of(form, wrong), "lines": judges.judge_lines(hall), "clubs": club_names(hall), "undo": undo}
    return setup_page(request, "people/judges.html", HERE, "Judges", wrong, **views)


def _judge(request: Request, form: Typed, key: str, wrong: Wrong | None = None) -> Response:
    views = {"form": form_of(form, wrong), "key": key, "clubs": club_names(hall_of(request))}
    return setup_page(request, "people/judge.html", HERE, "Judge", wrong, **views)


def _paste(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    lines = judges.read_judges(form.get("lines", ""), needed_roster(hall_of(request)))
    views = {
        "form": form_of(form, wrong),
        "lines": lines,
        "to_fix": sum(len(line.problems) for line in lines),
        "example": judges.EXAMPLE,
    }
    return setup_page(request, "people/judges_paste.html", HERE, "Paste judges", wrong, **views)
