"""Where several server processes share a competition, a page shows what any of them was told before it was asked for.

Somebody who saves at the desk and is sent on to the next page may meet another process there, and must see what was saved. Where
a process can't be sure to know everything, it shows its pages all the same, but makes nothing that is taken for all there is:
what would be kept for good, taken along or printed is refused for the moment (`Says.needs_all`, in rows.py).
"""

from typing import Any

from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Receive, Scope, Send

from app.store.writer import StoreTrouble

LACKS = "lane_ledger.lacks"  # in the scope of what is answered though this process may lack something


class NotCaughtUp(StoreTrouble):
    """Raised where an answer would have to be whole, and this process may lack what others did; its text is the sentence."""

    def __init__(self) -> None:
        super().__init__(
            "This server has not heard of everything yet, so what is here could lack something and nothing was done. Try again "
            "in a moment."
        )


class Fresh:
    """Stands before one page or socket: it waits until this process has taken over what the others have done. Where that is in
    vain, what `needs_all` is refused with NotCaughtUp, and the rest is answered with what is known here."""

    def __init__(self, app: ASGIApp, needs_all: bool = False) -> None:
        self.app, self.needs_all = app, needs_all

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on, a moment later if need be."""
        hall: Any = scope["app"].state.hall
        if not await hall.relay.caught_up():
            if self.needs_all:
                raise NotCaughtUp
            scope[LACKS] = True
        await self.app(scope, receive, send)


def lacks(connection: HTTPConnection) -> bool:
    """Whether what is known here may lack what other processes did before this was asked."""
    return LACKS in connection.scope
