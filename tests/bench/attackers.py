"""Spectators and devices that mean no good: `python -m tests.bench.attackers PORT ATTACK`, until its input ends.

ATTACK is JSON, see Plan. Slow and idle connections come from many addresses and come again when they are cut. Each flood comes
from one address, over as many connections as it gets, with the dearest things that need no session, or with one of them. A device
sends what it may send, as fast as it is answered, whatever it is told. Prints what was answered, as JSON.
"""

import asyncio
import contextlib
import itertools
import json
import socket
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import count
from typing import Any, NoReturn

from app.rehearsal.own_line import OwnLine
from app.rehearsal.tablet import Seat, body_of
from app.rehearsal.wire import LineBroken
from app.rules.records.marks import MOST_MARKS
from tests.bench.crowd import Hand

EACH = 20  # connections of one address
FLOODING = 30  # connections of a flood
AGAIN_S = 0.05
WRONG = b'{"code":"000000"}'
LARGE = 250_000
LINES = 4  # of one device
DEVICE_AT = "127.5.1.1"
PLANS = 20  # in one request of a phone
HEAT_MS = 1_200_000
LOAD = {"amount": "100", "unit": "kg"}


@dataclass(frozen=True, slots=True)
class Plan:
    """An attack. slow, idle: connections; floods: how many spectators flood, with `what` (page, guess, body, marks, halls; all of
    the dear ones if it names none); boards: how many addresses hold four live boards each. device: the seat of a device that
    floods, and `sends` what (marks, strikes, plans); by_line: as frames on lines of its own."""

    slow: int = 0
    idle: int = 0
    floods: int = 0
    what: str = ""
    boards: int = 0
    device: tuple[int, str, str, str] | None = None
    sends: str = ""
    by_line: bool = False


def address(number: int) -> str:
    """One of this machine's many addresses."""
    return f"127.8.{number // 250}.{number % 250 + 1}"


class Attack:
    """Everything that is done to one port, and what was answered to the flood."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.answers: Counter[str] = Counter()
        self.cut = 0
        host = f"Host: localhost:{port}\r\n".encode()
        self.slow = b"GET /board HTTP/1.1\r\nHost: loc"
        self.idle = b"GET /trust/yes HTTP/1.1\r\n" + host + b"\r\n"
        page = b"GET /board HTTP/1.1\r\nAccept-Encoding: gzip\r\n" + host + b"\r\n"
        guess = (
            b"POST /pair HTTP/1.1\r\n"
            + host
            + b"Content-Type: application/json\r\nContent-Length: %d\r\n\r\n" % len(WRONG)
            + WRONG
        )
        large = b"POST /marks HTTP/1.1\r\n" + host + b"Content-Type: application/json\r\nContent-Length: %d\r\n\r\n" % LARGE
        self.board = b"GET /board/stream HTTP/1.1\r\n" + host + b"\r\n"
        self.asked = {
            "page": page,
            "guess": guess,
            "marks": large + b"x" * LARGE,
            "body": large.replace(b"/marks", b"/pair") + b"x" * LARGE,
            "halls": b"GET /halls HTTP/1.1\r\n" + host + b"\r\n",
        }
        self.dear = tuple(self.asked[name] for name in ("page", "guess", "marks"))

    async def hold(self, source: str, first: bytes) -> NoReturn:
        """Opens a connection, says the beginning of something, and does so again whenever it is cut."""
        while True:
            with contextlib.suppress(OSError):
                reader, writer = await self._open(source)
                writer.write(first)
                with contextlib.suppress(OSError):
                    while await reader.read(65536):
                        pass
                self.cut += 1
                writer.close()
            await asyncio.sleep(AGAIN_S)

    async def flood(self, source: str, turns: Iterator[bytes]) -> NoReturn:
        """Asks for one thing after another as fast as it is answered."""
        while True:
            try:
                reader, writer = await self._open(source)
            except OSError:
                await asyncio.sleep(AGAIN_S)
                continue
            with contextlib.suppress(OSError, EOFError, ValueError, asyncio.LimitOverrunError):
                for request in turns:
                    writer.write(request)
                    await self._answer(reader)
            writer.close()

    async def flood_line(self, source: str, seat: Seat, bodies: Iterator[bytes]) -> NoReturn:
        """The same on a device's own line, which is opened again whenever it is closed."""
        line = OwnLine("127.0.0.1", self.port, seat.token, source=source)
        while True:
            try:
                said = await line.ask(next(bodies))
            except LineBroken:
                self.cut += 1
                await asyncio.sleep(AGAIN_S)
            else:
                self.answers[str(said["status"])] += 1

    async def _open(self, source: str) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        return await asyncio.open_connection("127.0.0.1", self.port, local_addr=(source, 0), family=socket.AF_INET)

    async def _answer(self, reader: asyncio.StreamReader) -> None:
        head = await reader.readuntil(b"\r\n\r\n")
        self.answers[head.split(b" ", 2)[1].decode()] += 1
        lower = head.lower()
        if b"content-length: " in lower:
            await reader.readexactly(int(lower.split(b"content-length: ")[1].split(b"\r")[0]))


def sent_by(hand: Hand, sends: str) -> Iterator[bytes]:
    """The bodies that a device sends over one of its lines: marks of all times of the heat, strikes of them, or plans of a
    phone."""
    struck = [hand.outbox.add("rep", 100 * n, 1_800_000_000_000 + n) for n in range(MOST_MARKS)]
    yield body_of(struck)
    for turn in count(1):
        wall = 1_800_000_000_000 + 1_000 * turn
        hand.outbox.marks.clear()
        for n in range(PLANS if sends == "plans" else MOST_MARKS):
            if sends == "marks":
                made = hand.outbox.add("rep", (turn * 7_919 * n) % HEAT_MS, wall + n)
            elif sends == "strikes":
                made = hand.outbox.add("strike", 1_000, wall + n, None, {"mark": struck[n].id})
            else:
                made = hand.outbox.add("plan", -1_000, wall + n, None, {"loads": [LOAD] * 3, "by": "lifter"})
            hand.outbox.marks[made.id] = replace(made, seq=turn * MOST_MARKS + n + 1)
        yield body_of(list(hand.outbox.marks.values()))


async def main(port: int, plan: Plan) -> None:
    """Attacks until told to stop."""
    attack = Attack(port)
    dear = (attack.asked[plan.what],) if plan.what else attack.dear
    work = [attack.hold(address(n // EACH), attack.slow) for n in range(plan.slow)]
    work += [attack.hold(address(200 + n // EACH), attack.idle) for n in range(plan.idle)]
    work += [attack.hold(address(600 + n // 4), attack.board) for n in range(4 * plan.boards)]
    for n in range(plan.floods * FLOODING):
        turn = n % len(dear)
        work.append(attack.flood(address(400 + n // FLOODING), itertools.cycle(dear[turn:] + dear[:turn])))
    for n in range(LINES if plan.device else 0):
        seat = Seat(*plan.device)  # type: ignore[misc]
        hand = Hand(seat, port, epoch=time.time_ns() // 1000 % 1_000_000_000 + n)
        bodies = sent_by(hand, plan.sends)
        if plan.by_line:
            work.append(attack.flood_line(DEVICE_AT, seat, bodies))
        else:
            work.append(attack.flood(DEVICE_AT, map(hand.request, bodies)))
    tasks = [asyncio.create_task(one) for one in work]
    await asyncio.to_thread(sys.stdin.read)
    print(json.dumps({"answers": attack.answers, "cut": attack.cut}), flush=True)
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)


if __name__ == "__main__":
    read: dict[str, Any] = json.loads(sys.argv[2])
    asyncio.run(main(int(sys.argv[1]), Plan(**read)))
