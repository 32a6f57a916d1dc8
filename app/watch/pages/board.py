"""The public board: one page, one stream. Whatever changes is rendered once for each version, however many watch.

A board is pieces: one line of a standing, one lane, one heading. A step holds only the pieces that differ, so that two hundred
phones on one Wi-Fi are sent a few hundred bytes for a repetition and not a page.
"""

import asyncio
import gzip
import hashlib
import json
from collections.abc import AsyncGenerator, Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from time import monotonic

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, Response
from markupsafe import Markup

from app.hall.hall import Hall
from app.live.hub import BOARD_EVERY_S, Closed
from app.watch.board import board
from app.watch.board_views import BoardView
from app.web.pages import hall_of, page, render
from app.web.rows import Rows
from app.web.shapes import NUMBER, TEXT, an_object
from app.web.streams import Stream
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY, at_once=True)

BEAT_S = 15.0  # silence between beats; watchers give a line up after missing two
BEAT = b": still here\nevent: beat\ndata: {}\n\n"


@dataclass(frozen=True, slots=True)
class Pieces:
    """A board cut up. frame: what must be equal for a step to be possible. lists: the lists whose order can change, with their
    items. html: every piece by the id of its element."""

    frame: tuple[str, ...]
    lists: dict[str, tuple[str, ...]]
    html: dict[str, str]


@dataclass(frozen=True)
class Version:
    """One version of the board. `whole` replaces any board; `step` turns the version `before` into this one.

    Whole boards are made when somebody asks: most versions are replaced before anybody does.
    """

    view: BoardView | None
    version: str
    pieces: Pieces
    before: str | None
    step: bytes

    @cached_property
    def content(self) -> Markup:
        """The board inside its page."""
        return Markup(render("watch/content.html", view=self.view))

    @cached_property
    def whole(self) -> bytes:
        """The whole board as one update."""
        return _message(None, self.version, _partial("#board", "innerMorph", self.content))

    @cached_property
    def _step_event(self) -> bytes:
        return _event(self.version, self.step)

    def event_for(self, shown: str) -> bytes:
        """The server-sent event that brings a watcher from the version it shows to this one."""
        return self._step_event if shown == self.before else _event(self.version, self.whole)


@dataclass(frozen=True, slots=True)
class Sendable:
    """A page as bytes, and packed."""

    body: bytes
    packed: bytes


class Feed:
    """The newest version of the board, made when somebody asks and something has changed."""

    def __init__(self, hall: Hall) -> None:
        self.hall = hall
        self._seen = -1
        self._now: Version | None = None
        self._made_at = 0.0
        self._page: tuple[Version, Sendable] | None = None
        self._rendered: dict[tuple[str, object], str] = {}
        self._shown: dict[tuple[str, object], str] = {}

    def refresh(self) -> Version:
        """The newest version."""
        if self._now is None or self._seen != self.hall.projection.version:
            self._seen = self.hall.projection.version
            self._now = self._next(board(self.hall))
            self._made_at = monotonic()
        return self._now

    async def newest(self) -> Version:
        """A version that is no older than this call. However many ask, a board is made no more often than boards are told."""
        asked = monotonic()
        if self._now is not None and self._seen != self.hall.projection.version:
            await asyncio.sleep(self._made_at + BOARD_EVERY_S - asked)
            if self._now is not None and self._made_at >= asked:
                return self._now
        return self.refresh()

    def page(self, now: Version, make: Callable[[], bytes]) -> "Sendable":
        """The whole page of a version, as it is sent; made and packed once for each."""
        if self._page is None or self._page[0] is not now:
            body = make()
            self._page = now, Sendable(body, gzip.compress(body, 5, mtime=0))
        return self._page[1]

    def _next(self, view: BoardView | None) -> Version:
        pieces = self._pieces(view)
        version = _digest(pieces)
        if self._now is not None and self._now.version == version:
            return self._now
        before, step = None, b""
        if self._now is not None and self._now.pieces.frame == pieces.frame:
            before = self._now.version
            step = _message(before, version, "".join(_changes(self._now.pieces, pieces)))
        return Version(view, version, pieces, before, step)

    def _pieces(self, view: BoardView | None) -> Pieces:
        if view is None:
            return Pieces(("empty",), {}, {})
        self._rendered, self._shown = self._shown, {}
        html: dict[str, str] = {}
        lists: dict[str, tuple[str, ...]] = {}
        for panel in view.panels:
            html[f"head-{panel.id}"] = self._render("watch/panel_head.html", replace(panel, rows=()), panel=panel)
            html.update({row.id: self._render("watch/row.html", row, row=row) for row in panel.rows})
            lists[f"rows-{panel.id}"] = tuple(row.id for row in panel.rows)
        if view.floor is not None:
            html["floor-head"] = self._render("watch/floor_head.html", replace(view.floor, lanes=()), view=view)
            html.update({lane.id: self._render("watch/lane.html", lane, lane=lane) for lane in view.floor.lanes})
        html["next-heat"] = self._render("watch/next.html", view.next_heat, view=view)
        return Pieces(_frame(view), lists, html)

    def _render(self, template: str, key: object, **views: object) -> str:
        """A piece, rendered anew only when what it shows has changed: views are frozen values, so equal ones look alike. What the
        last version did not show is not kept."""
        held = self._rendered.get((template, key))
        if held is None:
            held = render(template, **views)
        self._shown[template, key] = held
        return held


def _frame(view: BoardView) -> tuple[str, ...]:
    """What a step can't change: names, tabs and their columns, the heat on the floor and its lanes."""
    panels = [f"{p.id}|{p.tab}|{p.turns}|{p.first}|{p.part_names}|{p.part_columns}|{p.score_name}|{p.size}" for p in view.panels]
    floor = [view.floor.heat, *(lane.id for lane in view.floor.lanes)] if view.floor else []
    return (view.competition, view.where, *panels, "floor", *floor)


def _changes(old: Pieces, new: Pieces) -> Iterator[str]:
    """The partial swaps that turn one board into the other. A list whose order changed is sent whole, so that its lines move."""
    moved: set[str] = set()
    for target, ids in new.lists.items():
        if old.lists[target] != ids:
            moved.update(ids)
            yield _partial(f"#{target}", "innerMorph", "".join(new.html[i] for i in ids))
    for key, html in new.html.items():
        if key not in moved and old.html.get(key) != html:
            yield _partial(f"#{key}", "outerMorph", html)


def _partial(target: str, swap: str, html: str) -> str:
    return f'<hx-partial hx-target="{target}" hx-swap="{swap}">{html}</hx-partial>'


def _digest(pieces: Pieces) -> str:
    """A name for what is shown: a restarted server that shows the same names it the same, and no board blinks."""
    shown = json.dumps([pieces.frame, pieces.lists, pieces.html], ensure_ascii=False)
    return hashlib.blake2b(shown.encode(), digest_size=9).hexdigest()


def _message(before: str | None, version: str, html: str) -> bytes:
    return json.dumps({"from": before, "version": version, "html": html}, ensure_ascii=False).encode()


def _event(version: str, message: bytes) -> bytes:
    # JSON holds no line breaks, so one data line carries it.
    return b"event: board\nid: " + version.encode() + b"\ndata: " + message + b"\n\n"


def feed_of(request: Request) -> Feed:
    """The one feed of this server."""
    state = request.app.state
    feed: Feed | None = getattr(state, "board_feed", None)
    if feed is None or feed.hall is not hall_of(request):
        feed = state.board_feed = Feed(hall_of(request))
    return feed


@routes.get("/", as_it_is=True)
@routes.get("/board", as_it_is=True)
async def board_page(request: Request) -> Response:
    """The board, for everybody."""
    feed = feed_of(request)
    now = await feed.newest()

    def make() -> bytes:
        return bytes(page(request, "watch/board.html", view=now.view, version=now.version, content=now.content).body)

    made, headers = feed.page(now, make), {"Vary": "Accept-Encoding"}
    if "gzip" in request.headers.get("accept-encoding", ""):
        return HTMLResponse(made.packed, headers=headers | {"Content-Encoding": "gzip"})
    return HTMLResponse(made.body, headers=headers)


@routes.get("/board/parts", answers=an_object(version=TEXT, html=TEXT), cheap=True, as_it_is=True)
async def board_parts(request: Request) -> Response:
    """The whole board as one update, for a page that missed some; 304 when it has the newest."""
    now = await feed_of(request).newest()
    tag = f'"{now.version}"'
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers={"ETag": tag})
    return Response(now.whole, media_type="application/json", headers={"ETag": tag, "Cache-Control": "no-cache"})


@routes.get("/board/stream", as_it_is=True)
async def board_stream(request: Request, since: str = "") -> Stream:
    """Updates as server-sent events, from the version `since` on."""
    return Stream(request, events(hall_of(request), feed_of(request), since))


@routes.get("/board/time", answers=an_object(boot=TEXT, t2=NUMBER, t3=NUMBER), cheap=True, as_it_is=True)
async def board_time(request: Request) -> JSONResponse:
    """When this request came and when it was answered, on the timeline of heats: two of the four time stamps."""
    time = hall_of(request).time
    received = time.fine_ms()
    answer = {"boot": time.boot, "t2": received, "t3": time.fine_ms()}
    return JSONResponse(answer, headers={"Cache-Control": "no-store"})


async def events(hall: Hall, feed: Feed, shown: str) -> AsyncGenerator[bytes, None]:
    """What one watcher is sent who shows the version `shown`, until the server closes."""
    yield b": hello\n\n"
    with hall.hub.subscribe("board", most=1) as news:
        now = await feed.newest()
        while True:
            if now.version != shown:
                yield now.event_for(shown)
                shown = now.version
            try:
                await news.next(BEAT_S)
            except TimeoutError:
                yield BEAT
            except Closed:
                return
            now = feed.refresh()
