"""The outermost door: notes whether a request came from another computer, so that the desk knows that the way in is open."""

from typing import Any

from starlette.types import ASGIApp, Receive, Scope, Send

from app.web.lines import caller_of


class WayIn:
    """Passes everything on. Whatever is asked, and however it is answered: a request that came has found the way."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Looks at the address of whoever asks until the first one has come from the hall."""
        hall: Any = getattr(scope["app"].state, "hall", None) if scope["type"] in ("http", "websocket") else None
        if hall is not None and not hall.reached.by:
            address, own = caller_of(scope)
            if not own:
                hall.reached.came(address, hall.time.wall_ms())
        await self.app(scope, receive, send)
