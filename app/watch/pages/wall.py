"""The wall screens: one page that makes whichever scene it is time for, its stream, and the desk's page about them."""

from functools import partial

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from app.rules.values.words import in_force
from app.watch import walls
from app.watch.pages.board import Lane, feed_of
from app.watch.pages.feed import events
from app.watch.pages.wall_feed import WallFeed
from app.web.crowd import outside_the_gate
from app.web.pages import hall_of, page
from app.web.phones import address_for_phones, qr_image
from app.web.rows import Rows
from app.web.setup_parts import NAMED
from app.web.shapes import OBJECT
from app.web.streams import Stream
from app.web.typed import typed
from app.web.who import EVERYBODY, Desk

routes = Rows()

WIDTH_CM, LANES = 120, 12  # what the desk's page begins with
WIDEST_CM = 2000


@routes.get("/wall", spoken=True, dependencies=EVERYBODY, as_it_is=True)
async def wall_page(request: Request, lane: Lane = None) -> HTMLResponse:
    """A wall screen. What it is for stands in its address, and its script reads it there. With ?lane=9 it shows the heats of lane
    9's floor."""
    query = "" if lane is None else f"?lane={lane}"
    board = f"{address_for_phones(request)}/board{query}"
    return page(request, "watch/wall.html", code=qr_image(board), address=board.removeprefix("http://"), query=query)


@routes.get("/wall/stream", spoken=True, dependencies=EVERYBODY, as_it_is=True)
async def wall_stream(request: Request, since: str = "", lane: Lane = None) -> Stream:
    """What changes, as server-sent events, from the version `since` on."""
    return Stream(request, events(partial(wall_feed_of, request, lane), since))


@routes.get("/wall/now", spoken=True, dependencies=EVERYBODY, answers=OBJECT, cheap=True, as_it_is=True)
async def wall_now(request: Request, lane: Lane = None) -> Response:
    """All of it, for a screen that found no place for a stream."""
    async with outside_the_gate():
        now = await wall_feed_of(request, lane).newest()
    return Response(now.whole(), media_type="application/json", headers={"Cache-Control": "no-store"})


@routes.get("/desk/walls", dependencies=NAMED)
async def walls_page(request: Request, who: Desk, width: str = "", lanes: str = "") -> HTMLResponse:
    """What a wall screen can be for, which scene they show, and from how far each reads."""
    hall = hall_of(request)
    said = await walls.said_scene(hall)
    size = _within(width, WIDTH_CM, WIDEST_CM), _within(lanes, LANES, walls.MOST_LANES)
    view = walls.walls_page(said, *size, hall.projection.roster)
    return page(request, "watch/walls.html", here="/desk/walls", title="Wall screens", view=view)


@routes.post("/desk/walls", dependencies=NAMED, record=("setup", "Choose the scene of the wall screens"))
async def choose_scene(request: Request, who: Desk) -> Response:
    """Chooses a scene for all walls, or lets each go by itself again."""
    await walls.say_scene(hall_of(request), await typed(request))
    return RedirectResponse("/desk/walls", 303)


def _within(text: str, usual: int, most: int) -> int:
    """A whole number that somebody typed, or the usual one."""
    return min(int(text), most) if text.isascii() and text.isdigit() and 0 < len(text) < 6 and int(text) > 0 else usual


def wall_feed_of(request: Request, lane: int | None = None) -> WallFeed:
    """The one feed of this server's walls for a floor in a language, on the feed of its board."""
    state, board = request.app.state, feed_of(request, lane)
    key = (in_force().language, board.lane)
    feeds: dict[tuple[str, int | None], WallFeed] = getattr(state, "wall_feeds", {})
    feed = feeds.get(key)
    if feed is None or feed.board is not board:
        feed = WallFeed(board)
        state.wall_feeds = feeds | {key: feed}
    return feed
