"""What 1, 2 and 4 processes on PostgreSQL gain, told by processor time: of the server's processes, of the busiest of them, and of
the database's.

The load (tablets, boards) shares this machine, and others may too: by the clock nothing could be told of a hall whose load is
elsewhere. Processor time is the server's alone, wherever the load runs. A process is full when it takes a whole core, and the
hall when server and database together take all there are; so each house is told how much more it could do before either.
"""

import asyncio
import tempfile
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from app.live.servertime import this_machine
from app.rehearsal.machine import load_of
from tests.bench import busy
from tests.bench.figures import Figure
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.large.postgres import House, surroundings
from tests.bench.servers import served
from tests.postgres import MISSING, find_programs, make_cluster

CORES = 2
PROCESSES = (1, 2, 4)


@dataclass(frozen=True, slots=True)
class Work:
    """What a hall does meanwhile: boards that follow, lanes that mark."""

    name: str
    words: str
    boards: int
    lanes: int


WORKS = (
    Work("boards", "300 boards and one lane", 300, 1),
    Work("marks", "40 lanes at 4 marks a second, no board", 0, 40),
)


@dataclass(frozen=True, slots=True)
class Used:
    """Seconds of the processor: of all processes of the server, of the busiest, of the database's."""

    server: float
    busiest: float
    database: float

    @property
    def full(self) -> float:
        """By how much the work could grow, of what it is with so many seconds: until one process, or all cores, are full."""
        return 1 / max(self.busiest, (self.server + self.database) / CORES)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """One house after the other at each work; nothing where PostgreSQL is not installed."""
    programs = find_programs()
    if programs is None:
        tell(f"processes: left out. {MISSING}")
        return []
    cluster = make_cluster(programs, fsync=True)
    try:
        shared = [House(f"p{n}", f"PostgreSQL, {n}", {"processes": str(n)}) for n in PROCESSES]
        pid = int((cluster.folder / "data" / "postmaster.pid").read_text(encoding="ascii").split()[0])
        return [
            figure
            for work in WORKS
            for figure in _compared(
                work,
                [
                    (house, _measured(house, cluster.new_store() if house.surroundings else "", work, pid, tell))
                    for house in (House("sqlite", "SQLite, 1", {}), *shared)
                ],
            )
        ]
    finally:
        cluster.stop()


def _measured(house: House, url: str, work: Work, database: int, tell: Callable[[str], None]) -> Used:
    tell(f"processes: {house.words}: {work.words}")
    with ExitStack() as stack:
        data = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        stack.enter_context(busy.places_for(work.boards))
        stack.enter_context(surroundings(url, house.surroundings.get("processes", "1")))
        seats = heat_under_way(data, lanes_roster(busy.LANES, busy.HEAT_S), this_machine(), 60)
        server = stack.enter_context(served(data))
        stack.enter_context(busy.followed(server.port, work.boards))
        begun = _seconds(server.pid), _seconds(database)
        asyncio.run(busy.judged(server, seats[: work.lanes], min(work.boards, 1)))
        ended = _seconds(server.pid), _seconds(database)
    took = [{pid: after[pid] - before.get(pid, 0) for pid in after} for before, after in zip(begun, ended, strict=True)]
    lasted = busy.WARM_S + busy.SECONDS
    return Used(sum(took[0].values()) / lasted, max(took[0].values()) / lasted, sum(took[1].values()) / lasted)


def _seconds(root: int) -> dict[int, float]:
    """Of a process and all that it began, processor seconds by id; the workers of a database come and go with their lines."""
    parents = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text(encoding="ascii").rpartition(")")[2].split()
        except OSError:
            continue
        parents[int(stat.parent.name)] = int(fields[1])
    family, new = {root}, {root}
    while new := {pid for pid, parent in parents.items() if parent in new} - family:
        family |= new
    return {pid: load.seconds for pid in family if (load := load_of(pid)) is not None}


def _compared(work: Work, houses: Sequence[tuple[House, Used]]) -> list[Figure]:
    first = houses[0][1]
    found = []
    for house, used in houses:
        key = f"processes.{work.name}.{house.name}"
        found += [
            Figure(f"{key}.server", f"{house.words}, {work.words}: the server, of one core", used.server),
            Figure(f"{key}.busiest", "… its busiest process", used.busiest),
            Figure(f"{key}.database", "… the database", used.database),
            Figure(f"{key}.full", f"… could grow on {CORES} cores, of what SQLite could", used.full / first.full),
        ]
    return found
