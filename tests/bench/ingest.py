"""Marks acknowledged: tablets that each send one mark a request and wait for the answer, against three servers in one run."""

import statistics
import sys
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

from app.live.servertime import this_machine
from tests.bench.crowd import Load, measure
from tests.bench.figures import Figure, Goal
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import free_port, serving

TABLETS = 40
ROUNDS = 5
SECONDS = 2.0
KINDS = ("whole", "forgetful", "plain")
OF_NOTHING = Goal("at least", 0.6)
OF_PLAIN = Goal("at least", 4)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures the three servers in turns, each over a store of its own; the median of each counts."""
    loads: dict[str, list[Load]] = {kind: [] for kind in KINDS}
    with ExitStack() as stack:
        halls = {}
        for kind in KINDS:
            data = Path(stack.enter_context(tempfile.TemporaryDirectory()))
            tablets = heat_under_way(data, lanes_roster(TABLETS), this_machine())
            port = free_port()
            stack.enter_context(serving([sys.executable, "-m", "tests.bench.rivals", kind, str(port), str(data)], port))
            halls[kind] = (port, tablets)
        for number in range(ROUNDS):
            for kind in KINDS[number % 3 :] + KINDS[: number % 3]:
                tell(f"ingest: round {number + 1} of {ROUNDS}, {kind}")
                loads[kind].append(measure(*halls[kind], epoch=number + 1, seconds=SECONDS))
    return _figures(loads)


def _figures(loads: dict[str, list[Load]]) -> list[Figure]:
    rate = {kind: statistics.median(load.per_second for load in rounds) for kind, rounds in loads.items()}
    p99 = {kind: statistics.median(load.p99_ms for load in rounds) for kind, rounds in loads.items()}
    said = {"whole": f"marks acknowledged, {TABLETS} tablets, one a request", "forgetful": "the same, storing nothing"}
    said["plain"] = "a plain route, an ORM session for each request"
    each = [
        figure
        for kind in KINDS
        for figure in (
            Figure(f"ingest.{kind}.per_second", said[kind], rate[kind], "/s"),
            Figure(f"ingest.{kind}.p99", "… p99 of the answer", p99[kind], "ms"),
        )
    ]
    return [
        *each,
        Figure(
            "ingest.of_storing_nothing",
            "marks acknowledged, of storing nothing",
            rate["whole"] / rate["forgetful"],
            "",
            OF_NOTHING,
        ),
        Figure("ingest.times_plain", "marks acknowledged, times the plain route", rate["whole"] / rate["plain"], "", OF_PLAIN),
    ]
