"""The lane's and the lifter's pages: their shells, the packet that fills them, and the one socket of a tablet."""

import asyncio
import re
from collections.abc import Awaitable, Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import Annotated, Any

import anyio
import msgspec
from fastapi import Query, Request, WebSocket
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, JSONResponse
from starlette.websockets import WebSocketDisconnect

from app.floor.ahead import ahead
from app.floor.carrying import heard
from app.floor.lane_packet import caller_state, lane_packet
from app.hall.devices import held_by
from app.hall.hall import Hall
from app.hall.told import told_now
from app.live.hub import RESYNC, Subscription
from app.live.presence import Report
from app.rules.records.roster import MOST_LANES
from app.store.devices import MOST_BEFORE
from app.web import roles
from app.web.doors import content_policy
from app.web.pages import hall_of, page, secure_of
from app.web.roles import wears
from app.web.rows import Rows
from app.web.shapes import OBJECT, an_object
from app.web.who import EVERYBODY, NOT_PAIRED, Lane, Who, desk_or_none, is_secure, lane_or_none

routes = Rows(at_once=True)

WHICH_LANE = f"The desk sees one lane at a time: add ?lane= and its number, 1 to {MOST_LANES}."
SENT_AWAY = 4401  # close code: this device is not paired (any more)
UNREADABLE = 1007
GOING_AWAY = 1001
TRY_AGAIN = 1013
ONE_TOO_MANY = "This device has newer lines open."


@routes.get("/lane", dependencies=EVERYBODY)
async def lane_screen(request: Request) -> HTMLResponse:
    """The lane screen's shell. It holds nothing of the competition, so that it can be kept for work without network."""
    return _shell(request, "floor/lane.html")


@routes.get("/call", dependencies=EVERYBODY)
async def call_screen(request: Request) -> HTMLResponse:
    """The call screen's shell, for lifters and loaders."""
    return _shell(request, "floor/call.html")


def _shell(request: Request, template: str) -> HTMLResponse:
    """A screen that lives without us. Over HTTPS it is told our plain port: by it a dead server is told from a distrusted one."""
    secure = secure_of(request) if is_secure(request) else None
    answer = page(request, template, plain_port=secure.http_port if secure else "")
    if secure:
        greeted = f"https://{request.url.hostname}:{secure.http_port}"
        answer.headers["Content-Security-Policy"] = content_policy(request.headers.get("host", ""), greeted)
    return answer


@routes.get("/lane/packet", answers=an_object(device=OBJECT, held=OBJECT))
async def packet(request: Request, who: Lane) -> JSONResponse:
    """All that the tablet of this lane needs offline. The desk may ask for any lane with ?lane=."""
    lane = _lane_of(who, request.query_params.get("lane"))
    if lane is None:
        raise HTTPException(400, WHICH_LANE)
    return JSONResponse(lane_packet(hall_of(request), who, lane), headers={"cache-control": "no-store"})


@routes.get("/lane/ahead")
async def what_is_ahead(
    request: Request,
    who: Lane,
    assignment: Annotated[str, Query(max_length=40)],
    window: Annotated[int, Query(ge=0, le=999)],
    member: Annotated[int | None, Query(ge=1, le=12)] = None,
) -> JSONResponse:
    """The least load that passes each entry ahead, for a lift of this lane."""
    lane = _lane_of(who, request.query_params.get("lane"))
    if lane is None:
        raise HTTPException(400, WHICH_LANE)
    found = ahead(hall_of(request), lane, assignment, window, member)
    return JSONResponse(found, headers={"cache-control": "no-store"})


WORD = "^[A-Za-z0-9_-]*$"  # a report says keys, never sentences
RUN = "^([A-Za-z0-9_-]{1,40}/[0-9]{1,4})?$"
MOST_MS = 2**53 - 1
Key = Annotated[str, msgspec.Meta(max_length=40, pattern=WORD)]


class Ping(msgspec.Struct, tag="ping"):
    """A time stamp of the tablet's own clock, to be sent back."""

    t1: float


class Said(msgspec.Struct, tag="report"):
    """What a tablet says of itself, see Report."""

    outbox: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    kept: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    bound_ms: Annotated[int, msgspec.Meta(ge=0, le=86_400_000)] | None = None
    heat: Annotated[str, msgspec.Meta(max_length=40, pattern=WORD)] | None = None
    screen: Annotated[str, msgspec.Meta(max_length=20, pattern=WORD)] = ""
    clock: Annotated[str, msgspec.Meta(max_length=20, pattern=WORD)] = ""
    trouble: Annotated[str, msgspec.Meta(max_length=20, pattern=WORD)] = ""
    missing: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    go_of: Annotated[str, msgspec.Meta(max_length=50, pattern=RUN)] = ""
    go_ms: Annotated[int, msgspec.Meta(ge=-MOST_MS, le=MOST_MS)] | None = None
    go_bound_ms: Annotated[int, msgspec.Meta(ge=0, le=86_400_000)] = 0
    refused: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    before: Annotated[dict[Key, Annotated[int, msgspec.Meta(ge=1, le=10_000_000)]], msgspec.Meta(max_length=MOST_BEFORE)] = {}

    def report(self) -> Report:
        """The same for the desk's eyes."""
        return Report(**msgspec.structs.asdict(self))


_decoder = msgspec.json.Decoder(Ping | Said)


@routes.websocket("/lane/socket")
@wears(roles.LANE)
async def socket(websocket: WebSocket) -> None:
    """A tablet's line: pings for its clock, its reports, news for its lane. It ends when the device is sent away."""
    await websocket.accept()
    who = await lane_or_none(websocket) or await desk_or_none(websocket)
    lane = None if who is None else _lane_of(who, websocket.query_params.get("lane"))
    if who is None or lane is None:
        await _bye(websocket, NOT_PAIRED if who is None else WHICH_LANE)
        return
    await Line(websocket, websocket.app.state.hall, replace(who, lane=lane), lane).run()


class Line:
    """One open socket: what comes in and what goes out run side by side until either ends."""

    def __init__(self, websocket: WebSocket, hall: Hall, who: Who, lane: int) -> None:
        self._socket, self._hall, self._who, self._lane = websocket, hall, who, lane
        self._farewell: asyncio.Future[str] = asyncio.get_running_loop().create_future()
        self._sending = asyncio.Lock()

    async def run(self) -> None:
        """Greets, then listens and tells until the line ends."""
        presence, now = self._hall.presence, self._hall.time.server_ms
        presence.arrived(self._who, now(), self._send_away)
        self._say_who_is_there()
        try:
            with suppress(WebSocketDisconnect, RuntimeError), self._hall.hub.subscribe(f"lane:{self._lane}") as news:
                # Subscribed before the greeting, so that nothing falls between the two.
                await self._send({"type": "hello", "boot": self._hall.time.boot, **held_by(self._hall, self._who)})
                await self._until_the_end(news)
        finally:
            presence.left(self._who.device_id, self._send_away)
            self._say_who_is_there()

    def _say_who_is_there(self) -> None:
        """The desk lists all devices; a lane hears whether its lifter can declare."""
        self._hall.hub.publish("desk", {"type": "devices"})
        if self._who.role == "lifter":
            said = {"type": "caller", "caller": caller_state(self._hall, self._lane), "told": told_now(self._hall)}
            self._hall.hub.publish(f"lane:{self._lane}", said)

    async def _until_the_end(self, news: Subscription) -> None:
        async with anyio.create_task_group() as parts:

            async def play(part: Callable[[], Awaitable[None]]) -> None:
                with suppress(WebSocketDisconnect, RuntimeError):  # the tablet is gone; it comes back by itself
                    await part()
                parts.cancel_scope.cancel()  # one part's end is the end of the line

            for part in (self._listen, partial(self._tell, news), self._part):
                parts.start_soon(play, part)

    async def _listen(self) -> None:
        while True:
            try:
                text = await self._socket.receive_text()
                t2 = self._hall.time.fine_ms()
                said = _decoder.decode(text.encode("utf-8", "replace"))
            except (KeyError, msgspec.DecodeError, RecursionError):  # KeyError: bytes where text belongs
                await self._socket.close(UNREADABLE, "That was not understood.")
                return
            await self._answer(said, t2)

    async def _answer(self, said: Ping | Said, t2: float) -> None:
        now = self._hall.time
        if isinstance(said, Said):
            self._hall.presence.heard(self._who.device_id, now.server_ms(), said.report())
            if said.go_ms is not None:
                heat, _, number = said.go_of.partition("/")
                await heard(self._hall, heat, int(number or 0))
            return
        self._hall.presence.heard(self._who.device_id, now.server_ms())
        await self._send({"type": "pong", "t1": said.t1, "t2": t2, "t3": now.fine_ms()})

    async def _tell(self, news: Subscription) -> None:
        async for message in news:
            if (told := self._for_this_device(message)) is not None:
                await self._send(told)
        await self._socket.close(GOING_AWAY, "The server is going down.")

    def _for_this_device(self, message: Any) -> dict[str, Any] | None:
        """Its own marks are no news to a device; after missed messages it fetches everything again."""
        if message is RESYNC:
            return {"type": "packet"}
        if message.get("type") != "marks":
            return dict(message)
        others = [mark for mark in message["marks"] if mark["device"] != self._who.device_id]
        return {"type": "marks", "marks": others} if others else None

    async def _part(self) -> None:
        sentence = await self._farewell
        if sentence:
            await _bye(self._socket, sentence)
        else:
            await self._socket.close(TRY_AGAIN, ONE_TOO_MANY)

    def _send_away(self, sentence: str) -> None:
        if not self._farewell.done():
            self._farewell.set_result(sentence)

    async def _send(self, message: dict[str, Any]) -> None:
        async with self._sending:
            await self._socket.send_text(msgspec.json.encode(message).decode())


async def _bye(websocket: WebSocket, sentence: str) -> None:
    await websocket.send_text(msgspec.json.encode({"type": "bye", "sentence": sentence}).decode())
    await websocket.close(SENT_AWAY)


def _lane_of(who: Who, asked: str | None) -> int | None:
    """The lane that a device is on; the desk is on whichever it asks for."""
    if who.role != "desk":
        return who.lane
    lane = int(asked) if asked and re.fullmatch(r"[0-9]{1,2}", asked) else 0
    return lane if 1 <= lane <= MOST_LANES else None
