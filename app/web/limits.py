"""How large a request body may be: one limit for forms, larger ones for the few paths that take files, 4 kB where anybody sends.

A body is counted while it streams in, so that one that lies about its length, or names none, is cut off as well.
"""

import asyncio
import re
from collections.abc import Mapping

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.web.pages import sentence as as_asked

KB = 1024
USUAL_BYTES = 256 * KB
FRAME_BYTES = 64 * KB  # the largest message that a tablet may send on its line
USUAL_SECONDS = 15.0
LARGER_SECONDS = 120.0
GRACE_SECONDS = 5.0  # in which a body may come as slowly as it likes
LEAST_RATE = 1000.0  # bytes a second after that, over the whole of it; the poorest Wi-Fi that a tablet stays on carries more


class BodyLimit:
    """Refuses bodies that are too large (413) or too slow (408) before or while they arrive. most: the addresses that take more
    or less than the `usual` bytes, with how many; a gap in one is a part of its path."""

    def __init__(
        self,
        app: ASGIApp,
        most: Mapping[str, int] | None = None,
        usual: int = USUAL_BYTES,
        seconds: float = USUAL_SECONDS,
        grace: float = GRACE_SECONDS,
    ) -> None:
        self.app = app
        self._most = {address: size for address, size in (most or {}).items() if "{" not in address}
        self._with_gaps = tuple((_shape(address), size) for address, size in (most or {}).items() if "{" in address)
        self._usual = usual
        self._seconds = seconds
        self._grace = grace

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes the request on with a counted body."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        most = self._most_at(scope["path"])
        seconds = LARGER_SECONDS if most > self._usual else self._seconds
        body = _CountedBody(scope, receive, send, most, seconds, self._grace)
        declared = Headers(scope=scope).get("content-length", "0")
        if declared.isdigit() and int(declared[:20]) > most:
            await body.refuse(413, too_large(most))
            return
        try:
            await self.app(scope, body.receive, body.send)
        except HTTPException:
            if not body.refused:
                raise
        if body.refused:
            await body.refuse(body.refused, body.sentence)

    def _most_at(self, path: str) -> int:
        named = self._most.get(path)
        fitting = (size for shape, size in self._with_gaps if shape.fullmatch(path))
        return next(fitting, self._usual) if named is None else named


def _shape(address: str) -> re.Pattern[str]:
    """What the paths of an address look like that has gaps."""
    return re.compile("[^/]+".join(re.escape(part) for part in re.split(r"\{[^}]*\}", address)))


class _CountedBody:
    """The two ends of one request: what comes in is counted and timed, and a refusal replaces whatever answer was on its way."""

    def __init__(self, scope: Scope, receive: Receive, send: Send, most: int, seconds: float, grace: float) -> None:
        self._scope, self._receive, self._send = scope, receive, send
        self._most, self._seconds, self._grace = most, seconds, grace
        self._count, self._complete, self._begun = 0, False, 0.0
        self._started = self._answered = False
        self.refused, self.sentence = 0, ""

    async def receive(self) -> Message:
        """The next part of the body. Raises HTTPException when it grows too large or comes too slowly."""
        if self._complete:
            return await self._receive()
        self._begun = self._begun or asyncio.get_running_loop().time()
        try:
            async with asyncio.timeout_at(self._begun + min(self._seconds, self._grace + self._count / LEAST_RATE)):
                message = await self._receive()
        except TimeoutError:
            raise self._refusal(408, "The request took too long to arrive. Check the network and send it again.") from None
        if message["type"] == "http.request":
            self._count += len(message.get("body", b""))
            self._complete = not message.get("more_body", False)
            if self._count > self._most:
                raise self._refusal(413, too_large(self._most))
        return message

    async def send(self, message: Message) -> None:
        """Passes the answer on, unless the body was refused before the answer began."""
        if self.refused and not self._started:
            return
        self._started = True
        await self._send(message)

    async def refuse(self, status: int, sentence: str) -> None:
        """The refusal as the answer, once, if no answer has begun. The rest of a large body is heard out for a moment, so that
        the sentence arrives, and a long one is hung up on (`patient.py`); a slow one is not waited for."""
        if self._started or self._answered:
            return
        self._answered = True
        answer = as_asked(Request(self._scope), status, sentence)
        answer.headers["Cache-Control"] = "no-store"
        if status == 408:
            answer.headers["Connection"] = "close"
        await answer(self._scope, self._receive, self._send)

    def _refusal(self, status: int, sentence: str) -> HTTPException:
        self.refused, self.sentence = status, sentence
        return HTTPException(status, sentence)


def too_large(most: int) -> str:
    """The sentence for a body beyond `most` bytes."""
    size = f"{most // KB // KB} MB" if most >= KB * KB else f"{most // KB} kB"
    return f"That is too much to send at once. The limit is {size}."
