"""The hall's big clock: one page for everybody, and a stream that says when the heat, its holds or its windows change."""

from collections.abc import AsyncGenerator

from fastapi import Request
from fastapi.responses import HTMLResponse, Response

from app.hall.hall import Hall
from app.live.hub import SCREENS
from app.watch.hall_clock import hall_clock
from app.watch.pages.board import Lane
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.shapes import OBJECT
from app.web.streams import BEAT, Stream, turns
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)


@routes.get("/clock", spoken=True, as_it_is=True)
async def clock_page(request: Request, lane: Lane = None) -> HTMLResponse:
    """The clock, for everybody. With ?lane=9 it is that of lane 9's floor."""
    return page(request, "watch/clock.html", view=hall_clock(hall_of(request), lane))


@routes.get("/clock/stream", spoken=True, as_it_is=True)
async def clock_stream(request: Request, lane: Lane = None) -> Stream:
    """The clock as it stands, and anew whenever that changes. The page itself counts."""
    return Stream(request, told(hall_of(request), lane))


@routes.get("/clock/now", spoken=True, answers=OBJECT, cheap=True, as_it_is=True)
async def clock_now(request: Request, lane: Lane = None) -> Response:
    """The clock as it stands, for a page that found no place for a stream."""
    now = hall_clock(hall_of(request), lane).plain()
    return Response(now, media_type="application/json", headers={"Cache-Control": "no-store"})


async def told(hall: Hall, lane: int | None = None) -> AsyncGenerator[bytes, None]:
    """What one watcher is sent until the server closes. Marks change the board and not the clock: most news is none here."""
    shown = ""
    with hall.hub.subscribe("board", SCREENS, most=1) as news:
        async for heard in turns(news):
            if not heard:
                yield BEAT
            now = hall_clock(hall, lane).plain()
            if now != shown:
                shown = now
                yield b"event: clock\ndata: " + now.encode() + b"\n\n"
