"""Serving in several processes: the parent brings the store up, opens the doors for all, and each child serves behind its own."""

import secrets
import socket
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from app.listening.listeners import Doors
from app.listening.processes import Processes, keep_only, settle_parent, sockets_for
from app.live.servertime import this_machine
from app.server import create_app
from app.settings import Settings
from app.store.engines import writer_engine
from app.store.schema import bring_to_head

if TYPE_CHECKING:
    from starlette.types import ASGIApp

SPARE = 8  # a browser's connections may all be dealt to one process

Run = Callable[["ASGIApp", Doors, Settings], int]


@dataclass(frozen=True)
class Together:
    """What the parent keeps for all its children. `run` serves one application; `opened` is called when all answer."""

    settings: Settings
    doors: Doors
    run: Run
    opened: Callable[[Doors], None]

    def serve(self) -> int:
        """Serves until stopped: 0, or 1 when no child could start."""
        store_ready(self.settings.database())
        count = self.settings.processes
        plain = sockets_for(count, self.doors.plain)
        tls = sockets_for(count, self.doors.tls) if self.doors.tls is not None else []
        code = secrets.randbelow(10**6)
        settle_parent()
        try:
            work = partial(self._child, plain=plain, tls=tls, code=f"{code:06}")
            return Processes(count, work, lambda: self.opened(replace(self.doors, plain=plain[0]))).run()
        finally:
            for door in {*plain, *tls}:
                door.close()

    def _child(
        self, number: int, ready: Callable[[], None], plain: list[socket.socket], tls: list[socket.socket], code: str
    ) -> int:
        app = create_app(self.settings, this_machine(), self.doors.secure, first_code=code)
        doors = replace(
            self.doors,
            plain=keep_only(number, plain),
            tls=keep_only(number, tls) if tls else None,
            opened=ready,
            closing=lambda: app.state.hall.hub.close(),
            told=app.state.told,
            watching=number == 0,
        )
        return self.run(app, doors, share_of(self.settings))


def store_ready(url: str) -> None:
    """Walks the database up to the newest schema before any child opens it, so that what is wrong with it is told once."""
    engine = writer_engine(url)
    try:
        bring_to_head(engine)
    finally:
        engine.dispose()


def share_of(settings: Settings) -> Settings:
    """Each process's share of what an address may have in all. Which process a connection is dealt to is chance, so there is
    something to spare."""
    count = settings.processes
    return settings.model_copy(
        update={
            "connections_per_address": -(-settings.connections_per_address // count) + SPARE,
            "pages_per_second": settings.pages_per_second / count,
        }
    )
