"""A tablet's own line, imitated: frames with marks and their answers, opened when it is needed and after it broke."""

import asyncio
import json
from typing import Any

from app.rehearsal.frames import greeting, marks_frame, taken
from app.rehearsal.wire import ANSWER_S, LineBroken

MOST_HEAD = 64 * 1024


class OwnLine:
    """The line of one tablet to one server. Others wait for their turn. source: the address that it comes from, if not any."""

    def __init__(self, host: str, port: int, token: str, answer_s: float = ANSWER_S, source: str = "") -> None:
        self._host, self._port, self._token, self._answer_s = host, port, token, answer_s
        self._from = (source, 0) if source else None
        self._turn = asyncio.Lock()
        self._reader: asyncio.StreamReader | None = None
        self._writer: asyncio.StreamWriter | None = None
        self._left = b""
        self._asked = 0

    async def ask(self, body: bytes) -> dict[str, Any]:
        """What the marks of a body are answered. Raises LineBroken where no answer came: nobody knows whether they are stored."""
        try:
            async with self._turn, asyncio.timeout(self._answer_s):
                reader = await self._send(body)
                while True:
                    for said in await self._messages(reader):
                        if said.get("type") == "answer" and said["n"] == self._asked:
                            return said
        except (OSError, EOFError, ValueError, TimeoutError) as wrong:
            self.cut()
            raise LineBroken(str(wrong) or type(wrong).__name__) from None
        except asyncio.CancelledError:
            self.cut()
            raise

    async def send_only(self, body: bytes) -> None:
        """Sends marks and cuts the line before the answer. Raises LineBroken."""
        try:
            async with self._turn, asyncio.timeout(self._answer_s):
                await self._send(body)
        except (OSError, EOFError, ValueError, TimeoutError) as wrong:
            raise LineBroken(str(wrong) or type(wrong).__name__) from None
        finally:
            self.cut()

    def cut(self) -> None:
        """Breaks the line at once."""
        if self._writer is not None:
            self._writer.transport.abort()
        self._reader = self._writer = None
        self._left = b""

    async def _send(self, body: bytes) -> asyncio.StreamReader:
        if self._reader is not None and self._reader.at_eof():
            self.cut()
        if self._reader is None or self._writer is None:
            self._reader, self._writer = await asyncio.open_connection(self._host, self._port, local_addr=self._from)
            self._writer.write(greeting(self._port, self._token, self._host))
            head = await self._reader.readuntil(b"\r\n\r\n")
            if not head.startswith(b"HTTP/1.1 101"):
                raise ConnectionError(head[:100].decode(errors="replace"))
        self._asked += 1
        self._writer.write(marks_frame(body, self._asked))
        await self._writer.drain()
        return self._reader

    async def _messages(self, reader: asyncio.StreamReader) -> list[dict[str, Any]]:
        came = await reader.read(MOST_HEAD)
        if not came:
            raise EOFError("The server closed the line.")
        messages, self._left = taken(self._left + came)
        return [json.loads(message) for message in messages]
