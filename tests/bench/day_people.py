"""The people of a replayed day: judges with tablets, watchers of the board, whoever opens pages; all note how long it took."""

import json
import random
from dataclasses import dataclass, field, replace
from typing import Any

from app.demo.judge import SimulatedJudge
from app.rehearsal.clock import ClockLine, Took, true_ms
from app.rehearsal.lane import Lane
from app.rehearsal.tablet import Outbox, Seat, Tablet
from app.rehearsal.watcher import Watcher
from app.rehearsal.wire import LineBroken, Wire
from app.rules.workout.formats import Format


@dataclass
class Noted:
    """What happened when somebody opened a page: how long each took, what broke, what was answered and should not be."""

    begun_ms: float = field(default_factory=true_ms)
    pages: Took = field(default_factory=list)
    broken: int = 0
    wrong: list[str] = field(default_factory=list)

    @property
    def now_s(self) -> float:
        """Real seconds since the day began."""
        return (true_ms() - self.begun_ms) / 1000


class Judge:
    """One lane's tablet all day: its line and its socket stay open, heat after heat. A heat's marks are an epoch of their own."""

    def __init__(self, seat: Seat, wire: Wire, watcher: Watcher, chance: random.Random) -> None:
        self.acks: Took = []
        self.refused: list[str] = []
        self.broken = 0
        self.heat = ""
        self._seat, self._wire, self._watcher, self._chance = seat, wire, watcher, chance
        self._epoch = 0
        self.clock = ClockLine(self._tablet(""), lambda: self.heat, chance)

    def _tablet(self, sheet: str) -> Tablet:
        return Tablet(Outbox(replace(self._seat, sheet=sheet), self._epoch, self._chance), self._wire, self._chance)

    async def packet(self) -> Any:
        """What the tablet is sent to work without network."""
        return json.loads((await self._wire.ask("GET", "/lane/packet")).body)

    async def judge(self, format: Format, assignment: str, go_wall_ms: int, go_real_ms: float, speed: int) -> None:
        """All marks of one heat, each when it is due."""
        self._epoch += 1
        tablet = self._tablet(f"{assignment}/1/lane")
        seat, strength = tablet.outbox.seat, self._chance.uniform(0.8, 1.2)
        # A clock that runs so many times too fast is no reading of the desk's: its marks say what those by hand say.
        made = SimulatedJudge(format, seat.sheet, seat.device, go_wall_ms, strength, self._chance).marks()
        script = [replace(mark, body={**mark.body, "hand": True}) for mark in made]
        lane = Lane(tablet, format, script, [self._watcher])
        lane.acks = self.acks
        await lane.judge(go_real_ms, speed)
        self.refused += tablet.counted.refused
        self.broken += tablet.counted.broken


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
    now = true_ms()
    noted.pages.append((now, now - begun))
