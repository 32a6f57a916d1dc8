"""Pages whose module is loaded when one of them is first asked for: most days need few of them, and each costs time and memory.

What is known from the start is under which addresses they lie. The first request there loads the module, in a thread, so that
judges' marks are answered meanwhile; its routes then stand in that very place of the table, and the request is asked anew.
"""

import re
from collections.abc import Iterable
from importlib import import_module
from typing import Any

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.routing import BaseRoute, Match, NoMatchFound
from starlette.types import Receive, Scope, Send

from app.web.quick import QuickWay


class Later(BaseRoute):
    """The routes of `module` (its `routes`), not loaded yet. `below` are the addresses under which they lie, such as
    `/desk/plan` or `/desk/events/{key}/variants`; too wide an address costs a needless load, too narrow a one loses a page."""

    def __init__(self, app: FastAPI, module: str, below: Iterable[str]) -> None:
        self.app, self.module = app, module
        addresses = "|".join(re.sub(r"\\\{\w+\\\}", "[^/]+", re.escape(address)) for address in below)
        self._below = re.compile(f"(?:{addresses})(?:/.*)?", re.DOTALL)

    def covers(self, path: str) -> bool:
        """Whether a path lies under these addresses."""
        return self._below.fullmatch(path) is not None

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Takes every request under its addresses, whatever its method: the loaded routes decide."""
        ours = scope["type"] in ("http", "websocket") and self.covers(scope["path"])
        return (Match.FULL if ours else Match.NONE), {}

    def url_path_for(self, name: str, /, **path_params: Any) -> Any:
        """No page is found by its name here."""
        raise NoMatchFound(name, path_params)

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Loads the module and lets the whole table decide again."""
        await run_in_threadpool(import_module, self.module)
        self.load()
        await self.app.router(scope, receive, send)

    def load(self) -> None:
        """Puts the module's routes in this one's place. Two requests may come to this at once; the second finds it done."""
        table = self.app.router.routes
        if self not in table:
            return
        self.app.include_router(import_module(self.module).routes)
        table[table.index(self)] = table.pop()


class Pages(FastAPI):
    """An application some of whose pages are loaded later. Whoever asks for its `routes` gets all of them.

    `quick` is a way past all of them for the one request that is far more frequent than others.
    """

    quick: QuickWay | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers one request."""
        if self.quick is not None and self.quick.takes(scope):
            await self.quick(scope, receive, send)
        else:
            await super().__call__(scope, receive, send)

    def add_later(self, module: str, below: Iterable[str]) -> None:
        """Pages whose module is loaded when one of them is asked for; the place in the table is where this was called."""
        self.router.routes.append(Later(self, module, below))

    @property
    def routes(self) -> list[BaseRoute]:
        """Every route there is; loads those that nobody has asked for yet."""
        load_all(self)
        return self.router.routes


def load_all(app: FastAPI) -> None:
    """Loads every page that nobody has asked for yet."""
    for route in tuple(app.router.routes):
        if isinstance(route, Later):
            route.load()
