"""The page for the warm-up area: it follows by itself, and what is ticked off stays on the device."""

from fastapi import Request
from fastapi.responses import Response

from app.live.catching_up import caught_up
from app.live.slices import Slices
from app.watch.announcer import state_announced
from app.watch.warm_up import warm_up
from app.web.pages import hall_of
from app.web.rows import Rows
from app.web.shared import drawn, shared_answer
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)


@routes.get("/warm-up", spoken=True, as_it_is=True)
async def warm_up_page(request: Request) -> Response:
    """Who is at the bar, who is next, who should warm up."""
    return await _answer(request, "watch/warm_up.html")


@routes.get("/warm-up/now", spoken=True, piece=True, cheap=True, as_it_is=True)
async def warm_up_now(request: Request) -> Response:
    """The same without its frame; 304 for who shows it already."""
    return await _answer(request, "watch/warming_up.html")


async def _answer(request: Request, template: str) -> Response:
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        return await drawn(request, slices, template, view=warm_up(hall))

    return await shared_answer(request, lambda: state_announced(hall), make)
