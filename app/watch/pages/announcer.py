"""The announcer's sheet: a page that follows by itself, asked for anew every few seconds, and a print of each event."""

from fastapi import Request
from fastapi.responses import Response

from app.live.catching_up import caught_up
from app.live.slices import Slices
from app.watch.announcer import announced_steps, event_sheet_steps, state_announced
from app.web.pages import hall_of
from app.web.rows import Rows
from app.web.shared import drawn, shared_answer
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)


@routes.get("/announcer", spoken=True, as_it_is=True)
async def announcer(request: Request) -> Response:
    """What there is to announce now."""
    return await _answer(request, "watch/announcer.html")


@routes.get("/announcer/now", spoken=True, piece=True, cheap=True, as_it_is=True)
async def announcer_now(request: Request) -> Response:
    """The same without its frame; 304 for who shows it already."""
    return await _answer(request, "watch/announced.html")


@routes.get("/announcer/{event}/sheet", spoken=True, printed="Announcer's sheet")
async def announcer_sheet(request: Request, event: str) -> Response:
    """All heats of an event, to print."""
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        return await drawn(
            request, slices, "watch/announcer_sheet.html", view=await slices.through(event_sheet_steps(hall, event))
        )

    return await shared_answer(request, lambda: state_announced(hall), make)


async def _answer(request: Request, template: str) -> Response:
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        return await drawn(request, slices, template, view=await slices.through(announced_steps(hall)))

    return await shared_answer(request, lambda: state_announced(hall), make)
