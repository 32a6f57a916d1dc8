"""Marks acknowledged: tablets that send and wait for the answer, at four servers in one run, by the line that a tablet holds open
and by requests.

Every combination of tablets, batch and way is measured at each server in turn, several times, in another order each time, so that
whatever else the machine does hits all of them; the median of each counts. Ratios are what is promised. On a busy machine, where
commits wait for a disk that others use, look at the processor time for each mark instead. What was lifted for devices that send
faster than hands stands in rivals.py.
"""

import os
import statistics
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from app.live.servertime import this_machine
from app.rehearsal.machine import load_of
from app.rehearsal.serving import free_port
from app.rehearsal.tablet import Seat
from tests.bench.crowd import Load, Pace, measure
from tests.bench.figures import Figure, Goal
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import ANY_PACE, Serving, serving

KINDS = ("whole", "bare", "forgetful", "plain")
SAID = {"whole": "ours", "bare": "a bare route that only parses", "forgetful": "ours, storing nothing", "plain": "a plain build"}
WAYS = ("line", "request")
BY = {"line": "by line", "request": "by request"}
# Who is measured by which way. A plain build has no line: what ours does by it is compared with the plain build's requests.
MEASURED = tuple((kind, way) for kind in KINDS for way in WAYS if (kind, way) != ("plain", "line"))
TABLETS = (1, 10, 40, 200)
LANES = 40  # past so many tablets several are a lane's
BATCHES = (1, 10)
HALL = 40  # the hall that the promises are about: forty lanes
ROUNDS, SECONDS = 3, 1.0
MARKS_A_SECOND = 4  # of each lane, where lanes keep a pace
PACED_S = 5.0
# By line, every mark at once: of a bare line, of a plain build, and how much later than the bare one's the latest answers come.
OF_BARE, OF_PLAIN, OF_BARE_P99 = Goal("at least", 0.5), Goal("at least", 9), Goal("at most", 1.5)
IN_TENS = Goal("at least", 0.3)  # of a bare line, ten marks a frame
PACED = Goal("at most", 10)

Key = tuple[int, int]  # tablets, marks in a message
Measured = tuple[str, str]  # a server, a way
Halls = dict[str, tuple[Serving, list[Seat]]]


@dataclass
class Found:
    """What was measured of one server by one way: the loads, and processor time for each mark in µs where the system tells."""

    loads: list[Load] = field(default_factory=list)
    spent: list[float] = field(default_factory=list)

    def rate(self, batch: int) -> float:
        """Marks acknowledged a second."""
        return batch * statistics.median(load.per_second for load in self.loads)

    @property
    def p99_ms(self) -> float:
        """How late the latest answers are."""
        return statistics.median(load.p99_ms for load in self.loads)


def run(tell: Callable[[str], None], quick: bool = False) -> list[Figure]:
    """Measures all combinations (quick: those of the hall), then forty lanes at the pace of ropes."""
    found: dict[tuple[Key, Measured], Found] = {}
    keys = [(tablets, batch) for tablets in ((HALL,) if quick else TABLETS) for batch in BATCHES]
    with _halls() as halls:
        for turn, key, (kind, way) in _turns(keys):
            tablets, batch = key
            tell(f"ingest: round {turn + 1} of {ROUNDS}, {tablets} tablets, {batch} at once, {SAID[kind]} {BY[way]}")
            server, paired = halls[kind]
            epoch = 1 + (turn * len(keys) + keys.index(key)) * len(WAYS) + WAYS.index(way)
            before = load_of(server.pid)
            load = measure(server.port, paired[:tablets], epoch, SECONDS, Pace(batch, by_line=way == "line"))
            after = load_of(server.pid)
            one = found.setdefault((key, (kind, way)), Found())
            one.loads.append(load)
            if before and after and load.answered:
                one.spent.append((after.seconds - before.seconds) / (load.answered * batch) * 1e6)
        tell("ingest: forty lanes at the pace of ropes")
        server, paired = halls["whole"]
        paced = {
            way: measure(server.port, paired[:HALL], 998 + n, PACED_S, Pace(1, 1 / MARKS_A_SECOND, by_line=way == "line"))
            for n, way in enumerate(WAYS)
        }
    figures = [figure for key in keys for figure in _of_key(key, {one: found[key, one] for one in MEASURED})]
    return [*figures, *_paced(paced)]


def _paced(paced: Mapping[str, Load]) -> list[Figure]:
    return [
        figure
        for way, load in paced.items()
        for figure in (
            Figure(f"ingest.paced.{way}.p50", f"{HALL} lanes, {MARKS_A_SECOND} marks/s each {BY[way]}: p50", load.p50_ms, "ms"),
            Figure(f"ingest.paced.{way}.p99", "… p99", load.p99_ms, "ms", PACED),
            Figure(f"ingest.paced.{way}.bytes", "… bytes of a mark and its answer, above TCP", load.bytes_each, "B"),
        )
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


def _turns(keys: list[Key]) -> Iterator[tuple[int, Key, Measured]]:
    for turn in range(ROUNDS):
        for key in keys:
            first = turn * len(WAYS) % len(MEASURED)
            for one in MEASURED[first:] + MEASURED[:first]:
                yield turn, key, one


def _of_key(key: Key, found: Mapping[Measured, Found]) -> list[Figure]:
    return [figure for way in WAYS for figure in _of_way(key, way, found)]


def _of_way(key: Key, way: str, found: Mapping[Measured, Found]) -> list[Figure]:
    """What so many tablets came to by one way, beside what others did by it; a plain build by requests."""
    tablets, batch = key
    name, promised = f"ingest.c{tablets}.b{batch}.{way}", tablets == HALL and way == "line"
    ours, bare = found["whole", way], found["bare", way]
    rivals = {kind: found.get((kind, way), found[kind, "request"]) for kind in KINDS[1:]}
    goals = (OF_BARE if batch == 1 else IN_TENS, OF_PLAIN if batch == 1 else None, OF_BARE_P99 if batch == 1 else None)
    of_bare, of_plain, of_bare_p99 = goals if promised else (None, None, None)
    words = f"{tablets} tablet{'s' if tablets > 1 else ''}, {batch} at once {BY[way]}: marks acknowledged"
    rate = ours.rate(batch)
    return [
        Figure(f"{name}.whole.per_second", words, rate, "/s"),
        Figure(f"{name}.whole.p99", "… p99 of the answer", ours.p99_ms, "ms"),
        *(Figure(f"{name}.{kind}.per_second", f"… by {SAID[kind]}", one.rate(batch), "/s") for kind, one in rivals.items()),
        Figure(f"{name}.bare.p99", "… … p99 of the bare one", bare.p99_ms, "ms"),
        Figure(f"{name}.of_bare", "… ours, of the bare one", rate / bare.rate(batch), "", of_bare),
        Figure(f"{name}.of_nothing", "… ours, of storing nothing", rate / rivals["forgetful"].rate(batch)),
        Figure(f"{name}.times_plain", "… ours, times the plain build", rate / rivals["plain"].rate(batch), "", of_plain),
        Figure(f"{name}.p99_of_bare", "… p99 of ours, of the bare one's", ours.p99_ms / bare.p99_ms, "", of_bare_p99),
        *_spent(name, {"whole": ours, **rivals}),
    ]


def _spent(name: str, found: Mapping[str, Found]) -> list[Figure]:
    """Processor time of the servers for each mark, all threads; none where the system does not tell."""
    if not all(one.spent for one in found.values()):
        return []
    mine = {kind: statistics.median(one.spent) for kind, one in found.items()}
    ours = Figure(f"{name}.cpu.whole", "… processor time for each mark", mine.pop("whole"), "µs")
    return [ours, *(Figure(f"{name}.cpu.{kind}", f"… … by {SAID[kind]}", µs, "µs") for kind, µs in mine.items())]
