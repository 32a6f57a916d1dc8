"""Following one entry from a phone: whom, and its page, which asks anew every few seconds and goes on without a network."""

from functools import partial

from fastapi import Request
from fastapi.responses import HTMLResponse, Response

from app.live.catching_up import caught_up
from app.live.slices import Slices
from app.watch.follow import followed, offered, state_followed
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.shared import drawn, shared_answer
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)


@routes.get("/follow", spoken=True)
async def choose(request: Request) -> HTMLResponse:
    """Everybody who can be followed."""
    return page(request, "watch/follow_whom.html", offered=offered(hall_of(request)))


@routes.get("/follow/{entry}", spoken=True, as_it_is=True)
async def follow(request: Request, entry: str) -> Response:
    """The page of one entry."""
    return await _answer(request, entry, "watch/follow.html")


@routes.get("/follow/{entry}/now", spoken=True, piece=True, cheap=True, as_it_is=True)
async def follow_now(request: Request, entry: str) -> Response:
    """The same without its frame; 304 for who shows it already."""
    return await _answer(request, entry, "watch/followed.html")


async def _answer(request: Request, entry: str, template: str) -> Response:
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        return await drawn(request, slices, template, view=followed(hall, entry))

    return await shared_answer(request, partial(state_followed, hall, entry), make)
