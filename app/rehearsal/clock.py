"""A simulated tablet's clock: a monotonic clock of its own, off by something and drifting, brought to the server's by pings."""

import asyncio
import json
import random
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field

from websockets.asyncio.client import ClientConnection, connect
from websockets.exceptions import WebSocketException
from websockets.typing import Origin

from app.rehearsal.tablet import Tablet
from app.rules.count.clock import Offset

FIRST_PINGS, FIRST_PING_S, PING_S = 32, 0.125, 1.0  # as static/js/device/link.js
DRIFT_PPM = 50.0
AGAIN_S = 0.5

Took = list[tuple[float, float]]  # when something ended, in milliseconds of the server's time, and how many it took


@dataclass
class OwnClock:
    """Reads this machine's clock as another would show it: `ahead_ms` off and `drift` faster."""

    ahead_ms: float
    drift: float
    begun_ms: float

    def read(self, true_ms: float) -> float:
        """What it shows at a moment of the server's time."""
        return self.ahead_ms + self.begun_ms + (true_ms - self.begun_ms) * (1 + self.drift)


@dataclass
class ClockErrors:
    """The errors of a tablet's estimate of the server's time, and whether each lay within the bound that it gave."""

    errors_ms: list[float] = field(default_factory=list)
    bounds_ms: list[float] = field(default_factory=list)
    outside: int = 0


class ClockLine:
    """A tablet's socket: pings for its clock, reports for the desk, in the `heat` that is its own then. The server runs on this
    machine, so the truth is known."""

    def __init__(self, tablet: Tablet, heat: Callable[[], str], chance: random.Random) -> None:
        self.found = ClockErrors()
        self.broken = 0
        self._tablet, self._heat = tablet, heat
        drift = chance.uniform(-DRIFT_PPM, DRIFT_PPM) / 1_000_000
        self._clock = OwnClock(chance.uniform(-1e6, 1e6), drift, true_ms())
        self._offset = Offset()

    async def run(self) -> None:
        """Keeps a line open until it is cancelled."""
        wire = self._tablet.wire
        url, page = f"ws://{wire.host}:{wire.port}/lane/socket", Origin(f"http://{wire.host}:{wire.port}")
        headers = {"Cookie": f"ll_device={self._tablet.outbox.seat.token}", "Sec-Fetch-Site": "same-origin"}
        while True:
            with suppress(OSError, WebSocketException, TimeoutError):
                async with connect(url, additional_headers=headers, origin=page, compression=None) as line:
                    await self._talk(line)
            self.broken += 1
            await asyncio.sleep(AGAIN_S)

    async def _talk(self, line: ClientConnection) -> None:
        pings = 0
        while True:
            await line.send(json.dumps({"type": "ping", "t1": self._clock.read(true_ms())}))
            await self._listen_until_pong(line)
            pings += 1
            if pings >= FIRST_PINGS:
                await line.send(json.dumps(self._report()))
            await asyncio.sleep(FIRST_PING_S if pings < FIRST_PINGS else PING_S)

    async def _listen_until_pong(self, line: ClientConnection) -> None:
        async with asyncio.timeout(5):
            while (said := json.loads(await line.recv()))["type"] != "pong":
                pass
        now = true_ms()
        t4 = self._clock.read(now)
        self._offset.add(said["t1"], said["t2"], said["t3"], t4)
        estimate = self._offset.estimate(t4)
        if estimate is not None:
            error = abs(t4 + estimate[0] - now)
            self.found.errors_ms.append(error)
            self.found.bounds_ms.append(estimate[1])
            self.found.outside += error > estimate[1]

    def _report(self) -> dict[str, object]:
        outbox = self._tablet.outbox
        bound = self.found.bounds_ms[-1] if self.found.bounds_ms else None
        return {
            "type": "report",
            "outbox": len(outbox.marks) - len(outbox.safe),
            "kept": len(outbox.marks),
            "bound_ms": None if bound is None else int(bound) + 1,
            "heat": self._heat(),
            "screen": "lane",
            "clock": "synced",
        }


def true_ms() -> float:
    """The server's time in milliseconds: it is this machine's."""
    if sys.platform == "win32":
        return time.perf_counter_ns() / 1e6
    return time.clock_gettime_ns(getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)) / 1e6
