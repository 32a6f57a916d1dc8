"""Pages whose module is loaded when one of them is first asked for: most days need few of them, and each costs time and memory.

What is known from the start is at which addresses they lie (`scan.py`). The first request to one of these loads the module, in a
thread, so that judges' marks are answered meanwhile; its rows then stand in the table, and the request is asked anew.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.routing import BaseRoute, Match, NoMatchFound
from starlette.types import Receive, Scope, Send

from app.web.quick import QuickWay
from app.web.rows import KB, MB, Plainly, Row, Says
from app.web.scan import Found, Module


class Later(BaseRoute):
    """All modules of pages that nobody has asked for yet: in the table behind the addresses without gaps that are loaded."""

    def __init__(self, app: "Pages") -> None:
        self.app = app
        self.waiting: set[str] = set()
        # By their number of parts and the first of them: every request that nothing loaded answers is looked up here.
        self._rows: defaultdict[tuple[int, str], list[tuple[list[str], str]]] = defaultdict(list)

    def wait(self, module: Module) -> None:
        """Keeps a module until somebody asks for one of its pages."""
        self.waiting.add(module.name)
        for parts in (row.address.split("/") for row in module.rows):
            self._rows[len(parts), parts[1]].append((parts, module.name))

    def asked_for(self, path: str) -> list[str]:
        """The modules that may have a page at this address. One too many costs a needless load."""
        parts = path.split("/")
        rows = self._rows.get((len(parts), parts[min(1, len(parts) - 1)]), ())
        return list(dict.fromkeys(name for row, name in rows if name in self.waiting and _fits(row, parts)))

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Takes every request at these addresses, whatever its method: the loaded rows decide."""
        ours = scope["type"] in ("http", "websocket") and self.asked_for(scope["path"])
        return (Match.FULL if ours else Match.NONE), {}

    def url_path_for(self, name: str, /, **path_params: Any) -> Any:
        """No page is found by its name here."""
        raise NoMatchFound(name, path_params)

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Loads what was asked for and lets the whole table decide again."""
        for name in self.asked_for(scope["path"]):
            await run_in_threadpool(import_module, name)
            self.load(name)
        await self.app.router(scope, receive, send)

    def load(self, name: str) -> None:
        """Puts a module's rows into the table. Two requests may come to this at once; the second finds it done."""
        if name in self.waiting:
            self.waiting.remove(name)
            self.app.add_rows(import_module(name).routes.rows)


def _fits(row: Sequence[str], parts: Sequence[str]) -> bool:
    return all(ours == theirs or "{" in ours for ours, theirs in zip(row, parts, strict=True))


class Pages(FastAPI):
    """An application most of whose pages are loaded later. Whoever asks for its `routes` gets all of them.

    `quick` is a way past all of them for the one request that is far more frequent than others.
    """

    quick: QuickWay | None = None

    def __init__(self, modules: Sequence[Module] = (), **named: Any) -> None:
        super().__init__(**named)
        self.later = Later(self)
        self._told: list[Found] = []
        for module in modules:
            self._told += module.rows
            if not module.at_once:
                self.later.wait(module)
        self.add_rows([row for module in modules if module.at_once for row in import_module(module.name).routes.rows])

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers one request."""
        if self.quick is not None and self.quick.takes(scope):
            await self.quick(scope, receive, send)
        else:
            await super().__call__(scope, receive, send)

    def where(self, true: Callable[[Says], bool]) -> frozenset[str]:
        """The addresses of which something is true that must be known before they are loaded."""
        return frozenset(row.address for row in self._told if true(row.says))

    def printed(self) -> dict[str, str]:
        """The addresses of sheets of an event, with the words by which they are offered."""
        return {row.address: row.says.printed for row in self._told if row.says.printed}

    def bodies(self) -> dict[str, int]:
        """The addresses at which more or less than a form may come, with how many bytes at most."""
        sizes = ((row.address, row.says.takes_mb * MB + row.says.takes_kb * KB) for row in self._told)
        return {address: size for address, size in sizes if size}  # what is fetched at the same address says nothing of it

    def add_rows(self, rows: Sequence[Row]) -> None:
        """Puts rows into the table, each where the rule has it: a word before a gap, so that /desk/judges/paste is no judge
        called “paste”."""
        for row in rows:
            if isinstance(row, Plainly) and row.says.quick:
                self.quick = QuickWay(self, row.path, row.endpoint)
        table = [*(route for route in self.router.routes if route is not self.later), *rows]
        table.sort(key=_gaps_of)
        whole = sum(not _gaps_of(route) for route in table)
        self.router.routes[:] = [*table[:whole], *([self.later] if self.later.waiting else ()), *table[whole:]]

    @property
    def routes(self) -> list[BaseRoute]:
        """Every route there is; loads those that nobody has asked for yet."""
        for name in tuple(self.later.waiting):
            self.later.load(name)
        return self.router.routes


def _gaps_of(route: BaseRoute) -> tuple[tuple[int, int], ...]:
    return gaps(getattr(route, "path", ""))


def gaps(address: str) -> tuple[tuple[int, int], ...]:
    """By what addresses are tried in order: those without gaps first, then the later the gap and the more words around it (as
    in `/{entry}.json`), the earlier. Of two addresses that one path fits, the one that says more of it comes first."""
    parts = enumerate(address.split("/"))
    return tuple((-at, -len(part.partition("{")[0] + part.rpartition("}")[2])) for at, part in parts if "{" in part)
