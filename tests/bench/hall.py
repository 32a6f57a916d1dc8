"""Halls for the benches: a heat on the floor with a paired tablet on each lane, and a competition the size of the Slate Day."""

import random
from collections.abc import Sequence
from pathlib import Path

from app.demo.judge import SimulatedJudge
from app.live.servertime import ServerTime
from app.rehearsal.hall import fill_hall, roster_of, run_now
from app.rehearsal.tablet import Seat
from app.rehearsal.turns import turn_about
from app.rules.records.document import Run
from app.rules.records.marks import Mark
from app.rules.records.roster import Roster
from app.settings import Settings
from app.store.database import Database
from app.store.markrows import insert_new
from tests.builders.slate_day import run_of, strength_of, the_slate_day

LANES = 4


def lanes_roster(lanes: int, work_seconds: int = 120) -> Roster:
    """One event, one heat, one pair on each lane; `work_seconds` is the length of every window of work."""
    return roster_of(lanes, turn_about(work_seconds=work_seconds))


def heat_under_way(data: Path, roster: Roster, time: ServerTime, since_go_s: float = 0, tablets: int = 0) -> list[Seat]:
    """Fills an empty store with a competition whose only heat had its GO some time ago; returns the paired tablets: one for each
    lane, or `tablets` of them, several to a lane."""
    lanes = [lane.lane for lane in roster.heats[0].lanes]
    run = run_now(time, round(since_go_s * 1000))
    return _filled(data, roster, (run,), [lanes[n % len(lanes)] for n in range(tablets or len(lanes))], time)


def slate_day_judged(data: Path, time: ServerTime) -> list[Seat]:
    """Fills an empty store with the Slate Day, every heat judged to its end but the last, which nobody has started."""
    whole = the_slate_day(("09:00", "09:30", "10:00"))
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
            device=f"judge-{lane.lane}-{heat.number}",
            go_wall_ms=run.go_wall_ms,
            strength=strength_of(lane),
            chance=random.Random(lane.id),
        ).marks()
    ]
    return _filled(data, whole, runs, range(1, LANES + 1), time, marks)


def _closed(run: Run) -> Run:
    return run.model_copy(update={"state": "closed"})


def _filled(
    data: Path, roster: Roster, runs: tuple[Run, ...], lanes: Sequence[int], time: ServerTime, marks: Sequence[Mark] = ()
) -> list[Seat]:
    database = Database(Settings(data=data).database())
    try:
        seats, _ = fill_hall(database, roster, runs, lanes, time)
        database.write(lambda session: insert_new(session.connection(), [(mark, time.wall_ms()) for mark in marks]))
        return seats
    finally:
        database.close()
