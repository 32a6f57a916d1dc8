"""A simulated judge: all marks of one lane in one heat, as people would have made them. The same seed, the same sheet."""

import random
from collections.abc import Callable, Generator, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from app.demo.bar import BarTeam
from app.rules.records.kinds import Kind
from app.rules.records.marks import Mark
from app.rules.values.ids import RANDOM_BITS, mark_id
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Window
from app.rules.workout.turns import sharers

# Milliseconds from one repetition to the next for a fresh athlete, and how many come before a breather, by the key of the
# movement in its event; anything else takes the last.
PACE_MS = {
    "skip": 420,
    "press": 2600,
    "row": 29_000,
    "step_up": 2_200,
    "crates": 11_000,
    "lengths": 9_500,
    "throw": 2_700,
    "": 1800,
}
BREATH_EVERY = {"skip": 38, "press": 9, "row": 99, "crates": 99, "lengths": 99, "": 15}
BREATH_MS = (4_000, 11_000)
NO_REP_CHANCE = 0.04
SLIP_CHANCE = 0.004
MEASURED_A_SECOND = 0.31  # calories on a machine, whatever else the number is
ERROR_MS = 4
A_TURN = 6  # repetitions that one does before the next takes over
# A second judge beside the first: misses few, differs on few, taps a little later (mean and spread in ms).
MISSED_CHANCE, OTHERWISE_CHANCE, LATER_MS = 0.02, 0.03, (90, 120)


@dataclass(slots=True)
class Scribe:
    """Makes the marks of one device on one sheet, numbered from `seq` on. `go_wall_ms` dates the ids."""

    sheet: str
    device: str
    go_wall_ms: int
    chance: random.Random
    seq: int = 0

    def write(self, at: int, kind: Kind, win: int | None, body: Mapping[str, Any]) -> Mark:
        """The next mark, at a time of the heat clock."""
        self.seq += 1
        identity = mark_id(self.go_wall_ms + at, self.chance.getrandbits(RANDOM_BITS))
        return Mark(identity, self.sheet, self.device, 1, self.seq, kind, at, ERROR_MS, None if kind == "strike" else win, body)


@dataclass(slots=True)
class SimulatedJudge:
    """Writes one sheet. `strength` makes the entry faster and heavier (1 is usual); `opener` is the first load of a member in
    units of the lift's step, if it is not the usual one. With a `phone`, it writes what lifters and loaders say."""

    format: Format
    sheet: str
    device: str
    go_wall_ms: int
    strength: float
    chance: random.Random
    phone: str = ""
    opener: Callable[[int], int] | None = None
    seq: int = 0
    _judge: Scribe = field(init=False)
    _phone: Scribe = field(init=False)

    def __post_init__(self) -> None:
        """Two pens, or one that writes for all."""
        self._judge = Scribe(self.sheet, self.device, self.go_wall_ms, self.chance, self.seq)
        self._phone = Scribe(self.sheet, self.phone, self.go_wall_ms, self.chance, self.seq) if self.phone else self._judge

    def marks(self) -> list[Mark]:
        """Every mark of the heat in order of time."""
        made = [mark for index, window in enumerate(self.format.windows) for mark in self._window(index, window)]
        return sorted(made, key=lambda mark: mark.at)

    def _window(self, index: int, window: Window) -> Iterator[Mark]:
        """The marks of a window. Work that members share they do by turns, some repetitions each."""
        members, reps = sharers(self.format, window), 0
        for mark in self._work(index, window):
            if members and mark.kind in ("rep", "norep"):
                yield replace(mark, body={**mark.body, "member": members[reps // A_TURN % len(members)]})
                reps += mark.kind == "rep"
            else:
                yield mark

    def _work(self, index: int, window: Window) -> Iterator[Mark]:
        match self.format.tasks[window.task] if window.task else None:
            case CountTask(movement=movement):
                yield from self._count(index, window, movement)
            case ListTask() as task:
                yield from self._list(index, window, task)
            case MeasureTask():
                seconds = window.seconds * self.chance.uniform(0.94, 1.04)
                value = round(seconds * MEASURED_A_SECOND * self.strength)
                yield self._judge.write(window.end_ms - self.chance.randint(300, 900), "measure", index, {"value": str(value)})
            case LiftTask() as task:
                yield from self._lifts(index, window, task)

    def _count(self, index: int, window: Window, movement: str) -> Iterator[Mark]:
        """Repetitions with breathers and a slowing pace, until the bell."""
        at, since_breath = window.start_ms + self.chance.uniform(900, 2500), 0
        while at < window.end_ms - 200:
            at = yield from self._one(index, movement, at)
            done = (at - window.start_ms) / (window.end_ms - window.start_ms)
            at, since_breath = self._rested(movement, at, done, since_breath + 1)

    def _list(self, index: int, window: Window, task: ListTask) -> Iterator[Mark]:
        """The list from top to bottom, and its finish; at the bell it is over wherever they are."""
        at, since_breath = window.start_ms + self.chance.uniform(900, 2500), 0
        taps = [item.movement for _ in range(task.rounds or 1) for item in task.items for _ in range(item.reps)]
        for movement in taps:
            at, since_breath = self._rested(movement, at, 0.3, since_breath + 1)
            if at >= window.end_ms - 200:
                return
            yield self._judge.write(int(at), "rep", index, {})
            if self.format.movements[movement].faults and self.chance.random() < NO_REP_CHANCE:
                at += PACE_MS.get(movement, PACE_MS[""]) / 2
                yield from self._refused(index, movement, at)
        yield self._judge.write(int(at) + 420, "finish", index, {})

    def _rested(self, movement: str, at: float, done: float, since_breath: int) -> tuple[float, int]:
        """When the next repetition comes, and how many there have been since a breather."""
        at += PACE_MS.get(movement, PACE_MS[""]) / self.strength * self.chance.uniform(0.85, 1.2) * (1 + 0.5 * done)
        every = BREATH_EVERY.get(movement, BREATH_EVERY[""]) * self.strength
        if since_breath > every * self.chance.uniform(0.7, 1.3):
            return at + self.chance.uniform(*BREATH_MS), 0
        return at, since_breath

    def _one(self, index: int, movement: str, at: float) -> Generator[Mark, None, float]:
        """A repetition or a refused one; now and then a slip of the finger that is taken back. Returns when it was over."""
        if self.format.movements[movement].faults and self.chance.random() < NO_REP_CHANCE:
            yield from self._refused(index, movement, at)
            return at
        yield self._judge.write(int(at), "rep", index, {})
        if self.chance.random() < SLIP_CHANCE:
            slip = self._judge.write(int(at) + 180, "rep", index, {})
            yield slip
            yield self._judge.write(int(at) + 1100, "strike", index, {"mark": slip.id})
            return at + 1100
        return at

    def _refused(self, index: int, movement: str, at: float) -> Iterator[Mark]:
        faults = [fault.id for fault in self.format.movements[movement].faults[:2]]
        yield self._judge.write(int(at), "norep", index, {"fault": self.chance.choice(faults)})

    def _lifts(self, index: int, window: Window, task: LiftTask) -> Iterator[Mark]:
        """Everything that happens at the bar of the lane until the bell."""
        usual = round((205 if task.step.unit == "lb" else 95) * self.strength)
        team = BarTeam(self.format, index, self.opener or (lambda member: usual), self.sheet)
        made: list[Mark] = []
        while (act := team.next(made)) is not None and act.at < window.end_ms - 500:
            pen = self._judge if act.actor == "judge" else self._phone
            body = act.body if self.phone or act.kind != "declare" else {**act.body, "by": "judge"}
            made.append(pen.write(act.at, act.kind, index, body))
            yield made[-1]


def seen_again(marks: list[Mark], sheet: str, go_wall_ms: int, chance: random.Random) -> list[Mark]:
    """The same work as a second judge saw it: a little later, a few repetitions missed or judged the other way."""
    struck = {mark.body["mark"] for mark in marks if mark.kind == "strike"}
    seen = (mark for mark in marks if mark.kind in ("rep", "norep", "lift", "finish") and mark.id not in struck)
    pen = Scribe(sheet, f"{marks[0].device}-again", go_wall_ms, chance)
    made: list[Mark] = []
    for mark in seen:
        if mark.kind == "finish" or chance.random() >= MISSED_CHANCE:
            kind, body = _otherwise(mark) if chance.random() < OTHERWISE_CHANCE else (mark.kind, mark.body)
            made.append(pen.write(mark.at + round(chance.gauss(*LATER_MS)), kind, mark.win, body))
    return made


def _otherwise(mark: Mark) -> tuple[Kind, Mapping[str, Any]]:
    """The other verdict on the same repetition or lift."""
    if mark.kind == "lift":
        said = {name: value for name, value in mark.body.items() if name != "fault"} | {"good": not mark.body["good"]}
        return "lift", said if said["good"] else said | {"fault": "depth"}
    if mark.kind == "finish":
        return mark.kind, mark.body
    return ("norep", {}) if mark.kind == "rep" else ("rep", {})
