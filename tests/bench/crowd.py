"""Many tablets as one cheap load: raw protocols and requests made beforehand, so that the server is what is measured."""

import asyncio
import random
import sys
import time
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

from app.rehearsal.frames import FRAME_HEAD, greeting, marks_frame, taken
from app.rehearsal.tablet import JSON, Outbox, Seat, body_of
from app.rehearsal.wire import Wire
from tests.bench.figures import percentile

WARM_S = 0.4
OPEN_S = 10
MADE_BEFOREHAND = 24_000  # marks of all tablets together; more are made as they are needed
LINES_OF_ONE_ADDRESS = 20  # a hall's tablets have an address each; the doors allow one address only so many lines


@dataclass(frozen=True, slots=True)
class Load:
    """What a server did: acknowledged requests a second, the answer times in milliseconds, and all that it answered, those before
    the span too; the bytes of one and its answer, above TCP."""

    per_second: float
    p50_ms: float
    p99_ms: float
    answered: int = 0
    bytes_each: float = 0.0


# What a browser says beside what the doors look at.
BROWSER = {"User-Agent": "bench", "Accept": "*/*", "Accept-Encoding": "gzip, deflate, br", "Sec-Fetch-Mode": "cors"}


class Hand:
    """A tablet that counts repetitions and writes them as requests: the first at `from_ms` of the heat, each `step_ms` later."""

    def __init__(self, seat: Seat, port: int, epoch: int = 1, from_ms: int = 1, step_ms: int = 1) -> None:
        self._from_ms, self._step_ms = from_ms, step_ms
        self.outbox = Outbox(seat, epoch, random.Random(f"{seat.device}/{epoch}"))
        # Made beforehand, but each with an id of its own moment, as fingers make them: so those of many tablets lie side by side
        # in the store. Else each tablet's would have a place of its own there, and a commit touch as many pages as tablets.
        self._begun_ms = time.time_ns() // 1_000_000
        self._wire = Wire("localhost", port, f"ll_device={seat.token}")

    def reps(self, count: int = 1, at: int | None = None) -> bytes:
        """The request with the next repetitions, all of them at `at` where it is given."""
        made = [self.outbox.add("rep", self._next_ms() if at is None else at, self._wall_ms()) for _ in range(count)]
        return self.request(body_of(made))

    def _next_ms(self) -> int:
        return self._from_ms + self._step_ms * len(self.outbox.marks)

    def _wall_ms(self) -> int:
        return self._begun_ms + len(self.outbox.marks)

    def frame(self, count: int = 1) -> bytes:
        """The same repetitions as a frame on the tablet's own line."""
        made = [self.outbox.add("rep", self._next_ms(), self._wall_ms()) for _ in range(count)]
        return marks_frame(body_of(made), len(self.outbox.marks))

    @property
    def greeting(self) -> bytes:
        """What opens the tablet's own line."""
        return greeting(self._wire.port, self.outbox.seat.token)

    def request(self, body: bytes) -> bytes:
        """A request with this body, whatever it is."""
        return self._wire.request("POST", "/marks", body, JSON | BROWSER)


@dataclass(frozen=True, slots=True)
class Pace:
    """How a crowd sends: so many marks in a request; each tablet as soon as the last is answered, or every so many seconds.

    by_line: as frames on a line that is held open. from_ms, step_ms: when in the heat the first mark was made, and each after the
    last. Nobody's hands make one a millisecond: where it matters what marks are counted for, they are as far apart as they are
    sent.
    """

    batch: int = 1
    every_s: float | None = None
    by_line: bool = False
    from_ms: int = 1
    step_ms: int = 1


def measure(port: int, tablets: Sequence[Seat], epoch: int, seconds: float, pace: Pace = Pace()) -> Load:
    """Lets all tablets send. A new `epoch` numbers their marks from 1 again."""
    if sys.platform == "win32":
        return asyncio.run(_measure(port, tablets, epoch, seconds, pace))
    import uvloop  # the server has it too; there is none for Windows

    with asyncio.Runner(loop_factory=uvloop.new_event_loop) as runner:
        return runner.run(_measure(port, tablets, epoch, seconds, pace))


async def _measure(port: int, tablets: Sequence[Seat], epoch: int, seconds: float, pace: Pace) -> Load:
    loop = asyncio.get_running_loop()
    each = max(20, MADE_BEFOREHAND // len(tablets) // pace.batch)
    letters = [_Letters(Hand(tablet, port, epoch, pace.from_ms, pace.step_ms), pace, each) for tablet in tablets]
    span = _Span(loop.create_future(), len(tablets))
    line = _Socket if pace.by_line else _Line
    for number, own in enumerate(letters):
        at = own_address(number)
        await loop.create_connection(lambda o=own: line(span, o, pace.every_s), "127.0.0.1", port, local_addr=at)
    await span.opened()
    span.begin = time.perf_counter() + WARM_S
    span.end = span.begin + seconds
    for number, hand in enumerate(span.hands):
        hand.begin(0.0 if pace.every_s is None else pace.every_s * number / len(tablets))
    await asyncio.wait_for(span.over, WARM_S + seconds + 60)
    if not span.times:  # so slow that nothing fell into the span: less than one answer in it is all that can be said
        return Load(1 / seconds, seconds * 1000, seconds * 1000, span.answered)
    p50, p99 = percentile(span.times, 50) * 1000, percentile(span.times, 99) * 1000
    return Load(len(span.times) / seconds, p50, p99, span.answered, span.bytes / span.answered)


def own_address(number: int) -> tuple[str, int] | None:
    """An address for a tablet's end of its line. Only Linux takes all of 127.0.0.0/8 for its own."""
    return (f"127.0.0.{2 + number // LINES_OF_ONE_ADDRESS}", 0) if sys.platform == "linux" else None


class _Letters:
    """The requests of one tablet in order, made beforehand as far as that goes."""

    def __init__(self, hand: Hand, pace: Pace, beforehand: int) -> None:
        self.greeting = hand.greeting
        self._next, self._batch = hand.frame if pace.by_line else hand.reps, pace.batch
        self._made = deque(self._make() for _ in range(beforehand))

    def next(self) -> bytes:
        """The next request."""
        return self._made.popleft() if self._made else self._make()

    def _make(self) -> bytes:
        return self._next(self._batch)


class _Span:
    """The time in which answers count, and the answer times in seconds."""

    def __init__(self, over: "asyncio.Future[None]", hands: int) -> None:
        self.begin = self.end = 0.0
        self.times: list[float] = []
        self.answered = self.bytes = 0
        self.hands: list[_Line] = []
        self.over = over
        self._working = hands
        self._all_open = asyncio.Event()

    async def opened(self) -> None:
        """Waits until all lines are open. Raises TimeoutError."""
        async with asyncio.timeout(OPEN_S):
            await self._all_open.wait()

    def joins(self, hand: "_Line") -> None:
        """One tablet's line is open."""
        self.hands.append(hand)
        if len(self.hands) == self._working:
            self._all_open.set()

    def done(self) -> None:
        """One tablet has had its last answer."""
        self._working -= 1
        if self._working == 0 and not self.over.done():
            self.over.set_result(None)

    def failed(self, error: Exception) -> None:
        """One tablet was turned away."""
        if not self.over.done():
            self.over.set_exception(error)


class _Line(asyncio.Protocol):
    """One tablet on one connection: sends, waits for the answer, sends the next; at once, or when its time has come."""

    def __init__(self, span: _Span, letters: _Letters, every_s: float | None) -> None:
        self._span, self._letters, self._every_s = span, letters, every_s
        self._loop = asyncio.get_running_loop()
        self._answer = b""
        self._at = self._due = 0.0

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The line is open."""
        self._transport = cast(asyncio.Transport, transport)
        self._span.joins(self)

    def begin(self, after_s: float) -> None:
        """Sends the first request, some time from now."""
        self._due = self._loop.time() + after_s
        self._loop.call_at(self._due, self.send)

    def send(self) -> None:
        """Sends the next request."""
        self._at = time.perf_counter()
        letter = self._letters.next()
        self._span.bytes += len(letter)
        self._transport.write(letter)

    def data_received(self, data: bytes) -> None:
        """Takes the answer, in however many pieces it comes."""
        self._span.bytes += len(data)
        self._answer = self._answer + data if self._answer else data
        head = self._answer.find(b"\r\n\r\n")
        if head < 0:
            return
        length = self._answer.index(b"content-length: ") + 16
        if len(self._answer) < head + 4 + int(self._answer[length : self._answer.index(b"\r", length)]):
            return
        self._answered()

    def _answered(self) -> None:
        answer, self._answer = self._answer, b""
        self._came(answer, answer.startswith(b"HTTP/1.1 200") and b'"refused":[{' not in answer)

    def _came(self, answer: bytes, good: bool) -> None:
        now = time.perf_counter()
        if not good:
            self._span.failed(RuntimeError(f"A mark was not acknowledged: {answer[:500].decode(errors='replace')}"))
            return
        self._span.answered += 1
        if self._span.begin <= now < self._span.end:
            self._span.times.append(now - self._at)
        if now < self._span.end:
            self._go_on()
        else:
            self._transport.close()
            self._span.done()

    def _go_on(self) -> None:
        if self._every_s is None:
            self.send()
            return
        self._due += self._every_s
        self._loop.call_at(max(self._due, self._loop.time()), self.send)

    def connection_lost(self, error: Exception | None) -> None:
        """The line is closed; before the end that is a failure."""
        if time.perf_counter() < self._span.end:
            self._span.failed(error or ConnectionError("The server closed a tablet's line."))


class _Socket(_Line):
    """One tablet on its own line: opens it, then sends frames and waits for their answers."""

    _open = False

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """The connection is there; the line opens when the greeting is answered."""
        self._transport = cast(asyncio.Transport, transport)
        self._transport.write(self._letters.greeting)

    def data_received(self, data: bytes) -> None:
        """Takes the answer to the greeting, then frames."""
        self._answer += data
        if not self._open:
            head, found, rest = self._answer.partition(b"\r\n\r\n")
            if not found:
                return
            if not head.startswith(b"HTTP/1.1 101"):
                self._span.failed(RuntimeError(f"The line was not opened: {head[:200].decode(errors='replace')}"))
                return
            self._open, self._answer = True, rest
            self._span.joins(self)
        messages, self._answer = taken(self._answer)
        self._span.bytes += sum(map(len, messages)) + FRAME_HEAD * len(messages)
        for message in messages:
            if b'"n":' in message:
                self._came(message, b'"refused"' not in message and (b'"status":200' in message or b'"stored"' in message))
