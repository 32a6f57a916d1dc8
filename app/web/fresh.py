"""Where several server processes share a competition, a page shows what any of them was told before it was asked for.

Somebody who saves at the desk and is sent on to the next page may meet another process there, and must see what was saved.
"""

from collections.abc import Collection
from typing import Any

from fastapi import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from app.store.writer import StoreTrouble
from app.web.places import BELOW_STATIC, SERVICE_WORKER

CAUGHT_UP = "lane_ledger.caught_up"  # in the scope of a request that waited: whether it was not in vain


class NotCaughtUp(StoreTrouble):
    """Raised where an answer would have to be whole, and this process may lack what others did; its text is the sentence."""

    def __init__(self) -> None:
        super().__init__(
            "This server has not heard of everything yet, so what is here could lack something. Ask again in a moment."
        )


def whole(request: Request) -> None:
    """Asks that this process has taken over all that was done before the request. A tablet that is told all marks of its sheet
    takes back what is not among them: an answer that may lack some is none. Raises NotCaughtUp."""
    if not request.scope.get(CAUGHT_UP, True):  # a process that is alone lacks nothing
        raise NotCaughtUp


class Fresh:
    """Lets a request wait until this process has taken over what the others have done. At the addresses that answer `as_it_is`,
    and for static files, nothing is waited for: marks are only taken in, and boards follow by themselves."""

    def __init__(self, app: ASGIApp, as_it_is: Collection[str]) -> None:
        self.app = app
        self._as_it_is = frozenset((*as_it_is, SERVICE_WORKER))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on, a moment later if need be."""
        if scope["type"] in ("http", "websocket") and not self._answers_as_it_is(scope["path"]):
            hall: Any = scope["app"].state.hall
            scope[CAUGHT_UP] = await hall.relay.caught_up()
        await self.app(scope, receive, send)

    def _answers_as_it_is(self, path: str) -> bool:
        return path in self._as_it_is or path.startswith(BELOW_STATIC)
