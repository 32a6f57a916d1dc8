"""The desk's calls on a lane: two taps in the row of the heat at hand, and a page for what needs a name or a choice."""

from collections.abc import Awaitable, Callable
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from app.floor import calls
from app.hall.forms import BadForm, FormView, Typed
from app.hall.hall import Hall
from app.rules.records.rulings import Ruling
from app.store.records import NotThere, Refusal
from app.web.pages import hall_of, page, sentence
from app.web.typed import typed
from app.web.who import Desk

routes = APIRouter()
Act = Callable[[Hall, str, Typed], Awaitable[tuple[Ruling, ...]]]


@routes.get("/desk/lanes/{assignment}/calls")
async def calls_page(request: Request, who: Desk, assignment: str) -> Response:
    """Everything that can be called on a lane."""
    return _page(request, assignment, {})


@routes.post("/desk/lanes/{assignment}/call")
async def call(request: Request, who: Desk, assignment: str) -> Response:
    """A call that needs no more than a tap."""
    return await _called(request, assignment, calls.call)


@routes.post("/desk/lanes/{assignment}/clear")
async def clear(request: Request, who: Desk, assignment: str) -> Response:
    """The medic lets a lane go on."""
    return await _called(request, assignment, calls.clear)


@routes.post("/desk/lanes/{assignment}/judge")
async def judge(request: Request, who: Desk, assignment: str) -> Response:
    """Another judge takes a lane over."""
    return await _called(request, assignment, calls.new_judge)


@routes.post("/desk/lanes/{assignment}/again")
async def again(request: Request, who: Desk, assignment: str) -> Response:
    """An entry runs again."""
    return await _called(request, assignment, calls.run_again)


async def _called(request: Request, assignment: str, act: Act) -> Response:
    form = await typed(request)
    try:
        await act(hall_of(request), assignment, form)
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    except (BadForm, Refusal) as wrong:
        return _page(request, assignment, form, wrong)
    place = hall_of(request).projection.place_of(assignment)
    to = f"/desk/lanes/{quote(assignment)}/calls" if form.get("page") or place is None else f"/desk?heat={quote(place.heat.id)}"
    return RedirectResponse(to, 303)


def _page(request: Request, assignment: str, form: Typed, wrong: BadForm | Refusal | None = None) -> Response:
    try:
        view = calls.calls_page(hall_of(request), assignment)
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    problems = wrong.problems if isinstance(wrong, BadForm) else ()
    if wrong is not None and not problems:
        return sentence(request, 409, str(wrong))
    views = {"view": view, "form": FormView(form, problems), "here": "/desk", "title": f"Calls, {view.entry}"}
    return page(request, "floor/calls.html", status=422 if problems else 200, **views)
