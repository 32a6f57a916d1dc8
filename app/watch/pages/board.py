"""The public board: one page, one stream; what changes is made once for each version, however many watch (feed.py)."""

from functools import partial
from typing import Annotated

from fastapi import Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from app.rules.records.roster import MOST_LANES
from app.rules.values.words import in_force
from app.watch.pages.feed import Feed, events
from app.watch.shown import floor_of
from app.web.crowd import outside_the_gate
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.shapes import NUMBER, TEXT, an_object
from app.web.streams import Stream
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY, at_once=True)

# Whose floor a screen keeps to, by any of its lanes; none: the whole hall's.
Lane = Annotated[int | None, Query(ge=1, le=MOST_LANES)]


def feed_of(request: Request, lane: int | None = None) -> Feed:
    """The one feed of this server for a lane's floor, or the whole hall, in the language that is spoken here."""
    state, hall = request.app.state, hall_of(request)
    key = (in_force().language, floor_of(hall.projection.roster, lane))  # as many as there are floors, whatever is asked for
    feeds: dict[tuple[str, int | None], Feed] = getattr(state, "board_feeds", {})
    feed = feeds.get(key)
    if feed is None or feed.hall is not hall:
        feed = Feed(hall, key[1])
        state.board_feeds = feeds | {key: feed}
    return feed


@routes.get("/", spoken=True, as_it_is=True)
@routes.get("/board", spoken=True, as_it_is=True)
async def board_page(request: Request, lane: Lane = None) -> Response:
    """The board, for everybody. With ?lane=9 it shows the heats of lane 9's floor."""
    feed = feed_of(request, lane)
    async with outside_the_gate():
        now = await feed.newest()

    def make() -> bytes:
        return bytes(page(request, "watch/board.html", view=now.view, version=now.version, content=now.content).body)

    made, headers = feed.page(now, make), {"Vary": "Accept-Encoding"}
    if "gzip" in request.headers.get("accept-encoding", ""):
        return HTMLResponse(made.packed, headers=headers | {"Content-Encoding": "gzip"})
    return HTMLResponse(made.body, headers=headers)


@routes.get("/board/parts", spoken=True, answers=an_object(version=TEXT, html=TEXT), cheap=True, as_it_is=True)
async def board_parts(request: Request, lane: Lane = None) -> Response:
    """The whole board as one update, for a page that missed some; 304 when it has the newest."""
    async with outside_the_gate():
        now = await feed_of(request, lane).newest()
    tag = f'"{now.version}"'
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers={"ETag": tag})
    return Response(now.whole, media_type="application/json", headers={"ETag": tag, "Cache-Control": "no-cache"})


@routes.get("/board/stream", spoken=True, as_it_is=True)
async def board_stream(request: Request, since: str = "", lane: Lane = None) -> Stream:
    """Updates as server-sent events, from the version `since` on."""
    return Stream(request, events(partial(feed_of, request, lane), since))


@routes.get("/board/time", answers=an_object(boot=TEXT, t2=NUMBER, t3=NUMBER), cheap=True, as_it_is=True)
async def board_time(request: Request) -> JSONResponse:
    """When this request came and when it was answered, on the timeline of heats: two of the four time stamps."""
    time = hall_of(request).time
    received = time.fine_ms()
    answer = {"boot": time.boot, "t2": received, "t3": time.fine_ms()}
    return JSONResponse(answer, headers={"Cache-Control": "no-store"})
