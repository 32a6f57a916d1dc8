"""One competition on a PostgreSQL server, served by 1, 2 and 4 processes, beside SQLite and one process, in one run.

Judges send as fast as they are answered, one mark a request and ten; then at the pace of ropes, with boards that follow. The
database server, the processes and the load all share this machine: what is seen is what sharing costs here, and how much of it is
won back where there are cores for it.
"""

import os
import statistics
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from app.live.servertime import this_machine
from tests.bench.crowd import Load, Pace, measure
from tests.bench.figures import Figure
from tests.bench.hall import Tablet, heat_under_way, lanes_roster
from tests.bench.servers import served
from tests.postgres import MISSING, find_programs, make_cluster

TABLETS = 40
ROUNDS, SECONDS = 3, 2.0
BATCHES = (1, 10)
PROCESSES = (1, 2, 4)


@dataclass(frozen=True, slots=True)
class House:
    """One way to serve a competition: its name, and what the surroundings say of it."""

    name: str
    words: str
    surroundings: dict[str, str]


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures one house after another; the median of its rounds counts. Nothing where PostgreSQL is not installed."""
    programs = find_programs()
    if programs is None:
        tell(f"postgres: left out. {MISSING}")
        return []
    cluster = make_cluster(programs, fsync=True)
    try:
        on_server = [
            House(f"p{n}", f"PostgreSQL, {n} {'process' if n == 1 else 'processes'}", {"processes": str(n)}) for n in PROCESSES
        ]
        houses = [House("sqlite", "SQLite, 1 process", {}), *on_server]
        return [figure for house in houses for figure in _ingest(house, cluster.new_store if house.surroundings else str, tell)]
    finally:
        cluster.stop()


def _ingest(house: House, new_store: Callable[[], str], tell: Callable[[str], None]) -> list[Figure]:
    loads: dict[int, list[Load]] = {batch: [] for batch in BATCHES}
    with ExitStack() as stack:
        port, tablets = _open(house, new_store(), stack)
        for number in range(ROUNDS):
            for batch in BATCHES:
                tell(f"postgres: {house.words}, round {number + 1} of {ROUNDS}, {batch} in a request")
                loads[batch].append(
                    measure(port, tablets, 1 + number * len(BATCHES) + BATCHES.index(batch), SECONDS, Pace(batch))
                )
    return [figure for batch in BATCHES for figure in _figures(house, batch, loads[batch])]


def _figures(house: House, batch: int, loads: Sequence[Load]) -> list[Figure]:
    key = f"postgres.{house.name}.{batch}"
    rate = statistics.median(load.per_second for load in loads)
    said = f"{house.words}: requests, {batch} {'mark' if batch == 1 else 'marks'} each, {TABLETS} tablets"
    found = [Figure(f"{key}.per_second", said, rate, "/s")]
    if batch > 1:
        found.append(Figure(f"{key}.marks", "… marks", rate * batch, "/s"))
    return [*found, Figure(f"{key}.p99", "… p99 of the answer", statistics.median(load.p99_ms for load in loads), "ms")]


def _open(house: House, url: str, stack: ExitStack) -> tuple[int, list[Tablet]]:
    """A hall of the house's kind, with a heat under way; its port and its tablets."""
    data = Path(stack.enter_context(tempfile.TemporaryDirectory()))
    stack.enter_context(_surroundings(url, house.surroundings.get("processes", "1")))
    tablets = heat_under_way(data, lanes_roster(TABLETS), this_machine())
    return stack.enter_context(served(data)).port, tablets


@contextmanager
def _surroundings(url: str, processes: str) -> Iterator[None]:
    """What a person would set before the server is started."""
    wanted = {"DATABASE_URL": url, "LANE_LEDGER_PROCESSES": processes}
    before = {name: os.environ.get(name) for name in wanted}
    os.environ.update(wanted)
    try:
        yield
    finally:
        for name, value in before.items():
            os.environ.pop(name, None)
            if value is not None:
                os.environ[name] = value
