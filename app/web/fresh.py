"""Where several server processes share a competition, a page shows what any of them was told before it was asked for.

Somebody who saves at the desk and is sent on to the next page may meet another process there, and must see what was saved.
"""

from typing import Any

from starlette.types import ASGIApp, Receive, Scope, Send

# Marks are only taken in, and boards follow by themselves; neither waits for anything.
AS_IT_IS = ("/marks", "/static/", "/sw.js", "/board", "/clock", "/health")


class Fresh:
    """Lets a request wait until this process has taken over what the others have done."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request on, a moment later if need be."""
        if scope["type"] in ("http", "websocket") and not (scope["path"] == "/" or scope["path"].startswith(AS_IT_IS)):
            hall: Any = scope["app"].state.hall
            await hall.relay.caught_up()
        await self.app(scope, receive, send)
