"""The desk's calls on a lane: two taps in the row of the heat at hand, and a page for what needs a name or a choice."""

from collections.abc import Awaitable, Callable
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.floor import calls
from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.hall.signed import signed_note
from app.rules.records.rulings import Ruling
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.typed import typed
from app.web.who import Desk

routes = Rows()
Act = Callable[[Hall, str, Typed], Awaitable[tuple[Ruling, ...]]]


@routes.get("/desk/lanes/{assignment}/calls")
async def calls_page(request: Request, who: Desk, assignment: str) -> Response:
    """Everything that can be called on a lane."""
    return _page(request, assignment, {})


@routes.post("/desk/lanes/{assignment}/call", record=("heat", "Log an incident on a lane"), even_so=True)
async def call(request: Request, who: Desk, assignment: str) -> Response:
    """A call that needs no more than a tap."""
    return await _called(request, assignment, calls.call)


@routes.post("/desk/lanes/{assignment}/clear", record=("heat", "Clear a medical stop on a lane"))
async def clear(request: Request, who: Desk, assignment: str) -> Response:
    """The medic lets a lane go on."""
    return await _called(request, assignment, calls.clear)


@routes.post("/desk/lanes/{assignment}/judge", record=("heat", "Change a lane's judge"))
async def judge(request: Request, who: Desk, assignment: str) -> Response:
    """Another judge takes a lane over."""
    return await _called(request, assignment, calls.new_judge)


@routes.post("/desk/lanes/{assignment}/again", record=("heat", "Grant a rerun"))
async def again(request: Request, who: Desk, assignment: str) -> Response:
    """An entry runs again."""
    return await _called(request, assignment, calls.run_again)


async def _called(request: Request, assignment: str, act: Act) -> Response:
    form = await typed(request)
    async with shown_again(lambda wrong: _page(request, assignment, form, wrong), BadForm):
        await act(hall_of(request), assignment, form)
    place = hall_of(request).projection.place_of(assignment)
    # Of a signed event the page of calls is shown: it says that the call changes nothing.
    here = form.get("page") or place is None or signed_note(hall_of(request), assignment)
    to = f"/desk/lanes/{quote(assignment)}/calls" if here or place is None else f"/desk?heat={quote(place.heat.id)}"
    return RedirectResponse(to, 303)


def _page(request: Request, assignment: str, form: Typed, wrong: Wrong | None = None) -> Response:
    view = calls.calls_page(hall_of(request), assignment)
    views = {"view": view, "form": form_of(form, wrong), "here": "/desk", "title": f"Incidents, {view.entry}"}
    views["signed_note"] = signed_note(hall_of(request), assignment)
    return page(request, "floor/calls.html", status=status_of(wrong), **views)
