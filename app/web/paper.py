"""The desk's paper: what can be printed, and the sheets themselves."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from app.actions.paper_sheets import heat_sheet, paper_events, scoresheets
from app.store.records import NotThere
from app.web.pages import hall_of, page, sentence
from app.web.who import Who, desk

routes = APIRouter()
Desk = Annotated[Who, Depends(desk)]

HERE = "/desk/paper"


@routes.get(HERE)
async def paper(request: Request, who: Desk) -> Response:
    """What can be printed, event by event."""
    hall = hall_of(request)
    if hall.projection.roster is None:
        return RedirectResponse("/desk/competition", 303)
    return page(request, "desk/paper.html", here=HERE, title="Paper", events=paper_events(hall))


@routes.get(f"{HERE}/{{event}}/sheets")
async def sheets(request: Request, who: Desk, event: str, heat: str = "") -> Response:
    """The scoresheets of an event or of one heat, a page for each lane."""
    try:
        view = scoresheets(hall_of(request), event, heat)
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    return page(request, "print/sheets.html", view=view)


@routes.get(f"{HERE}/{{event}}/heats")
async def heats(request: Request, who: Desk, event: str) -> Response:
    """The heat sheet of an event, for a wall."""
    try:
        view = heat_sheet(hall_of(request), event)
    except NotThere as nothing:
        return sentence(request, 404, str(nothing))
    return page(request, "print/heats.html", view=view)
