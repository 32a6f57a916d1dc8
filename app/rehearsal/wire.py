"""One HTTP connection as a tablet has it: kept open, given up when it stalls, and cut when somebody pulls the plug."""

import asyncio
from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass

ANSWER_S = 5.0  # as long as a tablet waits


class LineBroken(ConnectionError):
    """Raised when no answer came: nobody knows whether the request was done."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a server answered."""

    status: int
    body: bytes


class Wire:
    """A connection to one server, opened when it is needed and after it broke."""

    def __init__(self, host: str, port: int, cookie: str = "", answer_s: float = ANSWER_S) -> None:
        self.host, self.port = host, port
        self._cookie, self._answer_s = cookie, answer_s
        self._turn = asyncio.Lock()
        self._reader: asyncio.StreamReader | None = None
        self._writer: asyncio.StreamWriter | None = None

    async def ask(self, method: str, path: str, body: bytes = b"", headers: Mapping[str, str] | None = None) -> Answer:
        """One request; others wait for their turn. Raises LineBroken."""
        try:
            async with self._turn, asyncio.timeout(self._answer_s):
                reader, writer = await self._open()
                writer.write(self.request(method, path, body, headers))
                return await self._read(reader)
        except (OSError, EOFError, ValueError, TimeoutError) as wrong:
            self.cut()
            raise LineBroken(str(wrong) or type(wrong).__name__) from None
        except asyncio.CancelledError:
            self.cut()  # else the next request would read this one's answer
            raise

    async def send_only(self, method: str, path: str, body: bytes, headers: Mapping[str, str] | None = None) -> None:
        """Sends a request and cuts the line before the answer: it may be done or not. Raises LineBroken."""
        try:
            async with asyncio.timeout(self._answer_s):
                _, writer = await self._open()
                writer.write(self.request(method, path, body, headers))
                await writer.drain()
                await asyncio.sleep(0)
        except (OSError, TimeoutError) as wrong:
            raise LineBroken(str(wrong)) from None

    async def lines(self, path: str) -> AsyncIterator[bytes]:
        """The lines of a stream, until it ends. As HTTP/1.0: there a stream comes as it is. Raises LineBroken."""
        writer: asyncio.StreamWriter | None = None
        try:
            reader, writer = await asyncio.open_connection(self.host, self.port, limit=2**22)
            writer.write(f"GET {path} HTTP/1.0\r\nHost: {self.host}:{self.port}\r\n{self._cookies()}\r\n".encode())
            while (await reader.readline()).strip():
                pass
            while line := await reader.readline():
                yield line
        except (OSError, EOFError, ValueError) as wrong:
            raise LineBroken(str(wrong)) from None
        finally:
            if writer is not None:
                writer.transport.abort()

    def cut(self) -> None:
        """Breaks the connection at once, whatever is under way on it."""
        if self._writer is not None:
            self._writer.transport.abort()
        self._reader = self._writer = None

    async def _open(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        if self._reader is not None and self._reader.at_eof():
            self.cut()  # the server has closed a line that stood idle, as it may
        if self._reader is None or self._writer is None:
            self._reader, self._writer = await asyncio.open_connection(self.host, self.port)
        return self._reader, self._writer

    def request(self, method: str, path: str, body: bytes = b"", headers: Mapping[str, str] | None = None) -> bytes:
        """A request as it goes over the line, with what the doors look at."""
        more = "".join(f"{name}: {value}\r\n" for name, value in (headers or {}).items())
        size = f"Content-Length: {len(body)}\r\n" if body else ""
        origin = f"Origin: http://{self.host}:{self.port}\r\nSec-Fetch-Site: same-origin\r\n"
        head = f"{method} {path} HTTP/1.1\r\nHost: {self.host}:{self.port}\r\n{self._cookies()}{origin}{more}{size}\r\n"
        return head.encode() + body

    def _cookies(self) -> str:
        return f"Cookie: {self._cookie}\r\n" if self._cookie else ""

    async def _read(self, reader: asyncio.StreamReader) -> Answer:
        status = int((await reader.readuntil(b"\r\n")).split()[1])
        length, closes = 0, False
        while line := (await reader.readuntil(b"\r\n")).strip():
            name, _, value = line.partition(b":")
            if name.lower() == b"content-length":
                length = int(value)
            closes = closes or (name.lower() == b"connection" and value.strip().lower() == b"close")
        body = await reader.readexactly(length)
        if closes:
            self.cut()
        return Answer(status, body)
