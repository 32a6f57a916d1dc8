"""Judges come first: who has no session is served at a pace for each address, and few of them at a time.

What comes faster waits its turn for a moment; what would wait longer is refused, but late: whoever asks again and again in a loop
then does so slowly. However many ask, a judge's tap waits for two of their answers at most.
"""

import asyncio
from collections.abc import AsyncIterator, Collection
from contextlib import asynccontextmanager
from contextvars import ContextVar
from http.cookies import CookieError
from math import ceil
from typing import Any

from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.hall.devices import known_by
from app.live.pace import Pace
from app.web.doors import refuse
from app.web.lines import caller_of, line_of
from app.web.places import BELOW_STATIC, SERVICE_WORKER
from app.web.who import session_tokens

CHEAP_COST = 0.2  # of a page, for what is made once and sent often
SECONDS_AT_ONCE = 5  # a first visit asks for a page and fifty parts of it
AT_A_TIME = 2  # strangers' answers that are being made
MOST_WAIT_S = 2.0
MOST_ADDRESSES = 2000
TOO_FAST = "Too many requests from this address at once. Wait a few seconds and try again."


class Crowd:
    """Lets devices with a session and this computer's own pages pass; all others at `per_second` pages for each address and
    through a gate. Addresses that are `cheap` count for less, and so do static files."""

    def __init__(self, app: ASGIApp, per_second: float, cheap: Collection[str] = ()) -> None:
        self.app = app
        self._gate = asyncio.Semaphore(AT_A_TIME)
        self._per_second = per_second
        self._cheap = frozenset((*cheap, SERVICE_WORKER))
        self._paces: dict[str, Pace] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on, now or in a moment, or refuses it. Only where the server keeps lines is there anybody to count."""
        line = line_of(scope) if scope["type"] in ("http", "websocket") else None
        if line is None or line.own or line.known:
            await self.app(scope, receive, send)
            return
        if _has_session(scope):
            line.vouch()
            await self.app(scope, receive, send)
        elif await self._turn(scope):
            await _Visit(self._gate, receive, send).served_by(self.app, scope)
        else:
            await refuse(scope, receive, send, 429, TOO_FAST, retry_s=ceil(MOST_WAIT_S))

    async def _turn(self, scope: Scope) -> bool:
        """Waits for this request's turn; False, after a while, if that would take too long."""
        now = asyncio.get_running_loop().time()
        pace = self._pace_of(caller_of(scope)[0], now)
        cost = CHEAP_COST if scope["path"] in self._cheap or scope["path"].startswith(BELOW_STATIC) else 1.0
        wait = pace.wait_s(now, cost)
        if wait > MOST_WAIT_S:
            pace.give_back(cost)
        if wait > 0:
            await asyncio.sleep(min(wait, MOST_WAIT_S))
        return wait <= MOST_WAIT_S

    def _pace_of(self, address: str, now: float) -> Pace:
        pace = self._paces.get(address)
        if pace is None:
            if len(self._paces) >= MOST_ADDRESSES:
                busy = {name: one for name, one in self._paces.items() if not one.full(now)}
                self._paces = busy if len(busy) < MOST_ADDRESSES else {}
            pace = self._paces[address] = Pace(self._per_second, self._per_second * SECONDS_AT_ONCE)
        return pace


class _Visit:
    """One stranger's request: in the gate while its answer is made, and outside while the network is waited for."""

    def __init__(self, gate: asyncio.Semaphore, receive: Receive, send: Send) -> None:
        self._gate, self._receive, self._send = gate, receive, send
        self._inside = self._answering = False

    async def served_by(self, app: ASGIApp, scope: Scope) -> None:
        """Goes through the gate and asks the application."""
        _VISIT.set(self)
        try:
            await self.enter()
            await app(scope, self._receive_outside, self._send_outside)
        finally:
            self.leave()

    async def _receive_outside(self) -> Message:
        if self._answering:
            return await self._receive()
        self.leave()
        message = await self._receive()
        await self.enter()
        self._let_a_stream_go()
        return message

    def _let_a_stream_go(self) -> None:
        """One whose answer began meanwhile may send nothing for long, and would hold its place until then."""
        if self._answering:
            self.leave()

    async def _send_outside(self, message: Message) -> None:
        self._answering = True  # made, or a stream or a socket, which makes little at a time
        self.leave()
        await self._send(message)

    async def enter(self) -> None:
        """Waits for a place in the gate."""
        await self._gate.acquire()
        self._inside = True
        # Many answers are made without ever waiting: without this, all that came at once would be made in one go.
        await asyncio.sleep(0)

    def leave(self) -> None:
        """Gives the place in the gate to the next; again is no matter."""
        if self._inside:
            self._inside = False
            self._gate.release()


# The visit that a request belongs to; none where nobody has to go through the gate.
_VISIT: ContextVar[_Visit | None] = ContextVar("visit", default=None)


@asynccontextmanager
async def outside_the_gate() -> AsyncIterator[None]:
    """While an answer waits for something that is made once for many: who waits makes nothing, so others go in meanwhile."""
    visit = _VISIT.get()
    if visit is not None:
        visit.leave()
    yield
    if visit is not None:
        await visit.enter()


def _has_session(scope: Scope) -> bool:
    """Whether a device that this process has met shows its session."""
    hall: Any = getattr(scope["app"].state, "hall", None)
    try:
        return hall is not None and any(known_by(hall, token) for token in session_tokens(HTTPConnection(scope)))
    except CookieError:
        return False
