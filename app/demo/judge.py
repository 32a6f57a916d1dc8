"""A simulated judge: all marks of one lane in one heat, as a person would have made them. The same seed, the same sheet."""

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.rules.records.kinds import Kind
from app.rules.records.marks import Mark
from app.rules.values.ids import RANDOM_BITS, mark_id
from app.rules.workout.formats import CountTask, Format, LiftTask, Window

# Milliseconds from one repetition to the next for a fresh pair; anything else takes the last.
PACE_MS = {"skip": 420, "press": 2600, "": 1800}
BREATH_EVERY = {"skip": 38, "press": 9, "": 15}
BREATH_MS = (4_000, 11_000)
NO_REP_CHANCE = 0.04
# In a public archive of international meets squats are missed 17, 27 and 45 times in a hundred by attempt.
MISS_CHANCE = (0.17, 0.27, 0.45)
SLIP_CHANCE = 0.004
ERROR_MS = 4
# A second judge beside the first: misses few, differs on few, taps a little later (mean and spread in ms).
MISSED_CHANCE, OTHERWISE_CHANCE, LATER_MS = 0.02, 0.03, (90, 120)


@dataclass(slots=True)
class SimulatedJudge:
    """Writes one sheet. `go_wall_ms` dates the ids; `strength` makes the entry faster and heavier (1 is usual)."""

    format: Format
    sheet: str
    device: str
    go_wall_ms: int
    strength: float
    chance: random.Random
    seq: int = 0

    def marks(self) -> list[Mark]:
        """Every mark of the heat in order of time, numbered in that order."""
        made = sorted(self._all(), key=lambda item: item[0])
        ids: dict[int, str] = {}
        marks = []
        for at, serial, kind, win, body in made:
            mark = self._mark(at, kind, win, {k: ids[v] if k in ("declared", "mark") else v for k, v in body.items()})
            ids[serial] = mark.id
            marks.append(mark)
        return marks

    def _all(self) -> Iterator[tuple[int, int, Kind, int | None, dict[str, Any]]]:
        serial = 0
        for index, window in enumerate(self.format.windows):
            task = self.format.tasks[window.task] if window.task else None
            if isinstance(task, CountTask):
                made = self._count(window, task.movement)
            elif isinstance(task, LiftTask):
                made = self._lift(window, task)
            else:
                continue
            base = serial
            for at, kind, body in made:
                serial += 1
                yield at, serial, kind, index, {k: base + v if k in ("declared", "mark") else v for k, v in body.items()}

    def _count(self, window: Window, movement: str) -> list[tuple[int, Kind, dict[str, Any]]]:
        """Repetitions with breathers and a slowing pace. References in bodies are numbers of marks within the window, from 1."""
        pace = PACE_MS.get(movement, PACE_MS[""]) / self.strength
        breath_after = BREATH_EVERY.get(movement, BREATH_EVERY[""]) * self.strength
        faults = [fault.id for fault in self.format.movements[movement].faults]
        made: list[tuple[int, Kind, dict[str, Any]]] = []
        at = window.start_ms + self.chance.uniform(900, 2500)
        since_breath = 0
        while at < window.end_ms - 200:
            if faults and self.chance.random() < NO_REP_CHANCE:
                made.append((int(at), "norep", {"fault": self.chance.choice(faults[:2])}))
            else:
                made.append((int(at), "rep", {}))
                if self.chance.random() < SLIP_CHANCE:
                    made.append((int(at) + 180, "rep", {}))
                    made.append((int(at) + 1100, "strike", {"mark": len(made)}))
                    at += 1100
            since_breath += 1
            done = (at - window.start_ms) / (window.end_ms - window.start_ms)
            at += pace * self.chance.uniform(0.85, 1.2) * (1 + 0.5 * done)
            if since_breath > breath_after * self.chance.uniform(0.7, 1.3):
                at += self.chance.uniform(*BREATH_MS)
                since_breath = 0
        return made

    def _lift(self, window: Window, task: LiftTask) -> list[tuple[int, Kind, dict[str, Any]]]:
        """Attempts with rising loads; a miss is tried again once before the bar is racked."""
        unit = task.step.unit
        load = round((205 if unit == "lb" else 95) * self.strength)
        made: list[tuple[int, Kind, dict[str, Any]]] = []
        at = window.start_ms + self.chance.uniform(3_000, 8_000)
        for attempt in range(4):
            said = {"load": {"amount": str(load), "unit": unit}}
            made.append((int(at), "declare", {**said, "by": "judge"}))
            declared = len(made)
            made.append((int(at) + 6_000, "loaded", {**said, "by": "loader", "declared": declared}))
            at += self.chance.uniform(9_000, 15_000)
            good = False
            for _ in range(2):
                if at >= window.end_ms or good:
                    break
                good = self.chance.random() > MISS_CHANCE[min(attempt, 2)]
                made.append((int(at) - 2_500, "begun", {"declared": declared}))
                body = {**said, "good": good, "declared": declared} | ({} if good else {"fault": "depth"})
                made.append((int(at), "lift", body))
                at += self.chance.uniform(7_000, 12_000)
            if at >= window.end_ms - 12_000:
                break
            made.append((int(at) - 3_000, "racked", {"declared": declared}))
            load += self.chance.choice((5, 10, 15)) if good else 0
        return made

    def _mark(self, at: int, kind: Kind, win: int | None, body: dict[str, Any]) -> Mark:
        self.seq += 1
        identity = mark_id(self.go_wall_ms + at, self.chance.getrandbits(RANDOM_BITS))
        placed = None if kind == "strike" else win
        return Mark(identity, self.sheet, self.device, 1, self.seq, kind, at, ERROR_MS, placed, body)


def seen_again(marks: list[Mark], sheet: str, go_wall_ms: int, chance: random.Random) -> list[Mark]:
    """The same work as a second judge saw it: a little later, a few repetitions missed or judged the other way."""
    struck = {mark.body["mark"] for mark in marks if mark.kind == "strike"}
    seen = (mark for mark in marks if mark.kind in ("rep", "norep", "lift") and mark.id not in struck)
    made: list[Mark] = []
    for mark in seen:
        if chance.random() >= MISSED_CHANCE:
            at = mark.at + round(chance.gauss(*LATER_MS))
            identity = mark_id(go_wall_ms + at, chance.getrandbits(RANDOM_BITS))
            kind, body = _otherwise(mark) if chance.random() < OTHERWISE_CHANCE else (mark.kind, mark.body)
            made.append(Mark(identity, sheet, f"{mark.device}-again", 1, len(made) + 1, kind, at, ERROR_MS, mark.win, body))
    return made


def _otherwise(mark: Mark) -> tuple[Kind, Mapping[str, Any]]:
    """The other verdict on the same repetition or lift."""
    if mark.kind == "lift":
        said = {name: value for name, value in mark.body.items() if name != "fault"} | {"good": not mark.body["good"]}
        return "lift", said if said["good"] else said | {"fault": "depth"}
    return ("norep", {}) if mark.kind == "rep" else ("rep", {})
