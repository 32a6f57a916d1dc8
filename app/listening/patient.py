"""HTTP with a patience that ends: headers in time and in bounds, readers who read, and nothing kept for nobody.

The web server has no such limits of its own. This is its protocol with the few hooks that they take.
"""

import asyncio
import socket
import struct
import sys
from contextlib import suppress
from functools import partial
from typing import Any, cast

import httptools
from uvicorn.protocols.http.httptools_impl import STATUS_LINE, HttpToolsProtocol

from app.listening.doorkeeper import NEVER, Doorkeeper, Limits, Line
from app.listening.patient_socket import PatientSocket
from app.web.lines import LINE

TLS_GREETING = b"\x16"  # the first byte of every TLS connection (RFC 8446, 5.1); no HTTP request begins so
HOLD_SECONDS = 1.0
VANISHED_MS = 20_000  # a peer that acknowledges nothing for so long is gone (Linux; RFC 5482)
WRITE_AHEAD = 128 * 1024  # bytes that the system takes for a client that does not read

BETWEEN, HEAD, BODY = range(3)  # what of a request is to come next: nothing yet, headers, its body

TOO_MANY_LINES = "Too many connections are open from this address. Close some pages and try again."
NO_REQUEST = "This server does not understand that request."
HEAD_TOO_LARGE = "The headers of this request are too large."
TARGET_TOO_LONG = "The address of this request is too long."
OTHER_TARGET = "The request names one host but goes to another."
TOO_MANY_AT_ONCE = "Too many requests were sent at once."


class BadRequest(Exception):
    """Raised inside the parser for a request that is refused; holds the status and the sentence."""

    def __init__(self, status: int, sentence: str) -> None:
        super().__init__(sentence)
        self.status, self.sentence = status, sentence


def peer_of(transport: asyncio.BaseTransport) -> tuple[str, bool]:
    """The address that a connection comes from, and whether it comes from this very computer."""
    return address_of(transport.get_extra_info("peername"), transport.get_extra_info("sockname"))


def address_of(peer: Any, here: Any) -> tuple[str, bool]:
    """The same from two socket addresses: whoever comes from the address that was called is this computer itself."""
    address = str(peer[0]) if isinstance(peer, tuple) and peer else ""
    return address, isinstance(here, tuple) and bool(here) and address == str(here[0])


def bound(sock: socket.socket | None) -> None:
    """Tells the system how much it may keep for a peer that does not read, and when a silent one is gone."""
    if sock is None:
        return
    with suppress(OSError):  # a peer that is gone already
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, WRITE_AHEAD)
        if sys.platform == "linux":
            sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, VANISHED_MS)


def cut(transport: asyncio.Transport) -> None:
    """Ends a connection at once. Nothing that was written is kept for it, by the system neither."""
    sock = transport.get_extra_info("socket")
    if sock is not None:
        with suppress(OSError):
            sock.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    transport.abort()


class PatientHttp(HttpToolsProtocol):
    """HTTP within limits. On the plain port it also holds a TLS greeting for a second and then hangs up, without an answer.

    A tablet that no longer trusts our certificate can't tell that from a dead server: the browser says "failed" to both. So it
    greets the plain port too. A dead server refuses at once; ours hangs up after a second. See static/js/device/reach.js.
    """

    def __init__(self, *given: Any, keeper: Doorkeeper, line: Line | None = None, **named: Any) -> None:
        super().__init__(*given, **named)
        self.keeper = keeper
        self.line = line
        self.limits: Limits = keeper.limits
        self._next = BETWEEN
        self._head_bytes = self._unwanted = 0
        self._first = True
        self._deaf = self._closing = False

    # --- the connection ---

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Asks for a place; without one it says so and hangs up."""
        if self.line is None:
            address, own = peer_of(transport)
            self.line = self.keeper.admit(address, own, self.loop.time(), self._end)
        if self.line is None:
            self._deaf = True
            self.transport = transport
            transport.write(refusal(503, TOO_MANY_LINES))
            transport.close()
            return
        bound(transport.get_extra_info("socket"))
        self.line.cut, self.line.waiting = self._end, transport.get_write_buffer_size
        self.line.until = self.loop.time() + self.limits.head_seconds
        super().connection_made(transport)

    def connection_lost(self, exc: Exception | None) -> None:
        """Gives the place back."""
        if self.line is None:
            return
        self.keeper.leave(self.line)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Looks at the first bytes, and passes on what is HTTP, the head of a request in bounds."""
        if self._deaf or self.line is None:
            return
        if self._first:
            self._first = False
            if self.scheme == "http" and data.startswith(TLS_GREETING):
                self._deaf = True
                self.line.until = self.loop.time() + 2 * HOLD_SECONDS
                self.loop.call_later(HOLD_SECONDS, self.transport.close)
                return
        if self._next == BODY:
            self._feed(data)
        else:
            self._feed_head(data)
        if not self._deaf:
            self._set_clock()

    def pause_writing(self) -> None:
        """The client does not read: it has a while to begin."""
        super().pause_writing()
        if self.line is not None:
            self.line.must_read(self.loop.time(), self.limits)

    def resume_writing(self) -> None:
        """The client reads again."""
        super().resume_writing()
        if self.line is not None and not self._closing:
            self.line.unread_until = NEVER

    # --- the parser ---

    def _feed_head(self, data: bytes) -> None:
        """Feeds no more than a head may have; what follows it is fed once the head is whole. (The parser itself keeps all.)"""
        if self._next == BETWEEN:
            self._begin_head()
        room = max(0, self.limits.head_bytes - self._head_bytes)
        self._head_bytes += len(data)
        self._feed(data[:room])
        if self._deaf or self._head_bytes <= self.limits.head_bytes:
            return
        if self._next == HEAD:
            self._refuse(431, HEAD_TOO_LARGE)
        else:
            self._feed(data[room:])

    def _feed(self, data: bytes) -> None:
        if self._next == BODY and self.cycle is not None and self.cycle.response_complete:
            self._unwanted += len(data)
            if self._unwanted > self.limits.unwanted_bytes:
                self._hang_up()
                return
        try:
            self.parser.feed_data(data)
        except httptools.HttpParserUpgrade:
            if self._should_upgrade():
                self.handle_websocket_upgrade()
        except httptools.HttpParserError as wrong:
            why = wrong.__context__
            if isinstance(why, BadRequest):
                self._refuse(why.status, why.sentence)
            else:
                self._refuse(400, NO_REQUEST)

    def _begin_head(self) -> None:
        """A head that has begun must end in time. The first one's time runs from the connection."""
        self._next, self._head_bytes = HEAD, 0
        if self.scope is not None:
            cast(Line, self.line).until = self.loop.time() + self.limits.head_seconds

    def _set_clock(self) -> None:
        """While the application works on an answer nothing is cut here; a kept connection may be idle for a while."""
        line = cast(Line, self.line)
        if self._next == HEAD:
            return
        if self.cycle is not None and not self.cycle.response_complete:
            line.until = NEVER
        elif self._next == BETWEEN:
            line.until = self.loop.time() + self.limits.idle_seconds

    def on_message_begin(self) -> None:
        """A request begins."""
        super().on_message_begin()
        if self._next == BETWEEN:
            self._begin_head()
        cast(dict[str, Any], self.scope)["extensions"] = {LINE: self.line}

    def on_url(self, url: bytes) -> None:
        """A piece of the request's target."""
        super().on_url(url)
        if len(self.url) > self.limits.target_bytes:
            raise BadRequest(414, TARGET_TOO_LONG)

    def on_header(self, name: bytes, value: bytes) -> None:
        """One header."""
        if len(self.headers) >= self.limits.headers:
            raise BadRequest(431, HEAD_TOO_LARGE)
        super().on_header(name, value)

    def on_headers_complete(self) -> None:
        """The head is whole: it is looked at, and the application is asked."""
        if len(self.pipeline) >= self.limits.pipelined:
            raise BadRequest(429, TOO_MANY_AT_ONCE)
        self._check_target()
        self._next = BODY
        cast(Line, self.line).works(True)
        super().on_headers_complete()

    def on_message_complete(self) -> None:
        """The body is whole."""
        super().on_message_complete()
        self._next, self._unwanted = BETWEEN, 0

    def on_response_complete(self) -> None:
        """An answer is sent: on to the next request. One whose body is still coming is not listened to for long."""
        self.server_state.total_requests += 1
        line, now = cast(Line, self.line), self.loop.time()
        if self.transport.is_closing():
            self._closing = True
            line.must_read(now, self.limits)
            return
        self.flow.resume_reading()
        if self.pipeline:
            cycle, app = self.pipeline.pop()
            self._start_asgi_task(cycle, app)
            return
        line.works(False)
        if self._next != HEAD:
            line.until = now + (self.limits.goodbye_seconds if self._next == BODY else self.limits.idle_seconds)

    def handle_websocket_upgrade(self) -> None:
        """The connection goes on as a socket, in the same place."""
        line = cast(Line, self.line)
        line.until = NEVER
        line.works(True)
        self._deaf = True  # to what comes here: the socket hears it
        line.cut = partial(cut, self.transport)
        self.ws_protocol_class = partial(PatientSocket, keeper=self.keeper, line=line)  # type: ignore[assignment]
        super().handle_websocket_upgrade()

    def _check_target(self) -> None:
        """A target is a path of this server. One with a host in it must name the same host as the header (RFC 9112, 3.2.2)."""
        if self.url.startswith(b"/") or (self.url == b"*" and self.parser.get_method() == b"OPTIONS"):
            return
        asked = httptools.parse_url(self.url)
        named = [value.rpartition(b":")[0] or value for name, value in self.headers if name == b"host"]
        if asked.host is None or asked.schema not in (b"http", b"https") or named != [asked.host]:
            raise BadRequest(400, OTHER_TARGET)

    def _refuse(self, status: int, sentence: str) -> None:
        """Answers what can't be passed on, and hangs up. Where another answer has begun it only hangs up."""
        cycle = self.cycle
        if cycle is None or cycle.response_complete or not cycle.response_started:
            self.transport.write(refusal(status, sentence))
            if cycle is not None and not cycle.response_complete:
                cycle.disconnected = True  # whatever the application says now, this was the answer
                cycle.message_event.set()
        self._hang_up()

    def _end(self) -> None:
        """Ends the connection: in good order if nothing is under way, else at once."""
        answered = self.cycle is not None and self.cycle.response_complete
        if answered and self._next == BETWEEN and not self._closing:
            self._hang_up()
        else:
            cut(self.transport)

    def _hang_up(self) -> None:
        """Closes; a client that keeps what was written for it from leaving is cut."""
        self._deaf = self._closing = True
        line = cast(Line, self.line)
        line.until = NEVER
        line.must_read(self.loop.time(), self.limits)
        self.transport.close()


def refusal(status: int, sentence: str) -> bytes:
    """A whole answer without the application: a sentence, and goodbye."""
    body = f"{sentence}\n".encode()
    retry = b"retry-after: 5\r\n" if status in (429, 503) else b""
    return (
        STATUS_LINE[status]
        + b"content-type: text/plain; charset=utf-8\r\nx-content-type-options: nosniff\r\ncache-control: no-store\r\n"
        + b"content-security-policy: default-src 'none'; frame-ancestors 'none'\r\n"
        + retry
        + b"content-length: %d\r\nconnection: close\r\n\r\n" % len(body)
        + body
    )
