"""A quick way to the ledger's door: behind the same doors as everything else, but past the routing of all other pages.

What a framework does for every page (routing, exit stacks, telemetry, two layers of error pages) took as long as storing a mark.
The plain route stands in the table all the same; whatever does not fit here goes there.
"""

from collections.abc import Awaitable, Callable

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

Endpoint = Callable[[Request], Awaitable[Response]]


class QuickWay:
    """Stands before an application: POSTs to `path` go to `endpoint` through the application's own doors, the rest goes on.

    The doors are those that the application has when the first request comes: an instance of each for this way alone.
    """

    def __init__(self, app: Starlette, path: str, endpoint: Endpoint) -> None:
        self._app, self._path, self._endpoint = app, path, endpoint
        self._way: ASGIApp | None = None

    def takes(self, scope: Scope) -> bool:
        """Whether a request comes this way."""
        return bool(scope["type"] == "http" and scope["path"] == self._path and scope["method"] == "POST")

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers one request."""
        scope["app"] = self._app
        if self._way is None:
            self._way = self._behind_doors()
        await self._way(scope, receive, send)

    def _behind_doors(self) -> ASGIApp:
        way: ASGIApp = self._answer
        for door, arguments, named in reversed(self._app.user_middleware):
            way = door(way, *arguments, **named)
        return way

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope, receive)
        try:
            response = await self._endpoint(request)
        except Exception as error:
            response = await self._told(request, error)
        await response(scope, receive, send)

    async def _told(self, request: Request, error: Exception) -> Response:
        """What the application's own handlers make of an error: the nearest kind of it that has one."""
        handlers = self._app.exception_handlers
        handler = next((handlers[kind] for kind in type(error).__mro__ if kind in handlers), None)
        if handler is None:
            raise error
        told: Response = await handler(request, error)
        return told
