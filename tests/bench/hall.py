"""Halls for the benches: a heat on the floor with a paired tablet on each lane, and a competition of the demo's size."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlmodel import Session

from app.demo.cast import demo_file, run_of, strength_of
from app.demo.judge import SimulatedJudge
from app.hall.devices import new_session
from app.live.servertime import ServerTime
from app.rules.records.document import Run
from app.rules.records.marks import Mark
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat, Roster
from app.rules.workout.presets import mirrored_pair
from app.settings import Settings
from app.store.database import Database
from app.store.devices import put_device
from app.store.markrows import insert_new
from app.store.roster import put_everything

LANES_IN_DEMO = 4


@dataclass(frozen=True, slots=True)
class Tablet:
    """A paired tablet: its lane, its device id, and the token of its session."""

    lane: int
    device: str
    token: str


def lanes_roster(lanes: int, work_seconds: int = 120) -> Roster:
    """One event, one heat, one pair on each lane; `work_seconds` is the length of every window of work."""
    numbers = range(1, lanes + 1)
    return Roster(
        competition=Competition(id="cmp_1", name="Bench", unit="lb"),
        divisions=(Division(id="div_1", name="Pairs"),),
        athletes=tuple(Athlete(id=f"ath_{n}{m}", name=f"Member {m} of lane {n}") for n in numbers for m in "ab"),
        entries=tuple(
            Entry(id=f"ent_{n}", division="div_1", name=f"Pair on lane {n}", members=(f"ath_{n}a", f"ath_{n}b")) for n in numbers
        ),
        events=(Event(id="evt_1", name="There and back", format=mirrored_pair(work_seconds=work_seconds)),),
        heats=(
            Heat(
                id="het_1",
                event="evt_1",
                number=1,
                lanes=tuple(Assignment(id=f"asg_{n}", lane=n, entry=f"ent_{n}") for n in numbers),
            ),
        ),
    )


def heat_under_way(data: Path, roster: Roster, time: ServerTime, since_go_s: float = 0, tablets: int = 0) -> list[Tablet]:
    """Fills an empty store with a competition whose only heat had its GO some time ago; returns the paired tablets: one for each
    lane, or `tablets` of them, several to a lane."""
    ago = round(since_go_s * 1000)
    run = Run(heat="het_1", number=1, go_server_ms=time.server_ms() - ago, go_wall_ms=time.wall_ms() - ago, boot=time.boot)
    lanes = [lane.lane for lane in roster.heats[0].lanes]
    return _fill(data, roster, (run,), (), [lanes[n % len(lanes)] for n in range(tablets or len(lanes))], time)


def demo_size(data: Path, time: ServerTime) -> list[Tablet]:
    """Fills an empty store with the demo's competition, every heat judged to its end but the last, which nobody has started."""
    whole = demo_file(("09:00", "09:30", "10:00"))
    judged = whole.heats[:-1]
    ago = [(len(judged) - n) * 1_800_000 for n in range(len(judged))]
    runs = tuple(
        _closed(run_of(heat, 1, time.server_ms() - ms, time.wall_ms() - ms, time.boot))
        for heat, ms in zip(judged, ago, strict=True)
    )
    marks = [
        mark
        for heat, run in zip(judged, runs, strict=True)
        for lane in heat.lanes
        for mark in SimulatedJudge(
            format=whole.events[0].format,
            sheet=f"{lane.id}/1/lane",
            device=f"demo-{lane.lane}-{heat.number}",
            go_wall_ms=run.go_wall_ms,
            strength=strength_of(lane),
            chance=random.Random(lane.id),
        ).marks()
    ]
    return _fill(data, whole, runs, marks, list(range(1, LANES_IN_DEMO + 1)), time)


def _closed(run: Run) -> Run:
    return run.model_copy(update={"state": "closed"})


def _fill(
    data: Path, roster: Roster, runs: tuple[Run, ...], marks: Sequence[Mark], lanes: Sequence[int], time: ServerTime
) -> list[Tablet]:
    sessions = [new_session("lane", lane, f"Lane {lane} tablet", time.wall_ms()) for lane in lanes]

    def work(session: Session) -> None:
        put_everything(session, roster, runs, ())
        for device, _ in sessions:
            put_device(session, device)
        insert_new(session.connection(), [(mark, time.wall_ms()) for mark in marks])

    database = Database(Settings(data=data).database())
    try:
        database.write(work)
    finally:
        database.close()
    return [Tablet(lane, device.id, token) for lane, (device, token) in zip(lanes, sessions, strict=True)]
