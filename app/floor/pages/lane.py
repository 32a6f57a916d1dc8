"""The lane's and the lifter's pages: their shells, the packet that fills them, and the one socket of a tablet."""

import asyncio
import re
from dataclasses import replace
from threading import Lock
from typing import Annotated

from fastapi import Query, Request, WebSocket
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, JSONResponse

from app.floor.ahead import ahead
from app.floor.lane_packet import lane_packet
from app.floor.packet_words import in_words_of
from app.floor.pages.line import Line, bye, not_now
from app.rules.records.roster import MOST_LANES
from app.rules.workout.movements import library
from app.store.writer import StoreTrouble
from app.web import roles
from app.web.doors import content_policy
from app.web.fresh import lacks
from app.web.pages import hall_of, page, secure_of
from app.web.roles import wears
from app.web.rows import Rows
from app.web.shapes import OBJECT, an_object
from app.web.spoken import language_of
from app.web.who import EVERYBODY, NOT_PAIRED, Lane, OnTheLine, Who, is_secure
from app.wording import catalogue

routes = Rows(at_once=True)

_reading = Lock()


def _read_library() -> None:
    """The first who asks waits for the movement library to be read, the others for them; marks are answered meanwhile."""
    with _reading:
        library()


WHICH_LANE = f"The desk sees one lane at a time: end the address with ?lane=3 for lane 3. Lanes are 1 to {MOST_LANES}."


@routes.get("/lane", spoken=True, dependencies=EVERYBODY)
async def lane_screen(request: Request) -> HTMLResponse:
    """The lane screen's shell. It holds nothing of the competition, so that it can be kept for work without network."""
    return _shell(request, "floor/lane.html")


@routes.get("/call", spoken=True, dependencies=EVERYBODY)
async def call_screen(request: Request) -> HTMLResponse:
    """The call screen's shell, for lifters and loaders."""
    return _shell(request, "floor/call.html")


@routes.get("/coach", spoken=True, dependencies=EVERYBODY)
async def coach_screen(request: Request) -> HTMLResponse:
    """A coach's screen: several lifters, and what each has declared."""
    return _shell(request, "floor/coach.html")


@routes.get("/platform", spoken=True, dependencies=EVERYBODY)
async def platform_screen(request: Request) -> HTMLResponse:
    """A referee's screen at a platform: it follows whoever is called."""
    return _shell(request, "floor/platform.html")


@routes.get("/platform/call", spoken=True, dependencies=EVERYBODY)
async def platform_call_screen(request: Request) -> HTMLResponse:
    """The screens at a platform of whoever does not judge: the marshal's, and the loaders'."""
    return _shell(request, "floor/platform_call.html")


def _shell(request: Request, template: str) -> HTMLResponse:
    """A screen that lives without us. Over HTTPS it is told our plain port: by it a dead server is told from a distrusted one."""
    secure = secure_of(request) if is_secure(request) else None
    answer = page(request, template, plain_port=secure.http_port if secure else "")
    if secure:
        greeted = f"https://{request.url.hostname}:{secure.http_port}"
        answer.headers["Content-Security-Policy"] = content_policy(request.headers.get("host", ""), greeted)
    return answer


@routes.get("/lane/packet", answers=an_object(device=OBJECT, held=OBJECT), whole=True)
async def packet(request: Request, who: Lane) -> JSONResponse:
    """All that the tablet of this lane needs offline. The desk may ask for any lane with ?lane=."""
    placed = _placed(who, request.query_params.get("lane"))
    words = catalogue(await language_of(request))
    await asyncio.to_thread(_read_library)
    told = in_words_of(words, lane_packet(hall_of(request), who, placed.lane))
    return JSONResponse(told, headers={"cache-control": "no-store"})


@routes.get("/lane/ahead")
async def what_is_ahead(
    request: Request,
    who: Lane,
    assignment: Annotated[str, Query(max_length=40)],
    window: Annotated[int, Query(ge=0, le=999)],
    member: Annotated[int | None, Query(ge=1, le=12)] = None,
) -> JSONResponse:
    """The least load that passes each entry ahead, for a lift of this lane."""
    found = ahead(hall_of(request), _placed(who, request.query_params.get("lane")), assignment, window, member)
    return JSONResponse(found, headers={"cache-control": "no-store"})


@routes.websocket("/lane/socket")
@wears(roles.LANE)
async def socket(websocket: WebSocket) -> None:
    """A tablet's line: pings for its clock, its reports, its marks, news for its lane. It ends when the device is sent away."""
    await websocket.accept()
    asks = OnTheLine(websocket)
    try:
        who = await asks()
    except StoreTrouble as trouble:
        await not_now(websocket, trouble)
        return
    if who is None:
        await bye(websocket, NOT_PAIRED)
        return
    try:
        placed = _placed(who, websocket.query_params.get("lane"))
    except HTTPException as wrong:
        await bye(websocket, wrong.detail)
        return
    await Line(websocket, websocket.app.state.hall, who, placed.lane, asks, knows_all=not lacks(websocket)).run()


def _placed(who: Who, asked: str | None) -> Who:
    """A device at its place; the desk is on whichever lane it asks for. Raises HTTPException where it asks for none."""
    if who.role != "desk":
        return who
    lane = int(asked) if asked and re.fullmatch(r"[0-9]{1,2}", asked) else 0
    if not 1 <= lane <= MOST_LANES:
        raise HTTPException(400, WHICH_LANE)
    return replace(who, lane=lane)
