"""A storm over a hall: forty tablets count while their server is killed again and again, lines are cut and answers are lost."""

import asyncio
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Awaitable, Callable
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol, TypeVar

from sqlalchemy import create_engine

from app.live.servertime import this_machine
from app.paths import CHECKOUT
from app.rehearsal.hall import make_hall
from app.rehearsal.own_line import OwnLine
from app.rehearsal.serving import answers, free_port
from app.rehearsal.tablet import MOST_MARKS, Outbox, Seat, Tablet
from app.rehearsal.turns import turn_about
from app.rehearsal.wire import LineBroken, Wire
from app.rules.count.tally import fold
from tests.faults.ground import Acked, acked

T = TypeVar("T")

FORMAT = turn_about()
UP_S = (0.02, 0.25)  # how long a server lives, from the first marks that it has acknowledged, before it is killed
PATIENCE_S = 60.0
AGAIN_S = 0.1
GONE_S = 0.2  # in which a server notices that a line was cut


@dataclass
class Outcome:
    """What the storm left behind. lost: marks acknowledged and later not there. doubled: marks stored more than once."""

    acknowledged: int = 0
    lost: int = 0
    doubled: int = 0
    unequal: int = 0
    kills: int = 0
    broken: int = 0
    resent: int = 0
    seconds: float = 0.0
    back_s: list[float] = field(default_factory=list)


class Server(Protocol):
    """What the storm rages over: it can be killed, and started again."""

    port: int

    def start(self) -> None:
        """Starts it, for the first time or again; it answers a moment later."""

    def kill(self) -> None:
        """Ends it, or a part of it, without a word."""

    def close(self) -> None:
        """Ends everything."""


class Forked:
    """The forking server process, see tests/faults/forked.py."""

    def __init__(self, kind: str, data: Path, port: int, url: str = "") -> None:
        self.port = port
        command = [sys.executable, "-m", "tests.faults.forked", kind, str(data), str(port)]
        both, its = subprocess.PIPE, {**os.environ, "DATABASE_URL": url}
        self._process = subprocess.Popen(command, cwd=CHECKOUT, stdin=both, stdout=both, text=True, env=its)
        self._line()
        self._server = 0

    def start(self) -> None:
        """Starts a server; it answers a moment later."""
        assert self._process.stdin is not None
        self._process.stdin.write("go\n")
        self._process.stdin.flush()
        self._server = int(self._line())

    def kill(self) -> None:
        """Ends the server as a power cut ends a process."""
        if self._server:
            os.kill(self._server, signal.SIGKILL)
            self._server = 0

    def close(self) -> None:
        """Ends everything."""
        self.kill()
        assert self._process.stdin is not None and self._process.stdout is not None
        self._process.stdin.close()
        self._process.stdout.close()
        self._process.kill()
        self._process.wait()

    def _line(self) -> str:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the server could not be started"
        return line.strip()


Listens = Callable[[list[Acked], int, str], None]  # to what tablets were told, and what a desk says: its port and token


def storm(
    kind: str, data: Path, *, tablets: int, marks: int, kills: int, seed: int = 20, url: str = "", listens: Listens | None = None
) -> Outcome:
    """Lets `tablets` count at least `marks` marks in all while the server of this kind is killed `kills` times. `url`: the
    PostgreSQL database that it is to use. `listens` is called when the server is back, and in the end."""
    return storm_over(lambda port: Forked(kind, data, port, url), data, tablets, marks, kills, seed, url, listens)


def storm_over(
    make: Callable[[int], Server],
    data: Path,
    tablets: int,
    marks: int,
    kills: int,
    seed: int = 20,
    url: str = "",
    listens: Listens | None = None,
) -> Outcome:
    """The same over whatever `make` starts on a port."""
    seats, token = make_hall(data, tablets, this_machine(), url=url)
    server = make(free_port())

    async def listen(judges: list["Judge"], pages: bool = True) -> None:
        if listens is not None:
            await asyncio.to_thread(
                listens, [acked(judge.tablet.outbox) for judge in judges], server.port, token if pages else ""
            )

    try:
        outcome = asyncio.run(_storm(server, seats, marks, kills, random.Random(seed), listen))
    finally:
        server.close()
    outcome.doubled = _doubled_on_server(url) if url else _doubled(data)
    return outcome


async def _storm(
    server: Server,
    seats: list[Seat],
    marks: int,
    kills: int,
    chance: random.Random,
    listen: Callable[..., Awaitable[None]],
) -> Outcome:
    outcome, begun = Outcome(), time.perf_counter()
    judges = [Judge(seat, server.port, random.Random(chance.random()), by_line=n % 2 == 0) for n, seat in enumerate(seats)]
    over = asyncio.Event()
    least = -(-marks // len(seats))
    counting = [asyncio.create_task(judge.count(over, least)) for judge in judges]
    try:
        server.start()
        await _up(server.port)
        for kill in range(kills):
            for judge in judges:
                judge.allowed = least * (kill + 1) // kills  # there is something new to lose in each life of the server
            await _something_acknowledged(judges)
            await asyncio.sleep(chance.uniform(*UP_S))
            server.kill()
            down = time.perf_counter()
            server.start()
            await _up(server.port)
            outcome.back_s.append(time.perf_counter() - down)
            outcome.kills += 1
        await listen(judges, pages=False)  # many ask at once now: the desk's pages would take them seconds
        over.set()
        await asyncio.gather(*counting)
        await _compare(judges, outcome)
        for judge in judges:
            judge.tablet.cut()  # what the desk then says is of tablets that are away
        await asyncio.sleep(GONE_S)
        await listen(judges)
    finally:
        for task in counting:
            task.cancel()
        await asyncio.gather(*counting, return_exceptions=True)
        for judge in judges:
            judge.tablet.cut()
        await asyncio.sleep(0.05)  # connections come to their end
    outcome.seconds = time.perf_counter() - begun
    return outcome


async def _something_acknowledged(judges: list["Judge"]) -> None:
    """Until a server has acknowledged marks that were not safe before: killed earlier, it could lose nothing that it promised."""
    before = [set(judge.tablet.outbox.safe) for judge in judges]
    until = time.perf_counter() + PATIENCE_S
    while all(judge.tablet.outbox.safe <= was for judge, was in zip(judges, before, strict=True)):
        assert time.perf_counter() < until, "the server acknowledged nothing"
        await asyncio.sleep(0.002)


async def _compare(judges: list["Judge"], outcome: Outcome) -> None:
    """What each tablet has against what the server has."""
    for judge in judges:
        there = await _at_last(judge.tablet.there)
        outcome.unequal += fold(FORMAT, there) != fold(FORMAT, judge.tablet.outbox.marks.values())
        outcome.acknowledged += len(judge.tablet.outbox.safe)
        outcome.lost += len(judge.tablet.counted.taken_back)
        outcome.broken += judge.tablet.counted.broken
        outcome.resent += judge.resent


class Judge:
    """Somebody who counts quickly on a tablet with a bad line and an unkind network; its marks go by its own line, or all as
    requests."""

    def __init__(self, seat: Seat, port: int, chance: random.Random, by_line: bool) -> None:
        self._chance = chance
        self._wall_ms = time.time_ns() // 1_000_000
        self.allowed = 0
        self.resent = 0
        outbox = Outbox(seat, 1 + self._wall_ms * 1000, chance)
        line = OwnLine("127.0.0.1", port, seat.token) if by_line else None
        self.tablet = Tablet(outbox, Wire("127.0.0.1", port, f"ll_device={seat.token}"), chance, line)

    async def count(self, over: asyncio.Event, least: int) -> None:
        """Counts until the storm is over, at least so many marks; then sends everything, what is safe once more too."""
        outbox = self.tablet.outbox
        while not over.is_set() or len(outbox.marks) < least:
            for _ in range(self._chance.randint(1, 12)):
                if len(outbox.marks) < self.allowed:
                    self._mark(len(outbox.marks))
            await self._send()
            await asyncio.sleep(self._chance.uniform(0.02, 0.12))
        async with asyncio.timeout(PATIENCE_S):
            await self.tablet.send_all()
            self.resent = self.tablet.counted.resent
            await _at_last(self._send_everything)

    def _mark(self, number: int) -> None:
        """A repetition; one in twenty is struck out."""
        outbox = self.tablet.outbox
        at = number * 37 % 119_000
        mark = outbox.add("rep", at, self._wall_ms + number)
        if self._chance.random() < 0.05:
            outbox.add("strike", at, self._wall_ms + number, None, {"mark": mark.id})

    async def _send(self) -> None:
        tablet, dice = self.tablet, self._chance.random()
        try:
            if dice < 0.10:
                await tablet.post_and_hang_up(tablet.outbox.due())
            elif dice < 0.15:
                tablet.cut()
            elif dice < 0.18:
                await self._send_everything()
            else:
                await tablet.send_some()
        except LineBroken:
            tablet.counted.broken += 1

    async def _send_everything(self) -> None:
        everything = list(self.tablet.outbox.marks.values())
        for start in range(0, len(everything), MOST_MARKS):
            await self.tablet.post(everything[start : start + MOST_MARKS])


async def _at_last(ask: Callable[[], Awaitable[T]]) -> T:
    """What is asked for after the storm, asked again where it is refused for the moment: that is no loss."""
    async with asyncio.timeout(PATIENCE_S):
        while True:
            try:
                return await ask()
            except LineBroken:
                await asyncio.sleep(AGAIN_S)


async def _up(port: int) -> None:
    until = time.perf_counter() + PATIENCE_S
    while not await asyncio.to_thread(answers, "127.0.0.1", port):
        assert time.perf_counter() < until, "the server did not come back"
        await asyncio.sleep(0.005)


def _doubled_on_server(url: str) -> int:
    engine = create_engine(url)
    with engine.connect() as store:
        rows, different = store.exec_driver_sql("SELECT count(*), count(DISTINCT (device, epoch, seq)) FROM mark").one()
    engine.dispose()
    return int(rows - different)


def _doubled(data: Path) -> int:
    """How many rows there are beyond one for each number of each tablet."""
    with closing(sqlite3.connect(data / "lane-ledger.sqlite3")) as store:
        numbers = "SELECT count(*), count(DISTINCT device || '/' || epoch || '/' || seq) FROM mark"
        rows, different = store.execute(numbers).fetchone()
        assert store.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    return int(rows - different)
