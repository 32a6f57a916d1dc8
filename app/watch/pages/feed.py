"""The feed of the public board: its newest version, made once for all who follow, in slices that let judges through.

A board is pieces: one line of a standing, one lane, one heading. A step holds only the pieces that differ, so that two hundred
phones on one Wi-Fi are sent a few hundred bytes for a repetition and not a page. Those who follow are told a few at a time.
"""

import asyncio
import gzip
import hashlib
import json
import logging
from collections.abc import AsyncGenerator, Callable, Generator, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from time import monotonic
from typing import Protocol

from markupsafe import Markup

from app.hall.hall import Hall
from app.live.catching_up import caught_up
from app.live.hub import BOARD_EVERY_S, SCREENS, Subscription
from app.live.kept_views import KeptViews
from app.live.slices import Slices
from app.watch.board import board_steps
from app.watch.board_views import BoardView
from app.web.pages import render
from app.web.streams import BEAT, turns

TOLD = "board made"  # the topic of those who follow; what changes in the hall is told on "board"

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Pieces:
    """A board cut up. frame: what must be equal for a step to be possible. lists: the lists whose order can change, with their
    items. html: every piece by the id of its element."""

    frame: tuple[str, ...]
    lists: dict[str, tuple[str, ...]]
    html: dict[str, "Piece"]


class Piece(str):
    """A rendered piece, with the digest of what it is."""

    @cached_property
    def digest(self) -> bytes:
        """The same for the same text."""
        return hashlib.blake2b(self.encode(), digest_size=9).digest()

    def __html__(self) -> str:
        """As templates take what need not be escaped."""
        return self


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
        return Markup(render("watch/content.html", view=self.view, pieces=self.pieces.html))

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
    """The newest version of the board, of the whole hall or of a lane's floor, made when somebody asks and something has changed.
    Used on the event loop."""

    def __init__(self, hall: Hall, lane: int | None = None) -> None:
        self.hall = hall
        self.lane = lane
        self.now: Version | None = None
        self._seen = -1
        self._making: asyncio.Task[None] | None = None
        self._made_at = 0.0
        self._page: tuple[Version, Sendable] | None = None
        self._views = KeptViews()
        self._rendered: dict[tuple[str, object], Piece] = {}
        self._shown: dict[tuple[str, object], Piece] = {}
        self._followers = 0
        self._changes: Subscription | None = None
        self._following: asyncio.Task[None] | None = None  # held, for the loop does not hold it

    async def refresh(self) -> Version:
        """A version of nothing older than what there is now."""
        wanted = self.hall.projection.version
        while self.now is None or self._seen < wanted:
            if self._making is None:
                self._making = asyncio.create_task(self._make())
            await asyncio.shield(self._making)
        return self.now

    async def newest(self) -> Version:
        """A version that is no older than this call. However many ask, a board is made no more often than boards are told."""
        wanted = self.hall.projection.version
        if self.now is not None and self._seen < wanted:
            await asyncio.sleep(self._made_at + BOARD_EVERY_S - monotonic())
            if self._seen >= wanted:
                return self.now
        return await self.refresh()

    async def at_hand(self) -> Version:
        """What those who follow are told of: the version that was made last."""
        return self.now or await self.newest()

    @contextmanager
    def followed(self) -> Iterator[Subscription]:
        """For one who follows: told whenever there is another version (`now`). While anybody does, versions are made."""
        if self._followers == 0:
            self._changes = self.hall.hub.subscribe("board", most=1)
            self._following = asyncio.create_task(self._follow(self._changes))
        self._followers += 1
        try:
            with self.hall.hub.subscribe(TOLD, SCREENS, most=1) as news:
                yield news
        finally:
            self._followers -= 1
            if self._followers == 0 and self._changes is not None:
                self._changes.close()

    async def _follow(self, news: Subscription) -> None:
        with news:
            async for _ in news:
                try:
                    await self.refresh()
                except Exception:
                    log.exception("A version of the board could not be made.")
                else:
                    await self.hall.hub.tell_in_turns(TOLD)

    async def _make(self) -> None:
        try:
            made, decided, seen = None, None, -1
            while decided is None or not self._is_decided(decided):
                decided, seen = self._decided(), self.hall.projection.version
                try:
                    made = await self._next(Slices())
                except LookupError:  # of a lane or an event that was taken away meanwhile
                    if self._is_decided(decided):
                        raise
            self.now, self._seen, self._made_at = made, seen, monotonic()
        finally:
            self._making = None

    def _decided(self) -> tuple[object, ...]:
        """What people decide, as opposed to what is marked; a board is not made of two minds."""
        return (self.hall.projection.roster, self.hall.projection.runs, self.hall.projection.rulings)

    def _is_decided(self, decided: tuple[object, ...]) -> bool:
        return all(one is other for one, other in zip(decided, self._decided(), strict=True))

    def page(self, now: Version, make: Callable[[], bytes]) -> "Sendable":
        """The whole page of a version, as it is sent; made and packed once for each."""
        if self._page is None or self._page[0] is not now:
            body = make()
            self._page = now, Sendable(body, gzip.compress(body, 5, mtime=0))
        return self._page[1]

    async def _next(self, slices: Slices) -> Version:
        await caught_up(self.hall.projection, slices)
        self._views.turn()
        view = await slices.through(board_steps(self.hall, self._views, self.lane))
        pieces = await slices.through(self._pieces(view))
        version = _digest(pieces)
        await slices.pause()
        if self.now is not None and self.now.version == version:
            return self.now
        before, step = None, b""
        if self.now is not None and self.now.pieces.frame == pieces.frame:
            before = self.now.version
            step = _message(before, version, "".join(_changes(self.now.pieces, pieces)))
        return Version(view, version, pieces, before, step)

    def _pieces(self, view: BoardView | None) -> Generator[None, None, Pieces]:
        if view is None:
            return Pieces(("empty",), {}, {})
        self._rendered, self._shown = self._shown, {}
        html: dict[str, Piece] = {}
        for panel in view.panels:
            html[f"head-{panel.id}"] = self._render("watch/panel_head.html", replace(panel, rows=()), panel=panel)
            for row in panel.rows:
                html[row.id] = self._render("watch/row.html", row, row=row)
                yield
        if view.floor is not None:
            html["floor-head"] = self._render("watch/floor_head.html", replace(view.floor, lanes=()), view=view)
            for lane in view.floor.lanes:
                html[lane.id] = self._render("watch/lane.html", lane, lane=lane)
                yield
        html["floor-beside"] = self._render("watch/beside.html", view.beside, beside=view.beside)
        html["next-heat"] = self._render("watch/next.html", view.next_heat, view=view)
        lists = {f"rows-{panel.id}": tuple(row.id for row in panel.rows) for panel in view.panels}
        return Pieces(_frame(view), lists, html)

    def _render(self, template: str, key: object, **views: object) -> Piece:
        """A piece, rendered anew only when what it shows has changed: views are frozen values, so equal ones look alike. What the
        last version did not show is not kept."""
        held = self._rendered.get((template, key))
        if held is None:
            held = Piece(render(template, **views))
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
    digest = hashlib.blake2b(json.dumps([pieces.frame, pieces.lists], ensure_ascii=False).encode(), digest_size=9)
    for key, piece in pieces.html.items():
        digest.update(key.encode() + piece.digest)
    return digest.hexdigest()


def _message(before: str | None, version: str, html: str) -> bytes:
    return json.dumps({"from": before, "version": version, "html": html}, ensure_ascii=False).encode()


def _event(version: str, message: bytes) -> bytes:
    # JSON holds no line breaks, so one data line carries it.
    return b"event: board\nid: " + version.encode() + b"\ndata: " + message + b"\n\n"


class Told(Protocol):
    """A version of a feed."""

    @property
    def version(self) -> str:
        """Its name."""

    def event_for(self, shown: str) -> bytes:
        """The server-sent event that brings a watcher from the version it shows to this one."""


class Followed(Protocol):
    """A feed that can be followed."""

    def followed(self) -> AbstractContextManager[Subscription]:
        """For one who follows: told whenever there is another version."""

    async def newest(self) -> Told:
        """A version that is no older than this call."""

    async def at_hand(self) -> Told:
        """The version to tell of."""


async def events(find: Callable[[], Followed], shown: str) -> AsyncGenerator[bytes, None]:
    """What one watcher is sent who shows the version `shown`, until the server closes. find: the feed to follow, which becomes
    another where the start lists make another floor of its lane."""
    yield b": hello\n\n"
    while True:
        feed = find()
        with feed.followed() as news:
            await feed.newest()  # perhaps nobody followed until now
            async for heard in turns(news):
                if not heard:
                    yield BEAT
                if find() is not feed:
                    break
                now = await feed.at_hand()
                if now.version != shown:
                    yield now.event_for(shown)
                    shown = now.version
            else:
                return
