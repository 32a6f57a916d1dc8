"""Judges come first: who has no session is served at a pace for each address, so that no spectator's program slows a lane's tap.

What comes faster waits its turn for a moment; what would wait longer is refused, but late: whoever asks again and again in a loop
then does so slowly.
"""

import asyncio
from http.cookies import CookieError
from math import ceil
from typing import Any

from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Receive, Scope, Send

from app.actions.devices import known_by
from app.live.pace import Pace
from app.web.doors import refuse
from app.web.lines import caller_of, line_of
from app.web.who import session_tokens

CHEAP = ("/static/", "/board/parts", "/board/time", "/clock/now", "/sw.js")  # made once, sent often
CHEAP_COST = 0.2  # of a page
SECONDS_AT_ONCE = 10  # a first visit asks for a page and fifty parts of it
MOST_WAIT_S = 2.0
MOST_ADDRESSES = 2000
TOO_FAST = "Too much was asked from this address at once. Wait a few seconds and try again."


class Crowd:
    """Lets devices with a session and this computer's own pages pass; all others at `per_second` pages for each address."""

    def __init__(self, app: ASGIApp, per_second: float) -> None:
        self.app = app
        self._per_second = per_second
        self._paces: dict[str, Pace] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on, now or in a moment, or refuses it. Only where the server keeps lines is there anybody to count."""
        line = line_of(scope) if scope["type"] in ("http", "websocket") else None
        if line is None or line.own or line.known:
            await self.app(scope, receive, send)
            return
        if _has_session(scope):
            line.vouch()
        elif not await self._turn(scope):
            await refuse(scope, receive, send, 429, TOO_FAST, retry_s=ceil(MOST_WAIT_S))
            return
        await self.app(scope, receive, send)

    async def _turn(self, scope: Scope) -> bool:
        """Waits for this request's turn; False, after a while, if that would take too long."""
        now = asyncio.get_running_loop().time()
        pace = self._pace_of(caller_of(scope)[0], now)
        cost = CHEAP_COST if scope["path"].startswith(CHEAP) else 1.0
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


def _has_session(scope: Scope) -> bool:
    """Whether a device that this process has met shows its session."""
    hall: Any = getattr(scope["app"].state, "hall", None)
    try:
        return hall is not None and any(known_by(hall, token) for token in session_tokens(HTTPConnection(scope)))
    except CookieError:
        return False
