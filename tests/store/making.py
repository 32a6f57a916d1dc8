"""Makers of marks and records, and ways to look into a store from outside."""

import asyncio
import sqlite3
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from sqlalchemy import create_engine

from app.rules.records.document import Run
from app.rules.records.marks import Mark
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Entry, Event, Heat, Roster
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import CountTask, Format, Movement, Part, ScoreRule, Window
from app.store.database import Database
from app.store.ledger import Ledger


def a_mark(seq: int = 1, device: str = "tab_1", epoch: int = 1, **different: Any) -> Mark:
    """A repetition on lane 1's sheet; its id follows from device, epoch and number, as no two of a tablet have one id."""
    lane = int(device.removeprefix("tab_"))
    plain = Mark(f"{lane:08x}{epoch:08x}{seq:016x}", "asg_1/1/lane", device, epoch, seq, "rep", 1000 * seq, 3, 0, {})
    return replace(plain, **different)


def append(ledger: Ledger, *marks: Mark) -> None:
    """Appends as one request would, and waits."""
    asyncio.run(ledger.append(marks, 1_700_000_000_000))


def stored_ids(database: Database) -> set[str]:
    """The ids that another program sees in the store."""
    if database.file is None:
        engine = create_engine(database.url)
        with engine.connect() as seen:
            ids = {bytes(row[0]).hex() for row in seen.exec_driver_sql("SELECT id FROM mark")}
        engine.dispose()
        return ids
    with sqlite3.connect(str(database.file)) as other:
        found = {row[0].hex() for row in other.execute("SELECT id FROM mark")}
    other.close()
    return found


@contextmanager
def busy_writer(database: Database) -> Iterator[None]:
    """Holds the writer inside a transaction; what is asked for meanwhile queues up behind it."""
    started, release = threading.Event(), threading.Event()

    def hold(_session: object) -> None:
        started.set()
        assert release.wait(20)

    held = database.submit(hold)
    assert started.wait(20)
    try:
        yield
    finally:
        release.set()
        held.result(20)


def a_format() -> Format:
    """A minute of squats, each counting one."""
    return Format(
        movements={"squat": Movement(name="Squat")},
        tasks={"squats": CountTask(movement="squat")},
        windows=(Window(start=0, seconds=60, task="squats"),),
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("squats",)),)),),
    )


def a_roster(lanes: Sequence[int] = (1, 2)) -> Roster:
    """Two divisions, an entry for each lane, and one heat with all of them."""
    return Roster(
        competition=Competition(id="cmp_1", name="Chalk Cup", place="Hall 2", day="2026-05-30", unit="lb", demo=True),
        divisions=(Division(id="div_b", name="Seniors"), Division(id="div_a", name="Juniors")),
        clubs=(Club(id="clb_1", name="Iron Mill"),),
        athletes=tuple(Athlete(id=f"ath_{n}", name=f"Athlete {n}", club="clb_1" if n == 1 else None) for n in lanes),
        entries=tuple(Entry(id=f"ent_{n}", division="div_a", name=f"Entry {n}", members=(f"ath_{n}",)) for n in lanes),
        events=(Event(id="evt_1", name="Squats", format=a_format()),),
        heats=(
            Heat(
                id="het_1",
                event="evt_1",
                number=1,
                planned="09:30",
                lanes=tuple(Assignment(id=f"asg_{n}", lane=n, entry=f"ent_{n}", judge="Kim") for n in lanes),
            ),
        ),
    )


def a_run(**different: Any) -> Run:
    """The first GO of the heat."""
    plain = Run(heat="het_1", number=1, go_server_ms=5_000, go_wall_ms=1_700_000_005_000, boot="boot-1")
    return plain.model_copy(update=different)


def a_ruling(**different: Any) -> Ruling:
    """A penalty on lane 1's entry."""
    plain = Ruling(
        id="rul_1",
        kind="penalty",
        assignment="asg_1",
        entry="ent_1",
        event="evt_1",
        body={"amount": "10"},
        by="Sam",
        why="Dropped the bar",
        made_wall_ms=7,
    )
    return plain.model_copy(update=different)
