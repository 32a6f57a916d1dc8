"""Two doors into one application in one process: plain HTTP, and HTTPS beside it."""

import asyncio
import gc
import logging
import socket
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import uvicorn
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from app.lan.secure import Secure

if TYPE_CHECKING:
    from starlette.types import ASGIApp

SOCKET_BYTES = 64 * 1024  # the largest message a tablet may send on its socket
GOODBYE_SECONDS = 2  # how long open streams may hold up the end of the server
GREETING_SECONDS = 10  # how long a device may take to agree on the encryption
TLS_GREETING = b"\x16"  # the first byte of every TLS connection (RFC 8446, 5.1); no HTTP request begins so
HOLD_SECONDS = 1.0


class PatientHttp(HttpToolsProtocol):
    """HTTP that holds a TLS greeting on the plain port for a second and then hangs up, without an answer.

    A tablet that no longer trusts our certificate can't tell that from a dead server: the browser says "failed" to both. So it
    greets the plain port too. A dead server refuses at once; ours hangs up after a second. See static/js/device/reach.js.
    """

    _greeted = False
    _holding = False

    def data_received(self, data: bytes) -> None:
        """Looks at the first bytes, and passes on what is HTTP."""
        if not self._greeted:
            self._greeted = True
            if self.scheme == "http" and data.startswith(TLS_GREETING):
                self._holding = True
                self.loop.call_later(HOLD_SECONDS, self.transport.close)
        if not self._holding:
            super().data_received(data)


@dataclass
class Doors:
    """What one server listens on, and what happens when it begins and ends."""

    plain: socket.socket
    tls: socket.socket | None = None
    secure: Secure | None = None
    opened: Callable[[], None] = lambda: None
    closing: Callable[[], None] = lambda: None


class TwoDoors(uvicorn.Server):
    """The web server with a second listener for HTTPS. `uvicorn.Server` by itself is either plain or encrypted."""

    def __init__(self, app: "ASGIApp", doors: Doors, **more: Any) -> None:
        super().__init__(config(app, **more))
        self.doors = doors
        self._watching: asyncio.Task[None] | None = None

    def serve_until_stopped(self) -> None:
        """Serves until the process is told to stop."""
        self.run(sockets=[self.doors.plain])

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Opens the plain door, then the encrypted one, and says that both are open."""
        await super().startup(sockets)
        if self.doors.secure is not None and self.doors.tls is not None:
            await self._open_tls(self.doors.secure, self.doors.tls)
        # What is there by now stays until the end: without this the collector walks through all of it again and again, and
        # every tablet waits 50 ms for its answer meanwhile.
        gc.freeze()
        logging.getLogger("uvicorn.error").setLevel(logging.WARNING)
        self.doors.opened()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Ends the streams first: an open board would hold the end up until it is cut off."""
        self.doors.closing()
        if self._watching is not None:
            self._watching.cancel()
            await asyncio.wait([self._watching], timeout=GOODBYE_SECONDS)
        await super().shutdown(sockets)

    async def _open_tls(self, secure: Secure, listener: socket.socket) -> None:
        def protocol() -> asyncio.Protocol:
            return PatientHttp(self.config, self.server_state, self.lifespan.state)

        loop = asyncio.get_running_loop()
        self.servers.append(
            await loop.create_server(
                protocol,
                sock=listener,
                ssl=secure.context,
                ssl_handshake_timeout=GREETING_SECONDS,
                backlog=self.config.backlog,
            )
        )
        self._watching = asyncio.create_task(secure.watch())


def config(app: "ASGIApp", **more: Any) -> uvicorn.Config:
    """How the server speaks HTTP."""
    return uvicorn.Config(
        app,
        loop="auto",
        http=PatientHttp,
        ws="websockets-sansio",
        ws_max_size=SOCKET_BYTES,
        ws_per_message_deflate=False,
        access_log=False,
        log_level="critical",  # a start that fails is told by us; later trouble is logged
        server_header=False,
        # Behind no proxy, a forwarded address is only what a stranger claims.
        proxy_headers=False,
        timeout_graceful_shutdown=GOODBYE_SECONDS,
        **more,
    )
