"""The feed of the wall screens: made of the board's newest version, and only while a wall follows; it is sent what changed."""

import asyncio
import hashlib
import json
from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass

from app.live.hub import Subscription
from app.live.kept_views import KeptViews
from app.live.slices import Slices
from app.watch.pages.feed import Feed, Version
from app.watch.wall import Pieces, wall_steps
from app.watch.walls import said_scene


@dataclass(frozen=True, slots=True)
class WallVersion:
    """One version of the wall: every piece of JSON by name, and what turns the version `before` into it."""

    of: tuple[Version, str]
    version: str
    pieces: Pieces
    before: str
    step: bytes

    def whole(self) -> bytes:
        """All of it as one update."""
        return _message("", self.version, self.pieces, ())

    def event_for(self, shown: str) -> bytes:
        """The server-sent event that brings a screen from the version it shows to this one."""
        data = self.step if shown and shown == self.before else self.whole()
        return b"event: wall\nid: " + self.version.encode() + b"\ndata: " + data + b"\n\n"


class WallFeed:
    """The newest version of the wall. Used on the event loop."""

    def __init__(self, board: Feed) -> None:
        self.board = board
        self.now: WallVersion | None = None
        self._views = KeptViews()
        self._making = asyncio.Lock()

    async def newest(self) -> WallVersion:
        """A version that is no older than this call; made once, however many screens ask."""
        async with self._making:
            board, said = await self.board.newest(), await said_scene(self.board.hall)
            while self.now is None or self.now.of != (board, said):
                try:
                    self.now = self._next((board, said), await self._pieces(board, said))
                except LookupError:  # of a lane or an event that was taken away meanwhile: the board is about to tell of it
                    before, board = board, await self.board.newest()
                    if before is board:
                        raise
            return self.now

    async def at_hand(self) -> WallVersion:
        """What those who follow are told of."""
        return await self.newest()

    def followed(self) -> AbstractContextManager[Subscription]:
        """For one who follows: the board's feed is made while anybody does, and tells."""
        return self.board.followed()

    async def _pieces(self, board: Version, said: str) -> Pieces:
        self._views.turn()
        return await Slices().through(wall_steps(self.board.hall, self._views, board.view, said))

    def _next(self, of: tuple[Version, str], pieces: Pieces) -> WallVersion:
        version = _digest(pieces)
        if self.now is None:
            return WallVersion(of, version, pieces, "", b"")
        if self.now.version == version:
            return WallVersion(of, version, pieces, self.now.before, self.now.step)
        changed = {name: text for name, text in pieces.items() if self.now.pieces.get(name) != text}
        gone = tuple(name for name in self.now.pieces if name not in pieces)
        return WallVersion(of, version, pieces, self.now.version, _message(self.now.version, version, changed, gone))


def _digest(pieces: Pieces) -> str:
    digest = hashlib.blake2b(digest_size=9)
    for name, text in pieces.items():
        digest.update(f"{name}\n{text}\n".encode())
    return digest.hexdigest()


def _message(before: str, version: str, pieces: Mapping[str, str], gone: tuple[str, ...]) -> bytes:
    """An update as JSON, whose pieces are JSON already."""
    told = ",".join(f"{json.dumps(name)}:{text}" for name, text in pieces.items())
    return f'{{"from":"{before}","version":"{version}","gone":{json.dumps(gone)},"set":{{{told}}}}}'.encode()
