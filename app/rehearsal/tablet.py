"""A simulated tablet: an outbox that keeps what is not acknowledged and sends it again, as static/js/device does it."""

import asyncio
import json
import random
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from app.rehearsal.own_line import OwnLine
from app.rehearsal.wire import LineBroken, Wire
from app.rules.records.kinds import Kind
from app.rules.records.marks import MOST_MARKS, Mark, mark_plain, parse_received
from app.rules.values.ids import RANDOM_BITS, mark_id

LEAST_WAIT_S, MOST_WAIT_S = 0.05, 1.0
JSON = {"Content-Type": "application/json"}


@dataclass(frozen=True, slots=True)
class Seat:
    """Where a tablet sits: its lane, the sheet that it writes, its device's id and the token of its session."""

    lane: int
    sheet: str
    device: str
    token: str


@dataclass(slots=True)
class Counted:
    """What happened to a tablet. taken_back: marks that were acknowledged and that the server did not have later."""

    requests: int = 0
    broken: int = 0
    resent: int = 0
    refused: list[str] = field(default_factory=list)
    taken_back: set[str] = field(default_factory=set)


class Outbox:
    """The marks that one tablet made, in the order made, and which of them the desk has acknowledged."""

    def __init__(self, seat: Seat, epoch: int, chance: random.Random) -> None:
        self.seat, self.epoch = seat, epoch
        self.marks: dict[str, Mark] = {}
        self.safe: set[str] = set()
        self._chance = chance

    def add(self, kind: Kind, at: int, wall_ms: int, win: int | None = 0, body: dict[str, object] | None = None) -> Mark:
        """Makes a mark."""
        identity = mark_id(wall_ms, self._chance.getrandbits(RANDOM_BITS))
        seq = len(self.marks) + 1
        mark = Mark(identity, self.seat.sheet, self.seat.device, self.epoch, seq, kind, at, 3, win, body or {})
        self.marks[identity] = mark
        return mark

    def take(self, mark: Mark) -> None:
        """Takes a mark that was made elsewhere for this seat."""
        self.marks[mark.id] = mark

    def due(self, most: int = MOST_MARKS) -> list[Mark]:
        """What the desk does not hold yet, in order."""
        return [mark for mark in self.marks.values() if mark.id not in self.safe][:most]

    def through(self) -> int:
        """The number up to which everything is safe."""
        waiting = next((mark.seq for mark in self.marks.values() if mark.id not in self.safe), len(self.marks) + 1)
        return waiting - 1

    def compare(self, there: Iterable[Mark]) -> set[str]:
        """All marks that the desk has on this sheet: returns what it had acknowledged and lacks, which is due again."""
        ids = {mark.id for mark in there}
        lacking = {mark for mark in self.safe if mark not in ids}
        self.safe = {mark for mark in self.marks if mark in ids}
        return lacking


class Tablet:
    """Sends an outbox to a server until all of it is safe, whatever happens to the line or to the server: by its own line if it
    has one, and what that does not answer as a request."""

    def __init__(self, outbox: Outbox, wire: Wire, chance: random.Random, line: OwnLine | None = None) -> None:
        self.outbox, self.wire, self.line = outbox, wire, line
        self.counted = Counted()
        self._chance = chance
        self._wait_s = 0.0
        self._offered: set[str] = set()
        self._unsure = False

    async def send_all(self) -> None:
        """Sends until nothing is due, and the desk has shown that it holds everything."""
        self._unsure = True
        while self.outbox.due() or self._unsure:
            await self.send_some()

    async def send_some(self) -> bool:
        """One attempt; after a failure it waits a little, longer each time. True when the desk answered."""
        try:
            if self._unsure:
                await self.compare()
            await self.post(self.outbox.due())
        except LineBroken:
            self.counted.broken += 1
            self._wait_s = min(MOST_WAIT_S, max(LEAST_WAIT_S, self._wait_s * 2))
            await asyncio.sleep(self._wait_s * self._chance.uniform(0.5, 1))
            return False
        self._wait_s = 0.0
        return True

    async def post(self, marks: Sequence[Mark]) -> None:
        """Sends these marks, safe or not. Raises LineBroken."""
        if not marks:
            return
        self.counted.requests += 1
        self.counted.resent += sum(1 for mark in marks if mark.id in self._offered)
        self._offered.update(mark.id for mark in marks)
        said = await self._answer(body_of(marks))
        refused = {(one["epoch"], one["seq"]): str(one["sentence"]) for one in said.get("refused", ())}
        self.counted.refused += refused.values()
        self.outbox.safe.update(mark.id for mark in marks if (mark.epoch, mark.seq) not in refused)
        # A desk that holds less than it once acknowledged was restored, or is another one.
        self._unsure = self._unsure or int(said["held"].get(str(self.outbox.epoch), 0)) < self.outbox.through()

    async def _answer(self, body: bytes) -> dict[str, Any]:
        """What marks are answered. Raises LineBroken."""
        if self.line is not None:
            with suppress(LineBroken):
                told = await self.line.ask(body)
                if told["status"] == 200:
                    return told
        answer = await self.wire.ask("POST", "/marks", body, JSON)
        if answer.status != 200:
            raise LineBroken(f"{answer.status}: {answer.body[:200].decode(errors='replace')}")
        said: dict[str, Any] = json.loads(answer.body)
        return said

    async def post_and_hang_up(self, marks: Sequence[Mark]) -> None:
        """Sends these marks and cuts the line before the answer. Raises LineBroken."""
        self._offered.update(mark.id for mark in marks)
        if self.line is not None:
            await self.line.send_only(body_of(marks))
            return
        await self.wire.send_only("POST", "/marks", body_of(marks), JSON)
        self.wire.cut()

    def cut(self) -> None:
        """Breaks all that is open to the server, at once."""
        self.wire.cut()
        if self.line is not None:
            self.line.cut()

    async def compare(self) -> None:
        """Asks what the desk has on this sheet; what it lacks is due again. Raises LineBroken."""
        there = await self.there()
        self.counted.taken_back |= self.outbox.compare(there)
        self._unsure = False

    async def there(self) -> list[Mark]:
        """The marks of this sheet that the desk has. Raises LineBroken."""
        answer = await self.wire.ask("GET", "/lane/packet")
        if answer.status != 200:
            raise LineBroken(f"{answer.status}: {answer.body[:200].decode(errors='replace')}")
        marks = [parse_received(raw) for raw in json.loads(answer.body)["marks"]]
        return [mark for mark in marks if mark.sheet == self.outbox.seat.sheet]


def body_of(marks: Sequence[Mark]) -> bytes:
    """The body of a request."""
    return json.dumps({"marks": [mark_plain(mark) for mark in marks]}, separators=(",", ":")).encode()
