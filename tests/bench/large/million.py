"""A store of a million marks, ten of the longest days there are: how long start, board, review, export and backup take with it.

The marks are made by bulk, twenty heats of forty lanes with over a thousand marks each. The figures are of the server as it is
served; processor time is what it used itself, for a busy machine makes the clock lie.
"""

import http.client
import os
import random
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from app.live.servertime import ServerTime, this_machine
from app.rehearsal.hall import fill_hall
from app.rehearsal.machine import load_of
from app.rehearsal.serving import free_port
from app.rehearsal.tablet import Outbox, Seat
from app.rehearsal.turns import turn_about
from app.rules.records.document import Run
from app.rules.records.marks import Mark, with_receipt
from app.rules.records.receipts import Receipt
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat, Roster
from app.settings import Settings
from app.store.database import Database
from app.store.markrows import insert_new
from tests.bench.figures import Figure, Goal
from tests.bench.servers import Serving, serve_command, serving

HEATS, LANES, MARKS_OF_A_LANE = 20, 40, 1_250
AT_HAND = 2  # heats that may still be under way
AT_ONCE = 20_000  # marks in one transaction
# Seconds, on two cores that have nothing else to do. A hall's day is a tenth of it.
ANEW, START, EXPORT, BACKUP = Goal("at most", 60), Goal("at most", 15), Goal("at most", 90), Goal("at most", 30)
PAGE, AGAIN = Goal("at most", 10), Goal("at most", 1)
MEMORY = Goal("at most", 500)
PATIENCE_S = 600.0
SETTLED_S = 2.0  # after an answer: by then what a process of its own used is counted


@dataclass(frozen=True, slots=True)
class Took:
    """How long something took, in seconds by the clock and by the server's processor."""

    clock_s: float
    cpu_s: float

    def figures(self, key: str, words: str, goal: Goal) -> list[Figure]:
        """As lines of the table; what is promised is processor time."""
        return [
            Figure(f"million.{key}.cpu", words, self.cpu_s, "s", goal),
            Figure(f"million.{key}.clock", "… by the clock", self.clock_s, "s"),
        ]


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Fills the store, starts a server over it, and asks."""
    with tempfile.TemporaryDirectory(prefix="lane-ledger-million-") as folder:
        data = Path(folder) / "data"
        data.mkdir()
        tell(f"million: {HEATS * LANES * MARKS_OF_A_LANE:,} marks are made")
        desk = _filled(data, this_machine())
        size = sum(file.stat().st_size for file in data.glob("lane-ledger.sqlite3*"))
        port = free_port()
        tell("million: the server starts over marks alone, and keeps the sheets of heats that are over, as it would after each")
        with serving(serve_command(data, port), port, patience_s=PATIENCE_S) as server:
            first = Took(server.started_s, _used(server))
            _wait_for_kept(data)
        tell("million: the server starts again")
        with serving(serve_command(data, port), port, patience_s=PATIENCE_S) as server:
            started = _used(server)
            figures = [
                Figure("million.marks", "a store of so many marks", HEATS * LANES * MARKS_OF_A_LANE),
                Figure("million.store_mb", "… its size", size / 1e6, "MB"),
                *first.figures("start_anew", "… a start of which every mark is read", ANEW),
                *Took(server.started_s, started).figures("start", "… a start with what finished heats left", START),
                *_asked(server, desk, tell),
            ]
            if (load := load_of(server.pid)) is not None:
                figures.append(Figure("million.rss_mb", "… memory after it all", load.megabytes, "MB", MEMORY))
            return figures


def _wait_for_kept(data: Path) -> None:
    """Waits until the sheets of all heats that have long been over are kept. Raises TimeoutError."""
    until, wanted = time.monotonic() + PATIENCE_S, (HEATS - AT_HAND) * LANES
    with closing(sqlite3.connect(f"file:{data / 'lane-ledger.sqlite3'}?mode=ro", uri=True)) as store:
        while store.execute("SELECT count(*) FROM kept_sheet").fetchone()[0] < wanted:
            if time.monotonic() > until:
                raise TimeoutError("The sheets were not kept.")
            time.sleep(1)


def _asked(server: Serving, desk: str, tell: Callable[[str], None]) -> Iterator[Figure]:
    for key, words, method, path, goal in (
        ("board", "… the board, the first time", "GET", "/board", PAGE),
        ("board_again", "… … and again", "GET", "/board", AGAIN),
        ("results", "… all results", "GET", "/results", PAGE),
        ("review", "… the head judge's page", "GET", "/review", PAGE),
        ("review_again", "… … and again", "GET", "/review", AGAIN),
        ("export", "… the competition file", "GET", "/desk/competition.json", EXPORT),
        ("backup", "… a backup, made and read back", "POST", "/desk/backups/now", BACKUP),
    ):
        took = _ask(server, desk, method, path)
        tell(f"million: {method} {path} took {took.clock_s:.1f} s, {took.cpu_s:.1f} of the processor")
        yield from took.figures(key, words, goal)


def _ask(server: Serving, desk: str, method: str, path: str) -> Took:
    connection = http.client.HTTPConnection("localhost", server.port, timeout=PATIENCE_S)
    begun, used = time.perf_counter(), _used(server)
    with closing(connection):
        connection.request(method, path, headers={"Cookie": f"ll_desk={desk}", "Origin": server.url})
        answer = connection.getresponse()
        answer.read()
    if answer.status not in (200, 303):
        raise RuntimeError(f"{method} {path} was answered {answer.status}.")
    took = time.perf_counter() - begun
    time.sleep(SETTLED_S)
    return Took(took, _used(server) - used)


def _used(server: Serving) -> float:
    """Processor seconds of the server, and of the processes that it began and that have ended."""
    fields = Path(f"/proc/{server.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return sum(map(int, fields[11:15])) / os.sysconf("SC_CLK_TCK")


def _roster() -> Roster:
    heats = range(1, HEATS + 1)
    own = {(heat, lane): (heat - 1) * LANES + lane for heat in heats for lane in range(1, LANES + 1)}
    return Roster(
        competition=Competition(id="cmp_million", name="Ten days", unit="lb"),
        divisions=(Division(id="div_1", name="Pairs"),),
        athletes=tuple(Athlete(id=f"ath_{n}{m}", name=f"Member {m} of pair {n}") for n in own.values() for m in "ab"),
        entries=tuple(
            Entry(id=f"ent_{n}", division="div_1", name=f"Pair {n}", members=(f"ath_{n}a", f"ath_{n}b")) for n in own.values()
        ),
        events=(Event(id="evt_1", name="Turns", format=turn_about(work_seconds=1200)),),
        heats=tuple(
            Heat(
                id=f"het_{heat}",
                event="evt_1",
                number=heat,
                lanes=tuple(
                    Assignment(id=f"asg_{heat}_{lane}", lane=lane, entry=f"ent_{own[heat, lane]}") for lane in range(1, LANES + 1)
                ),
            )
            for heat in heats
        ),
    )


def _filled(data: Path, now: ServerTime) -> str:
    """The store with everything judged; returns the desk's token."""
    server, wall = now.server_ms(), now.wall_ms()
    ago = [(HEATS - n) * 3_600_000 for n in range(HEATS)]
    runs = [
        Run(heat=f"het_{n}", number=1, go_server_ms=server - ms, go_wall_ms=wall - ms, boot=now.boot, state="closed")
        for n, ms in enumerate(ago, start=1)
    ]
    database = Database(Settings(data=data).database())
    try:
        _, desk = fill_hall(database, _roster(), tuple(runs), range(1, LANES + 1), now)
        marks = _marks(runs)
        while some := list(islice(marks, AT_ONCE)):
            database.write(lambda session, some=some: insert_new(session.connection(), [(mark, now.wall_ms()) for mark in some]))
        return desk
    finally:
        database.close()


def _marks(runs: list[Run]) -> Iterator[Mark]:
    """Lane by lane, each mark with its receipt, two seconds apart."""
    number = 0
    for heat, run in enumerate(runs, start=1):
        for lane in range(1, LANES + 1):
            outbox = Outbox(Seat(lane, f"asg_{heat}_{lane}/1/lane", f"tab-{heat}-{lane}", ""), 1, random.Random(number))
            for n in range(MARKS_OF_A_LANE):
                number += 1
                mark = outbox.add("rep", n * 1_900, run.go_wall_ms + n * 1_900)
                yield with_receipt(mark, Receipt(number, "lane", n * 1_900 + 200))
            outbox.marks.clear()
