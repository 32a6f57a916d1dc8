"""Two doors into one application in one process: plain HTTP, and HTTPS beside it."""

import asyncio
import gc
import logging
import socket
import ssl
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any

import uvicorn

from app.lan.secure import Secure
from app.listening.door import Door
from app.listening.doorkeeper import LOOK_EVERY_S, Doorkeeper, Limits, open_files
from app.listening.patient import PatientHttp, address_of
from app.web.limits import FRAME_BYTES

if TYPE_CHECKING:
    from starlette.types import ASGIApp

GOODBYE_SECONDS = 2  # how long open streams may hold up the end of the server
# The collector's thresholds. A thousand connections are a hundred thousand objects, and a walk through all of them takes 50 ms:
# so that is done seldom, and what is looked through often is kept small: with ten who flood, a walk through the middle generation
# took 23 to 35 ms at 2,000 and 10, and at these 12.
COLLECT = (700, 4, 500)
# After so long a thread that only reckons hands the interpreter on to one that waits. Python's own 5 ms are waited for at every
# step of a mark on its way through the loop and the writer: one page made in a thread, and a lane's answer took 200 ms.
HANDED_ON_S = 0.0005

log = logging.getLogger(__name__)


@dataclass
class Doors:
    """What one server listens on, and what happens when it begins and ends."""

    plain: socket.socket
    tls: socket.socket | None = None
    secure: Secure | None = None
    opened: Callable[[], None] = lambda: None
    closing: Callable[[], None] = lambda: None
    told: Callable[[str], None] = lambda sentence: None  # hears of a door that was closed, see door.py
    watching: bool = True  # announces the name and renews the certificate; of several processes one does


class TwoDoors(uvicorn.Server):
    """The web server behind doors of our own, plain HTTP and HTTPS. `uvicorn.Server` by itself is either plain or encrypted, and
    ends for good when its listener does."""

    def __init__(self, app: "ASGIApp", doors: Doors, limits: Limits | None = None, **more: Any) -> None:
        wanted = limits or Limits()
        self.keeper = Doorkeeper(replace(wanted, connections=open_files(wanted.connections)))
        super().__init__(config(app, self.keeper, **more))
        self.doors = doors
        self._at_work: list[asyncio.Task[None]] = []

    def serve_until_stopped(self) -> None:
        """Serves until the process is told to stop."""
        self.run(sockets=[])

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Opens the plain door, then the encrypted one, and says that both are open."""
        await super().startup([])
        work = [self._look_around(), Door(self.doors.plain, self._take_plain, self.doors.told).run()]
        if self.doors.secure is not None and self.doors.tls is not None:
            greeter = Greeter(self.doors.secure.context, self.keeper, self._protocol)
            work.append(Door(self.doors.tls, greeter.greet, self.doors.told).run())
            work.append(self.doors.secure.watch() if self.doors.watching else self.doors.secure.follow_files())
        self._at_work = [asyncio.create_task(one) for one in work]
        # What is there by now stays until the end: without this the collector walks through all of it again and again, and
        # every tablet waits 50 ms for its answer meanwhile.
        gc.freeze()
        gc.set_threshold(*COLLECT)
        sys.setswitchinterval(HANDED_ON_S)
        logging.getLogger("uvicorn.error").setLevel(logging.WARNING)
        self.doors.opened()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Ends the streams first: an open board would hold the end up until it is cut off."""
        self.doors.closing()
        for task in self._at_work:
            task.cancel()
        if self._at_work:
            await asyncio.wait(self._at_work, timeout=GOODBYE_SECONDS)
        await super().shutdown(sockets)

    async def _look_around(self) -> None:
        loop = asyncio.get_running_loop()
        while True:
            await asyncio.sleep(LOOK_EVERY_S)
            self.keeper.cut_overdue(loop.time())

    def _protocol(self, **more: Any) -> PatientHttp:
        return PatientHttp(self.config, self.server_state, self.lifespan.state, keeper=self.keeper, **more)

    async def _take_plain(self, peer: socket.socket) -> None:
        """Who comes plainly asks for a place at the first byte, and is told in words that there is none."""
        await asyncio.get_running_loop().connect_accepted_socket(self._protocol, peer)


class Greeter:
    """Takes encrypted connections. It knows an address before any greeting, so that half a greeting counts as a connection."""

    def __init__(self, context: ssl.SSLContext, keeper: Doorkeeper, protocol: Callable[..., PatientHttp]) -> None:
        self._context, self._keeper, self._protocol = context, keeper, protocol

    async def greet(self, peer: socket.socket) -> None:
        """Agrees on the encryption with one device, if there is a place for it."""
        loop, limits = asyncio.get_running_loop(), self._keeper.limits
        with suppress(OSError):
            address, own = address_of(peer.getpeername(), peer.getsockname())
            task = asyncio.current_task()
            assert task is not None
            line = self._keeper.admit(address, own, loop.time(), task.cancel)
            if line is None:
                peer.close()
                return
            line.until = loop.time() + limits.greeting_seconds + 1  # the greeting itself has an end; this is for whatever has not
            try:
                await loop.connect_accepted_socket(
                    partial(self._protocol, line=line),
                    peer,
                    ssl=self._context,
                    ssl_handshake_timeout=limits.greeting_seconds,
                )
            except BaseException:  # a device that does not trust us, half a greeting, the end of the server
                self._keeper.leave(line)
                peer.close()
                raise


def config(app: "ASGIApp", keeper: Doorkeeper, **more: Any) -> uvicorn.Config:
    """How the server speaks HTTP."""
    return uvicorn.Config(
        app,
        loop="auto",
        http=partial(PatientHttp, keeper=keeper),  # type: ignore[arg-type]
        ws="websockets-sansio",
        ws_max_size=FRAME_BYTES,
        ws_per_message_deflate=False,
        access_log=False,
        log_config=None,  # where logs go is told in one place, for ours and its own: app/aside.py
        log_level="critical",  # a start that fails is told by us; later trouble is logged
        server_header=False,
        # Behind no proxy, a forwarded address is only what a stranger claims.
        proxy_headers=False,
        timeout_graceful_shutdown=GOODBYE_SECONDS,
        **more,
    )
