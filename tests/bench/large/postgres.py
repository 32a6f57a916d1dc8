"""One competition on a PostgreSQL server, served by 1, 2 and 4 processes, beside SQLite and one process, in one run.

Judges send as fast as they are answered, one mark a request and ten; then at the pace of ropes, with boards that follow. The
database server, the processes and the load all share this machine: what is seen is what sharing costs here, and how much of it is
won back where there are cores for it.
"""

import asyncio
import os
import statistics
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from app.live.servertime import this_machine
from app.rehearsal.tablet import Seat
from app.rules.records.roster import Roster
from tests.bench import busy
from tests.bench.crowd import Load, Pace, measure
from tests.bench.figures import Figure, percentile
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import ANY_PACE, Serving, served
from tests.postgres import MISSING, find_programs, make_cluster

TABLETS = 40
ROUNDS, SECONDS = 3, 2.0
BATCHES = (1, 10)
PROCESSES = (1, 2, 4)
BOARDS = 100


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
        return [
            figure
            for house in houses
            for measured in (_ingest, _boards)
            for figure in measured(house, cluster.new_store if house.surroundings else str, tell)
        ]
    finally:
        cluster.stop()


def _ingest(house: House, new_store: Callable[[], str], tell: Callable[[str], None]) -> list[Figure]:
    loads: dict[int, list[Load]] = {batch: [] for batch in BATCHES}
    with ExitStack() as stack:
        server, tablets = _open(house, new_store(), stack, lanes_roster(TABLETS))
        for number in range(ROUNDS):
            for batch in BATCHES:
                tell(f"postgres: {house.words}, round {number + 1} of {ROUNDS}, {batch} in a request")
                loads[batch].append(
                    measure(server.port, tablets, 1 + number * len(BATCHES) + BATCHES.index(batch), SECONDS, Pace(batch))
                )
    return [figure for batch in BATCHES for figure in _figures(house, batch, loads[batch])]


def _boards(house: House, new_store: Callable[[], str], tell: Callable[[str], None]) -> list[Figure]:
    """At the pace of ropes, with boards that follow: from a tap to its answer and to a board, whichever process shows it."""
    tell(f"postgres: {house.words}, {busy.LANES} lanes at {busy.MARKS_A_SECOND} marks a second, {BOARDS} boards")
    with ExitStack() as stack:
        stack.enter_context(busy.places_for(BOARDS))
        server, tablets = _open(house, new_store(), stack, lanes_roster(busy.LANES, busy.HEAT_S), 60)
        stack.enter_context(busy.followed(server.port, BOARDS))
        answers, seen, _ = asyncio.run(busy.judged(server, tablets))
        acks, shown = [ms for _, ms in answers], [ms for _, ms in seen]
    key = f"postgres.{house.name}.b{BOARDS}"
    return [
        Figure(
            f"{key}.per_second", f"{house.words}: marks taken in a busy hall, {BOARDS} boards", len(acks) / busy.SECONDS, "/s"
        ),
        Figure(f"{key}.ack.p50", "… tap to answer, p50", percentile(acks, 50), "ms"),
        Figure(f"{key}.ack.p99", "… … p99", percentile(acks, 99), "ms"),
        Figure(f"{key}.board.p50", "… tap to board, p50", percentile(shown, 50), "ms"),
        Figure(f"{key}.board.p99", "… … p99", percentile(shown, 99), "ms"),
    ]


def _figures(house: House, batch: int, loads: Sequence[Load]) -> list[Figure]:
    key = f"postgres.{house.name}.{batch}"
    rate = statistics.median(load.per_second for load in loads)
    said = f"{house.words}: requests, {batch} {'mark' if batch == 1 else 'marks'} each, {TABLETS} tablets"
    found = [Figure(f"{key}.per_second", said, rate, "/s")]
    if batch > 1:
        found.append(Figure(f"{key}.marks", "… marks", rate * batch, "/s"))
    return [*found, Figure(f"{key}.p99", "… p99 of the answer", statistics.median(load.p99_ms for load in loads), "ms")]


def _open(house: House, url: str, stack: ExitStack, roster: Roster, since_go_s: float = 0) -> tuple[Serving, list[Seat]]:
    """A hall of the house's kind, with a heat under way; its server and its tablets."""
    data = Path(stack.enter_context(tempfile.TemporaryDirectory()))
    stack.enter_context(surroundings(url, house.surroundings.get("processes", "1")))
    tablets = heat_under_way(data, roster, this_machine(), since_go_s)
    return stack.enter_context(served(data)), tablets


@contextmanager
def surroundings(url: str, processes: str) -> Iterator[None]:
    """What a person would set before the server is started."""
    wanted = {"DATABASE_URL": url, "LANE_LEDGER_PROCESSES": processes, **ANY_PACE}
    before = {name: os.environ.get(name) for name in wanted}
    os.environ.update(wanted)
    try:
        yield
    finally:
        for name, value in before.items():
            os.environ.pop(name, None)
            if value is not None:
                os.environ[name] = value
