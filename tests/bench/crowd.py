"""Many tablets as one cheap load: raw protocols and requests made beforehand, so that the server is what is measured."""

import asyncio
import random
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from app.rules.ids import RANDOM_BITS, mark_id
from tests.bench.figures import percentile
from tests.bench.hall import Tablet

WARM_S = 0.4
MADE_BEFOREHAND = 1500  # requests of each tablet; more are made as they are needed


@dataclass(frozen=True, slots=True)
class Load:
    """What a server did: acknowledged requests a second, and the answer times in milliseconds."""

    per_second: float
    p50_ms: float
    p99_ms: float


def a_mark(tablet: Tablet, epoch: int, seq: int, chance: random.Random, at: int | None = None) -> str:
    """One repetition on a tablet's lane, as JSON. Its id carries the present time, as a tablet's would."""
    identity = mark_id(time.time_ns() // 1_000_000, chance.getrandbits(RANDOM_BITS))
    return (
        f'{{"id":"{identity}","sheet":"asg_{tablet.lane}/1/lane","device":"{tablet.device}","epoch":{epoch},"seq":{seq},'
        f'"kind":"rep","at":{seq if at is None else at},"err":3,"win":0,"body":{{}}}}'
    )


def a_request(tablet: Tablet, port: int, body: str) -> bytes:
    """A tablet's POST, with the headers that a browser sends and the doors look at."""
    return (
        f"POST /marks HTTP/1.1\r\nHost: localhost:{port}\r\nUser-Agent: bench\r\nAccept: */*\r\n"
        f"Accept-Encoding: gzip, deflate, br\r\nOrigin: http://localhost:{port}\r\nSec-Fetch-Site: same-origin\r\n"
        f"Sec-Fetch-Mode: cors\r\nContent-Type: application/json\r\nCookie: ll_device={tablet.token}\r\n"
        f"Content-Length: {len(body)}\r\n\r\n{body}"
    ).encode()


def measure(port: int, tablets: Sequence[Tablet], epoch: int, seconds: float) -> Load:
    """Lets all tablets send one mark a request, each as soon as the last is answered. A new `epoch` numbers from 1 again."""
    if sys.platform == "win32":
        return asyncio.run(_measure(port, tablets, epoch, seconds))
    import uvloop  # the server has it too; there is none for Windows

    with asyncio.Runner(loop_factory=uvloop.new_event_loop) as runner:
        return runner.run(_measure(port, tablets, epoch, seconds))


async def _measure(port: int, tablets: Sequence[Tablet], epoch: int, seconds: float) -> Load:
    loop = asyncio.get_running_loop()
    requests = [list(_requests(tablet, port, epoch, 1, MADE_BEFOREHAND)) for tablet in tablets]
    span = _Span(loop.create_future(), len(tablets))
    for tablet, made in zip(tablets, requests, strict=True):
        await loop.create_connection(lambda t=tablet, m=made: _Hand(span, t, port, epoch, m), "127.0.0.1", port)
    span.begin = time.perf_counter() + WARM_S
    span.end = span.begin + seconds
    for hand in span.hands:
        hand.send()
    await asyncio.wait_for(span.over, WARM_S + seconds + 30)
    return Load(len(span.times) / seconds, percentile(span.times, 50) * 1000, percentile(span.times, 99) * 1000)


def _requests(tablet: Tablet, port: int, epoch: int, first: int, count: int) -> Iterator[bytes]:
    chance = random.Random(f"{tablet.device}/{epoch}/{first}")
    for seq in range(first, first + count):
        yield a_request(tablet, port, f'{{"marks":[{a_mark(tablet, epoch, seq, chance)}]}}')


class _Span:
    """The time in which answers count, and the answer times in seconds."""

    def __init__(self, over: "asyncio.Future[None]", hands: int) -> None:
        self.begin = self.end = 0.0
        self.times: list[float] = []
        self.hands: list[_Hand] = []
        self.over = over
        self._working = hands

    def done(self) -> None:
        """One tablet has had its last answer."""
        self._working -= 1
        if self._working == 0 and not self.over.done():
            self.over.set_result(None)

    def failed(self, error: Exception) -> None:
        """One tablet was turned away."""
        if not self.over.done():
            self.over.set_exception(error)


class _Hand(asyncio.Protocol):
    """One tablet on one connection: sends, waits for the answer, sends the next."""

    def __init__(self, span: _Span, tablet: Tablet, port: int, epoch: int, made: list[bytes]) -> None:
        self._span, self._tablet, self._port, self._epoch, self._made = span, tablet, port, epoch, made
        self._sent = 0
        self._answer = b""
        self._at = 0.0

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The line is open."""
        self._transport = cast(asyncio.Transport, transport)
        self._span.hands.append(self)

    def send(self) -> None:
        """Sends the next request."""
        if self._sent >= len(self._made):
            self._made += _requests(self._tablet, self._port, self._epoch, len(self._made) + 1, MADE_BEFOREHAND)
        self._at = time.perf_counter()
        self._transport.write(self._made[self._sent])
        self._sent += 1

    def data_received(self, data: bytes) -> None:
        """Takes the answer, in however many pieces it comes."""
        self._answer = self._answer + data if self._answer else data
        head = self._answer.find(b"\r\n\r\n")
        if head < 0:
            return
        length = self._answer.index(b"content-length: ") + 16
        if len(self._answer) < head + 4 + int(self._answer[length : self._answer.index(b"\r", length)]):
            return
        self._answered()

    def _answered(self) -> None:
        now = time.perf_counter()
        if not self._answer.startswith(b"HTTP/1.1 200") or (b'"refused":[{') in self._answer:
            self._span.failed(RuntimeError(f"A mark was not acknowledged: {self._answer[:500].decode(errors='replace')}"))
            return
        self._answer = b""
        if self._span.begin <= now < self._span.end:
            self._span.times.append(now - self._at)
        if now < self._span.end:
            self.send()
        else:
            self._transport.close()
            self._span.done()

    def connection_lost(self, error: Exception | None) -> None:
        """The line is closed; before the end that is a failure."""
        if time.perf_counter() < self._span.end:
            self._span.failed(error or ConnectionError("The server closed a tablet's line."))
