"""The briefs of the events, for everybody: on screen, kept on tablets for later, and printed."""

from fastapi import Request
from fastapi.responses import JSONResponse, Response

from app.compose.brief import brief, brief_lines, brief_paths
from app.live.slices import Slices
from app.web.pages import hall_of, page, version_spoken
from app.web.rows import Rows
from app.web.shapes import TEXT, an_object, many
from app.web.shared import Same, drawn, shared_answer
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)

FRESH = {"Cache-Control": "no-cache"}  # an event may be changed until its first heat


@routes.get("/brief", spoken=True)
async def briefs(request: Request) -> Response:
    """All events, each leading to its brief."""
    hall = hall_of(request)
    roster = hall.projection.roster
    answer = page(request, "compose/briefs.html", lines=brief_lines(hall), competition=roster.competition.name if roster else "")
    answer.headers.update(FRESH)
    return answer


@routes.get("/brief/list.json", spoken=True, answers=an_object(version=TEXT, paths=many(TEXT)))
async def brief_list(request: Request) -> JSONResponse:
    """The addresses of all briefs, and the version whose files they ask for: what a tablet keeps for later."""
    return JSONResponse(
        {"version": version_spoken(), "paths": brief_paths(hall_of(request))}, headers={"Cache-Control": "no-store"}
    )


@routes.get("/brief/{event}", spoken=True)
async def event_brief(request: Request, event: str) -> Response:
    """The brief of one event as it is written."""
    return await _brief(request, event)


@routes.get("/brief/{event}/{variant}", spoken=True)
async def variant_brief(request: Request, event: str, variant: str) -> Response:
    """The brief of one event as a variant does it."""
    return await _brief(request, event, variant)


async def _brief(request: Request, event: str, variant: str = "") -> Response:
    """It is made of the roster, which is another one after each change."""
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        return await drawn(request, slices, "compose/brief.html", view=brief(hall, event, variant))

    return await shared_answer(request, lambda: Same(hall.projection.roster), make)
