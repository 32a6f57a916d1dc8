"""Marks acknowledged: tablets that send and wait for the answer, at four servers in one run.

Every combination of tablets and batch is measured at each server in turn, several times, in another order each time, so that
whatever else the machine does hits all of them; the median of each counts. Ratios are what is promised. On a busy machine, where
commits wait for a disk that others use, look at the processor time for each mark instead.
"""

import os
import statistics
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from app.live.servertime import this_machine
from app.rehearsal.machine import load_of
from app.rehearsal.tablet import Seat
from tests.bench.crowd import Load, Pace, measure
from tests.bench.figures import Figure, Goal
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import ANY_PACE, Serving, free_port, serving

KINDS = ("whole", "bare", "forgetful", "plain")
SAID = {"whole": "ours", "bare": "a bare route that only parses", "forgetful": "ours, storing nothing", "plain": "a plain build"}
TABLETS = (1, 10, 40, 200)
LANES = 40  # past so many tablets several are a lane's
BATCHES = (1, 10)
HALL = (40, 1)  # the hall that the promises are about: forty lanes, every mark at once
ROUNDS, SECONDS = 3, 1.0
MARKS_A_SECOND = 4  # of each lane, where lanes keep a pace
PACED_S = 5.0
OF_BARE = Goal("at least", 0.7)
OF_PLAIN = Goal("at least", 10)
SATURATED = Goal("at most", 12)
PACED = Goal("at most", 10)

Key = tuple[int, int]  # tablets, marks in a request
Halls = dict[str, tuple[Serving, list[Seat]]]


def run(tell: Callable[[str], None], quick: bool = False) -> list[Figure]:
    """Measures all combinations (quick: those of the hall), then forty lanes at the pace of ropes."""
    loads: dict[tuple[Key, str], list[Load]] = {}
    spent: dict[tuple[Key, str], list[float]] = {}
    keys = [(tablets, batch) for tablets in ((HALL[0],) if quick else TABLETS) for batch in BATCHES]
    with _halls() as halls:
        for turn, key, kind in _turns(keys):
            tablets, batch = key
            tell(f"ingest: round {turn + 1} of {ROUNDS}, {tablets} tablets, {batch} a request, {SAID[kind]}")
            server, paired = halls[kind]
            epoch = 1 + turn * len(keys) + keys.index(key)
            before = load_of(server.pid)
            load = measure(server.port, paired[:tablets], epoch, SECONDS, Pace(batch))
            after = load_of(server.pid)
            loads.setdefault((key, kind), []).append(load)
            if before and after and load.answered:
                spent.setdefault((key, kind), []).append((after.seconds - before.seconds) / (load.answered * batch) * 1e6)
        tell("ingest: forty lanes at the pace of ropes")
        server, paired = halls["whole"]
        paced = measure(server.port, paired[: HALL[0]], 999, PACED_S, Pace(1, 1 / MARKS_A_SECOND))
    return [figure for key in keys for figure in _figures(key, loads) + _spent(key, spent)] + [
        Figure(
            "ingest.paced.p50", f"{HALL[0]} lanes, {MARKS_A_SECOND} marks a second each: p50 of the answer", paced.p50_ms, "ms"
        ),
        Figure("ingest.paced.p99", "… p99", paced.p99_ms, "ms", PACED),
    ]


@contextmanager
def _halls() -> Iterator[Halls]:
    """The four servers, each over a store of its own with a heat under way."""
    with ExitStack() as stack:
        halls: Halls = {}
        for kind in KINDS:
            data = Path(stack.enter_context(tempfile.TemporaryDirectory()))
            paired = heat_under_way(data, lanes_roster(LANES), this_machine(), tablets=max(TABLETS))
            port = free_port()
            command = [sys.executable, "-m", "tests.bench.rivals", kind, str(port), str(data)]
            halls[kind] = (stack.enter_context(serving(command, port, os.environ | ANY_PACE)), paired)
        yield halls


def _turns(keys: list[Key]) -> Iterator[tuple[int, Key, str]]:
    for turn in range(ROUNDS):
        for key in keys:
            first = turn % len(KINDS)
            for kind in KINDS[first:] + KINDS[:first]:
                yield turn, key, kind


def _figures(key: Key, loads: dict[tuple[Key, str], list[Load]]) -> list[Figure]:
    tablets, batch = key
    name, promised = f"ingest.c{tablets}.b{batch}", key == HALL
    of_bare, of_plain = (OF_BARE, OF_PLAIN) if promised else (None, None)
    rate = {kind: batch * statistics.median(load.per_second for load in loads[key, kind]) for kind in KINDS}
    late = {kind: statistics.median(load.p99_ms for load in loads[key, kind]) for kind in KINDS}
    words = f"{tablets} tablet{'s' if tablets > 1 else ''}, {batch} a request: marks acknowledged"
    figures = [
        Figure(f"{name}.whole.per_second", words, rate["whole"], "/s"),
        Figure(f"{name}.whole.p99", "… p99 of the answer", late["whole"], "ms", SATURATED if promised else None),
    ]
    for kind in KINDS[1:]:
        figures.append(Figure(f"{name}.{kind}.per_second", f"… by {SAID[kind]}", rate[kind], "/s"))
        if promised:
            figures.append(Figure(f"{name}.{kind}.p99", "… … p99", late[kind], "ms"))
    return [
        *figures,
        Figure(f"{name}.of_bare", "… ours, of the bare route", rate["whole"] / rate["bare"], "", of_bare),
        Figure(f"{name}.of_nothing", "… ours, of storing nothing", rate["whole"] / rate["forgetful"]),
        Figure(
            f"{name}.times_plain",
            "… ours, times the plain build",
            rate["whole"] / rate["plain"],
            "",
            of_plain,
        ),
    ]


def _spent(key: Key, spent: dict[tuple[Key, str], list[float]]) -> list[Figure]:
    """Processor time of the servers for each mark, all threads; none where the system does not tell."""
    if any((key, kind) not in spent for kind in KINDS):
        return []
    tablets, batch = key
    mine = {kind: statistics.median(spent[key, kind]) for kind in KINDS}
    name = f"ingest.c{tablets}.b{batch}.cpu"
    return [
        Figure(f"{name}.whole", "… processor time for each mark", mine["whole"], "µs"),
        *(Figure(f"{name}.{kind}", f"… … by {SAID[kind]}", mine[kind], "µs") for kind in KINDS[1:]),
    ]
