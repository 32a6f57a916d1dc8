"""The people of a replayed day: judges with tablets, watchers of the board, whoever opens pages; all note how long it took."""

import asyncio
import json
import random
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from websockets.asyncio.client import ClientConnection, connect
from websockets.exceptions import WebSocketException
from websockets.typing import Origin

from app.demo.judge import SimulatedJudge
from app.hall.lane_scores import lane_score
from app.rehearsal.clock import true_ms
from app.rehearsal.tablet import JSON, Seat, body_of
from app.rehearsal.wire import LineBroken, Wire
from app.rules.count.tally import fold
from app.rules.records.marks import Mark
from app.rules.result.scoring import score
from app.rules.workout.formats import Format

LANE = re.compile(rb'id=\\"lane-(\w+)\\".*?total </span>([^<]*)</span>')
TOGETHER_S = 0.05  # marks that fall due within it travel together: at sixty times the speed that is three seconds
AGAIN_S = 0.2


@dataclass
class Noted:
    """What happened, each with its moment in real seconds since the day began and how long it took in milliseconds."""

    begun_ms: float = field(default_factory=true_ms)
    acks: list[tuple[float, float]] = field(default_factory=list)
    shown: list[tuple[float, float]] = field(default_factory=list)
    pages: list[tuple[float, float]] = field(default_factory=list)
    marks: int = 0
    refused: list[str] = field(default_factory=list)
    broken: int = 0
    wrong: list[str] = field(default_factory=list)

    @property
    def now_s(self) -> float:
        """Real seconds since the day began."""
        return (true_ms() - self.begun_ms) / 1000

    def took(self, kind: list[tuple[float, float]], since_ms: float) -> None:
        """Notes how long something took that has just ended."""
        kind.append((self.now_s, true_ms() - since_ms))


class Judge:
    """One lane's tablet all day: its line and its socket stay open, heat after heat."""

    def __init__(self, seat: Seat, wire: Wire, noted: Noted, watcher: "Board", chance: random.Random) -> None:
        self.seat, self._wire, self._noted, self._watcher, self._chance = seat, wire, noted, watcher, chance
        self._seq = 0

    async def packet(self) -> Any:
        """What the tablet is sent to work without network."""
        return json.loads((await self._wire.ask("GET", "/lane/packet")).body)

    async def judge(self, format: Format, assignment: str, go_wall_ms: int, go_real_ms: float, speed: int) -> None:
        """All marks of one heat, each when it is due."""
        made = SimulatedJudge(
            format, f"{assignment}/1/lane", self.seat.device, go_wall_ms, self._chance.uniform(0.8, 1.2), self._chance, self._seq
        ).marks()
        self._seq += len(made)
        done: list[Mark] = []
        for due in _together(made, TOGETHER_S * 1000 * speed):
            await asyncio.sleep(max(0.0, go_real_ms + due[-1].at / speed - true_ms()) / 1000)
            done += due
            made_at = true_ms()
            self._watcher.expects(assignment, lane_score(score(format, format.scores[0], fold(format, done))), made_at)
            await self._send(due, made_at)

    async def _send(self, marks: Sequence[Mark], made_ms: float) -> None:
        while True:
            try:
                answer = await self._wire.ask("POST", "/marks", body_of(marks), JSON)
            except LineBroken:
                self._noted.broken += 1
                await asyncio.sleep(AGAIN_S)
                continue
            if answer.status != 200:
                self._noted.wrong.append(f"/marks {answer.status} {answer.body[:120]!r}")
                return
            self._noted.refused += [one["sentence"] for one in json.loads(answer.body)["refused"]]
            self._noted.marks += len(marks)
            self._noted.took(self._noted.acks, made_ms)
            return

    async def line(self, heat: Callable[[], str]) -> None:
        """The tablet's socket, until cancelled: pings each second, and says how it is."""
        page = Origin(f"http://{self._wire.host}:{self._wire.port}")
        headers = {"Cookie": f"ll_device={self.seat.token}", "Sec-Fetch-Site": "same-origin"}
        while True:
            with suppress(OSError, WebSocketException, TimeoutError):
                url = f"ws://{self._wire.host}:{self._wire.port}/lane/socket"
                async with connect(url, additional_headers=headers, origin=page, compression=None) as socket:
                    while True:
                        await self._say(socket, heat())
                        await asyncio.sleep(1)
            self._noted.broken += 1
            await asyncio.sleep(AGAIN_S)

    async def _say(self, socket: ClientConnection, heat: str) -> None:
        await socket.send(json.dumps({"type": "ping", "t1": true_ms()}))
        while json.loads(await asyncio.wait_for(socket.recv(), 10))["type"] != "pong":
            pass
        report = {"type": "report", "outbox": 0, "kept": self._seq, "bound_ms": 3, "heat": heat, "clock": "synced"}
        await socket.send(json.dumps(report | {"screen": "lane"}))


def _together(marks: Sequence[Mark], within_ms: float) -> Iterator[list[Mark]]:
    """Marks that travel in one request."""
    group: list[Mark] = []
    for mark in marks:
        if group and mark.at - group[0].at > within_ms:
            yield group
            group = []
        group.append(mark)
    if group:
        yield group


class Board:
    """A wall's board that is followed with a stopwatch; others follow it without one."""

    def __init__(self, wire: Wire, noted: Noted) -> None:
        self._wire, self._noted = wire, noted
        self._waiting: dict[str, list[tuple[str, float]]] = {}
        self.updates = 0

    def expects(self, assignment: str, total: str, made_ms: float) -> None:
        """A lane's total has just become this."""
        waiting = self._waiting.setdefault(assignment, [])
        if not waiting or waiting[-1][0] != total:
            waiting.append((total, made_ms))

    async def watch(self) -> None:
        """Follows the board, until cancelled."""
        while True:
            with suppress(LineBroken):
                async for line in self._wire.lines("/board/stream"):
                    if line.startswith(b"data: "):
                        self.updates += 1
                        self._saw(line)
            self._noted.broken += 1
            await asyncio.sleep(AGAIN_S)

    def _saw(self, line: bytes) -> None:
        for name, text in LANE.findall(line):
            waiting = self._waiting.get(name.decode(), [])
            hit = next((n for n, (total, _) in reversed(list(enumerate(waiting))) if total == text.decode()), None)
            if hit is not None:
                self._noted.took(self._noted.shown, waiting[hit][1])
                del waiting[: hit + 1]


async def look(wire: Wire, path: str, noted: Noted) -> None:
    """Somebody opens a page."""
    begun = true_ms()
    try:
        answer = await wire.ask("GET", path, headers={"Accept": "text/html", "Accept-Encoding": "gzip"})
    except LineBroken:
        noted.broken += 1
        return
    if answer.status not in (200, 303, 304):
        noted.wrong.append(f"{path} {answer.status}")
    noted.took(noted.pages, begun)
