"""A slow, lossy link between tablets and a server: a proxy that delays, stalls, narrows and breaks what passes through it.

Loss on the way shows to TCP's users as a stall until the packet is sent again, and sometimes as a broken line: that is imitated.
"""

import asyncio
import random
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Weather:
    """How bad a link is: delay each way and stalls in seconds, chances for each piece, bytes a second."""

    delay_s: tuple[float, float] = (0.0, 0.08)
    loss: float = 0.05
    stall_s: tuple[float, float] = (0.2, 0.8)
    breaks: float = 0.005
    bytes_per_s: int = 40_000


@dataclass(slots=True)
class Passed:
    """What went through the link."""

    lines: int = 0
    bytes: int = 0
    stalls: int = 0
    broken: int = 0


class Link:
    """Listens on a port and passes everything on to another."""

    def __init__(self, to: int, weather: Weather, chance: random.Random) -> None:
        self.passed = Passed()
        self._to, self._weather, self._chance = to, weather, chance
        self._tasks: set[asyncio.Task[None]] = set()

    async def take(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """One tablet's line, in both directions until either breaks or the link ends."""
        self.passed.lines += 1
        task = asyncio.current_task()
        assert task is not None
        self._tasks.add(task)
        try:
            with suppress(OSError):
                there, back = await asyncio.open_connection("127.0.0.1", self._to)
                await self._both(((reader, back), (there, writer)))
        finally:
            writer.transport.abort()
            self._tasks.discard(task)

    async def end(self) -> None:
        """Breaks every line and waits until it is closed: one that is left open warns in the test that comes next."""
        for task in (tasks := [*self._tasks]):
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)

    async def _both(self, ways: Sequence[tuple[asyncio.StreamReader, asyncio.StreamWriter]]) -> None:
        tasks = [asyncio.create_task(self._carry(*way)) for way in ways]
        try:
            await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for task in tasks:
                task.cancel()
            for _, writer in ways:
                writer.transport.abort()

    async def _carry(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        weather, chance = self._weather, self._chance
        with suppress(OSError):
            while piece := await reader.read(1400):  # about a packet
                self.passed.bytes += len(piece)
                await asyncio.sleep(chance.uniform(*weather.delay_s) + len(piece) / weather.bytes_per_s)
                if chance.random() < weather.loss:
                    self.passed.stalls += 1
                    await asyncio.sleep(chance.uniform(*weather.stall_s))
                if chance.random() < weather.breaks:
                    self.passed.broken += 1
                    return
                writer.write(piece)
                await writer.drain()


@asynccontextmanager
async def bad_link(to: int, weather: Weather, chance: random.Random) -> AsyncIterator[tuple[int, Passed]]:
    """A link to a port of this machine: the port to use instead, and what has passed."""
    link = Link(to, weather, chance)
    server = await asyncio.start_server(link.take, "127.0.0.1", 0)
    try:
        yield server.sockets[0].getsockname()[1], link.passed
    finally:
        server.close()
        await asyncio.sleep(0.05)  # who was let in just now takes their line: cancelled before that, it would stay open
        await link.end()
        await asyncio.sleep(0.05)
