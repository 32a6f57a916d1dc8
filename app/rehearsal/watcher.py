"""Somebody in front of the board, with a stopwatch: how long after a tap it shows what was tapped."""

import asyncio
import re
from collections import deque
from contextlib import suppress

from app.rehearsal.clock import true_ms
from app.rehearsal.wire import LineBroken, Wire

# In an update, which is JSON, quotes stand behind backslashes.
LANE = re.compile(rb'id=\\"lane-asg_(\d+)\\".*?total </span>([^<]*)</span>')
AGAIN_S = 0.5


class Watcher:
    """Follows the board's stream. `delays_ms`: for each tap that changed a total, when the board showed that or a later one."""

    def __init__(self, wire: Wire) -> None:
        self.delays_ms: list[float] = []
        self.updates = 0
        self._wire = wire
        self._shown: dict[int, str] = {}
        self._waiting: dict[int, deque[tuple[str, float]]] = {}

    def tapped(self, lane: int, total: str) -> None:
        """A tap has just made a lane's total this."""
        waiting = self._waiting.setdefault(lane, deque())
        if total == self._shown.get(lane):
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
            await asyncio.sleep(AGAIN_S)

    @property
    def unseen(self) -> int:
        """Taps whose total never showed, nor a later one."""
        return sum(len(waiting) for waiting in self._waiting.values())

    def _saw(self, line: bytes) -> None:
        now = true_ms()
        for number, text in LANE.findall(line):
            lane, total = int(number), text.decode()
            self._shown[lane] = total
            waiting = self._waiting.get(lane, deque())
            shown = [index for index, (expected, _) in enumerate(waiting) if expected == total]
            for _ in range(shown[-1] + 1 if shown else 0):
                self.delays_ms.append(now - waiting.popleft()[1])
