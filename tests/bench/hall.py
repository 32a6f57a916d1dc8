"""Halls for the benches: a heat on the floor with a paired tablet on each lane, and a competition the size of the Slate Day."""

import random
from collections.abc import Sequence
from functools import partial
from hashlib import sha256
from pathlib import Path

from app.demo.judge import SimulatedJudge
from app.hall.devices import new_session
from app.live.servertime import ServerTime
from app.rehearsal.hall import fill_hall, roster_of, run_now
from app.rehearsal.tablet import Seat
from app.rehearsal.turns import turn_about
from app.results.competition_file import make_file, write_file
from app.rules.records.document import Ledger, Run, ledger_id
from app.rules.records.marks import Mark
from app.rules.records.roster import Roster
from app.rules.result.sealing import sealed
from app.settings import Settings
from app.store.database import Database
from app.store.devices import put_device
from app.store.halls import HallContent, put_hall_file
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


def phone_and_halls(data: Path, lane: int, halls: int, time: ServerTime) -> Seat:
    """Puts more into a store: a lifter's phone that is paired with a lane, which is returned, and other halls' files, of forty
    judged lanes each."""
    phone, token = new_session("lifter", lane, f"Lane {lane} phone", time.wall_ms())
    files = [(f"Hall {number}", another_hall(number, time)) for number in range(1, halls + 1)]
    database = Database(Settings(data=data).database())
    try:
        database.write(lambda session: put_device(session, phone))
        for name, file in files:
            content = HallContent(sha256(file).hexdigest(), name, file, time.wall_ms())
            database.write(partial(put_hall_file, file=content))
    finally:
        database.close()
    return Seat(lane, f"asg_{lane}/1/lane", phone.id, token)


def another_hall(number: int, time: ServerTime) -> bytes:
    """The competition file of another hall that ran the same event."""
    roster, secret = lanes_roster(40), f"{number:064x}"
    entries = tuple(one.model_copy(update={"name": f"{one.name} of hall {number}"}) for one in roster.entries)
    marks = []
    for lane in roster.heats[0].lanes:
        judge = SimulatedJudge(
            roster.events[0].format, f"{lane.id}/1/lane", f"tab{number}_{lane.lane}", time.wall_ms(), 1.0, random.Random(lane.id)
        )
        marks += judge.marks()
    run, ledger = run_now(time, 3_600_000), Ledger(id=ledger_id(secret), secret=secret)
    return write_file(
        sealed(make_file(roster.model_copy(update={"entries": entries}), (run,), (), marks, time.wall_ms(), ledger))
    )


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
