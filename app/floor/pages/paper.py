"""The desk's paper: what can be printed, and the sheets themselves."""

from collections.abc import Awaitable, Callable
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.floor.keying import key_in, keying_view, settle, take_back
from app.floor.paper_sheets import heat_sheet, paper_events, scoresheets
from app.floor.papers import heat_papers
from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.hall.signed import signed_note
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.setup_parts import NAMED_AT
from app.web.typed import typed
from app.web.who import Desk

routes = Rows()

HERE = "/desk/paper"


@routes.get(HERE)
async def paper(request: Request, who: Desk) -> Response:
    """What can be printed, event by event."""
    hall = hall_of(request)
    if hall.projection.roster is None:
        return RedirectResponse(NAMED_AT, 303)
    views = {"events": paper_events(hall), "sheets": request.app.printed()}
    return page(request, "floor/paper.html", here=HERE, title="Paper", **views)


@routes.get(f"{HERE}/{{event}}/sheets", printed="All scoresheets")
async def sheets(request: Request, who: Desk, event: str, heat: str = "") -> Response:
    """The scoresheets of an event or of one heat, a page for each lane."""
    view = scoresheets(hall_of(request), event, heat)
    return page(request, "floor/sheets.html", view=view)


@routes.get(f"{HERE}/{{event}}/heats", printed="Heat sheet")
async def heats(request: Request, who: Desk, event: str) -> Response:
    """The heat sheet of an event, for a wall."""
    view = heat_sheet(hall_of(request), event)
    return page(request, "floor/heat_sheets.html", view=view)


@routes.get(f"{HERE}/key")
async def papers(request: Request, who: Desk) -> Response:
    """All lanes with what has been keyed in of their paper."""
    return page(request, "floor/paper_key_list.html", here=HERE, title="Key paper in", heats=heat_papers(hall_of(request)))


@routes.get(f"{HERE}/key/{{assignment}}")
async def paper_form(request: Request, who: Desk, assignment: str) -> Response:
    """The form of one lane's paper, or where its two keyings differ."""
    return _form(request, assignment, {})


@routes.post(f"{HERE}/key/{{assignment}}", record=("paper", "Key in a paper sheet"))
async def keyed(request: Request, who: Desk, assignment: str) -> Response:
    """Keeps what one person typed; the second one that agrees stores the sheet."""
    form = await typed(request)
    return await _acted(request, assignment, form, lambda hall: key_in(hall, who, assignment, form))


@routes.post(f"{HERE}/key/{{assignment}}/settle", record=("paper", "Settle a sheet keyed in twice"))
async def settled(request: Request, who: Desk, assignment: str) -> Response:
    """Stores a sheet as somebody settled it."""
    form = await typed(request)
    return await _acted(request, assignment, form, lambda hall: settle(hall, who, assignment, form))


@routes.post(f"{HERE}/key/{{assignment}}/back", record=("paper", "Take back a keyed-in sheet"))
async def taken_back(request: Request, who: Desk, assignment: str) -> Response:
    """Strikes out what was stored, lets go what waits."""
    return await _acted(request, assignment, {}, lambda hall: take_back(hall, who, assignment))


async def _acted(request: Request, assignment: str, form: Typed, act: Callable[[Hall], Awaitable[object]]) -> Response:
    async with shown_again(lambda wrong: _form(request, assignment, form, wrong), BadForm):
        await act(hall_of(request))
    return RedirectResponse(f"{HERE}/key/{quote(assignment, safe='')}", 303)


def _form(request: Request, assignment: str, form: Typed, wrong: Wrong | None = None) -> Response:
    view = keying_view(hall_of(request), assignment)
    views = {"here": HERE, "title": "Key paper in", "view": view, "form": form_of(form, wrong)}
    views["signed_note"] = signed_note(hall_of(request), assignment)
    return page(request, "floor/paper_key.html", status=status_of(wrong), **views)
