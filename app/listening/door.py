"""A door: takes connections from one listening socket, whatever becomes of them, and opens again if that socket is closed.

An event loop's own server ends for good at the first error while it accepts: on Windows a phone that hangs up before it was taken
is such an error, and every board would go dark (CPython, proactor_events.py: `_start_serving` closes the listener).
"""

import asyncio
import logging
import socket
from collections.abc import Awaitable, Callable

from app.listening.ports import is_shared, listen_on, listens

AT_ONCE = 8  # taken in one go, before others have their turn
OUT_OF_FILES_S = 0.1  # how long nobody is taken when the system has no more files, or somebody was gone before they were taken
LOOK_S = 0.5  # how often it is looked whether the socket still listens
AGAIN_S = 0.2

log = logging.getLogger(__name__)

Take = Callable[[socket.socket], Awaitable[None]]
Told = Callable[[str], None]


class Door:
    """Takes connections until cancelled. `take` has each from then on; `told` hears a sentence while the door is closed and can't
    be opened, and an empty one when it has been opened again."""

    def __init__(self, listener: socket.socket, take: Take, told: Told = lambda sentence: None) -> None:
        self._listener, self._take, self._told = listener, take, told
        self._host, self._port = listener.getsockname()[:2]
        self._shared, self._number = is_shared(listener), listener.fileno()
        self._taking: set[asyncio.Task[None]] = set()

    async def run(self) -> None:
        """Takes connections until cancelled; then nobody's greeting goes on."""
        try:
            while True:
                await self._until_closed()
                await self._open_again()
        finally:
            self._listener.close()
            for task in self._taking:
                task.cancel()

    async def _until_closed(self) -> None:
        accepting = asyncio.create_task(self._accept())
        try:
            while listens(self._listener) and not accepting.done():
                await asyncio.wait([accepting], timeout=LOOK_S)
        finally:
            accepting.cancel()
            ended = (await asyncio.gather(accepting, return_exceptions=True))[0]
        log.error("The listening socket at port %d was closed under the server.", self._port, exc_info=_unlooked_for(ended))

    async def _accept(self) -> None:
        loop = asyncio.get_running_loop()
        self._listener.setblocking(False)
        taken = 0
        while listens(self._listener):
            try:
                peer, _ = await loop.sock_accept(self._listener)
            except OSError:  # gone before it was taken, or the system is out of files for the moment
                await asyncio.sleep(OUT_OF_FILES_S)
                continue
            self._have(loop.create_task(self._taken(peer)))
            taken += 1
            if taken % AT_ONCE == 0:
                await asyncio.sleep(0)

    def _have(self, task: asyncio.Task[None]) -> None:
        self._taking.add(task)
        task.add_done_callback(self._taking.discard)

    async def _taken(self, peer: socket.socket) -> None:
        try:
            await self._take(peer)
        except OSError:
            peer.close()  # gone before it was greeted
        except BaseException:
            peer.close()
            raise

    async def _open_again(self) -> None:
        self._listener.close()
        while True:
            await asyncio.sleep(AGAIN_S)
            try:
                self._listener = self._another()
            except OSError as wrong:
                self._told(f"Port {self._port} was closed by the system, and can't be opened ({wrong.strerror or wrong}).")
            else:
                break
        log.error("Port %d is open again.", self._port)
        self._told("")

    def _another(self) -> socket.socket:
        """A socket at the same port under another number: uvloop waits for ever for news of the old one's."""
        made = listen_on(self._host, self._port, self._shared)
        if made.fileno() != self._number:
            self._number = made.fileno()
            return made
        with made:
            other = made.dup()
        self._number = other.fileno()
        return other


def _unlooked_for(ended: object) -> Exception | None:
    return ended if isinstance(ended, Exception) else None
