"""GET /health: whether this server process can store and hears what the others do, for whatever watches over servers."""

from fastapi import Request
from starlette.responses import JSONResponse

from app.keep.health import health
from app.web.pages import hall_of
from app.web.rows import Rows
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)


@routes.get("/health", as_it_is=True)
async def how_it_is(request: Request) -> JSONResponse:
    """200 when all is well, 503 when not; which of the two is wrong stands in the answer, and nothing else about the server."""
    found = await health(hall_of(request))
    return JSONResponse(found.plain(), 200 if found.well else 503, headers={"Cache-Control": "no-store"})
