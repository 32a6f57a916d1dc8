"""Somebody in front of the board, with a stopwatch, and somebody who asks for the time: how late and how silent a server is."""

import asyncio
import re
from collections import deque
from contextlib import suppress

from app.rehearsal.clock import Took, true_ms
from app.rehearsal.wire import LineBroken, Wire

# In an update, which is JSON, quotes stand behind backslashes.
LANE = re.compile(rb'id=\\"lane-(\w+)\\".*?total </span>([^<]*)</span>')
AGAIN_S, ASK_S = 0.5, 0.25


class Watcher:
    """Follows the board's stream. `shown`: for each tap that changed a total, when the board showed that or a later one, and how
    many milliseconds after the tap that was. `broken`: how often the stream broke."""

    def __init__(self, wire: Wire) -> None:
        self.shown: Took = []
        self.updates = self.broken = 0
        self._wire = wire
        self._shown: dict[str, str] = {}
        self._waiting: dict[str, deque[tuple[str, float]]] = {}

    def tapped(self, assignment: str, total: str) -> None:
        """A tap has just made the total of a lane assignment this."""
        waiting = self._waiting.setdefault(assignment, deque())
        if total == self._shown.get(assignment):
            waiting.clear()  # a strike-out has brought the total back to what the board shows: there is nothing to wait for
        elif not waiting or waiting[-1][0] != total:
            waiting.append((total, true_ms()))

    async def run(self) -> None:
        """Watches until cancelled."""
        while True:
            with suppress(LineBroken):
                async for line in self._wire.lines("/board/stream"):
                    if line.startswith(b"data: "):
                        self.updates += 1
                        self._saw(line)
            self.broken += 1
            await asyncio.sleep(AGAIN_S)

    @property
    def unseen(self) -> int:
        """Taps whose total never showed, nor a later one."""
        return sum(len(waiting) for waiting in self._waiting.values())

    def _saw(self, line: bytes) -> None:
        now = true_ms()
        for name, text in LANE.findall(line):
            assignment, total = name.decode(), text.decode()
            self._shown[assignment] = total
            waiting = self._waiting.get(assignment, deque())
            shown = [index for index, (expected, _) in enumerate(waiting) if expected == total]
            for _ in range(shown[-1] + 1 if shown else 0):
                self.shown.append((now, now - waiting.popleft()[1]))


class Asker:
    """Somebody who asks the server for the time four times a second. `longest_ms`: the longest that it was silent."""

    def __init__(self, wire: Wire) -> None:
        self.longest_ms = 0.0
        self._wire = wire

    async def run(self) -> None:
        """Asks until cancelled."""
        answered = true_ms()
        try:
            while True:
                with suppress(LineBroken):
                    await self._wire.ask("GET", "/board/time")
                    self.longest_ms, answered = max(self.longest_ms, true_ms() - answered), true_ms()
                await asyncio.sleep(ASK_S)
        finally:
            self.longest_ms = max(self.longest_ms, true_ms() - answered)
            self._wire.cut()
