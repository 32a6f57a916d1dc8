"""Two hundred phones that open the board and the results within ten seconds of a running heat, and a lane's answer meanwhile.

Quiet and with phones in turns, in one run. The phones are a process of their own, `python -m tests.bench.spectators.phones PORT`,
each with an address of its own, as in a hall; it prints as JSON how long each page took, in milliseconds, by its address.
"""

import asyncio
import json
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from app.live.servertime import this_machine
from app.paths import CHECKOUT
from app.rehearsal.tablet import Seat
from tests.bench.attack import cpu_s
from tests.bench.crowd import Load, Pace, measure
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import Serving, get, served

LANES, PHONES = 40, 200
BEFORE, BATCH = 300, 10  # marks of each lane; in a request
EVERY_S, STEP_MS = 0.25, 250
SPAN_S = 10.0
ROUNDS = 3
PAGES = ("/board", "/results")
TIMES_QUIET, PROCESSOR = Goal("at most", 2), Goal("at most", 10)


@dataclass(frozen=True, slots=True)
class Measured:
    """A lane's answers, the processor time that the server had meanwhile, in seconds, and how long pages took, by address."""

    answers: Load
    cpu_s: float
    pages_ms: dict[str, list[float]]


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures quiet and with phones in turns; the median counts."""
    quiet, crowded = list[Measured](), list[Measured]()
    with tempfile.TemporaryDirectory() as folder:
        seats = heat_under_way(Path(folder), lanes_roster(LANES, 1200), this_machine(), since_go_s=600)
        with served(Path(folder)) as server:
            measure(server.port, seats, 1, BEFORE / BATCH * EVERY_S, Pace(BATCH, EVERY_S, 1, STEP_MS))
            for path in PAGES:
                get(server.port, path)  # its modules are loaded when it is first asked for, which no phone should be blamed for
            for number in range(ROUNDS):
                tell(f"phones: round {number + 1} of {ROUNDS}")
                quiet.append(_measured(server, seats, 2 + 2 * number, phones=False))
                crowded.append(_measured(server, seats, 3 + 2 * number, phones=True))
    return _figures(quiet, crowded)


def _figures(quiet: Sequence[Measured], crowded: Sequence[Measured]) -> list[Figure]:
    before, beside = (statistics.median(one.answers.p99_ms for one in found) for found in (quiet, crowded))
    more_s = statistics.median(one.cpu_s for one in crowded) - statistics.median(one.cpu_s for one in quiet)
    pages = {path: [ms for one in crowded for ms in one.pages_ms[path]] for path in PAGES}
    return [
        Figure("phones.quiet.p99", f"a mark acknowledged, {LANES} lanes at 4/s, nobody looks, p99", before, "ms"),
        Figure("phones.p99", f"… while {PHONES} phones open board and results within {SPAN_S:.0f} s, p99", beside, "ms"),
        Figure("phones.of_quiet", "… of the quiet one", beside / before, "", TIMES_QUIET),
        Figure("phones.processor", "… a page, of the processor", more_s * 1000 / PHONES / len(PAGES), "ms", PROCESSOR),
        *(Figure(f"phones{path}.p50", f"… {path} there, p50", percentile(pages[path], 50), "ms") for path in PAGES),
        *(Figure(f"phones{path}.p99", f"… {path} there, p99", percentile(pages[path], 99), "ms") for path in PAGES),
    ]


def _measured(server: Serving, seats: Sequence[Seat], epoch: int, *, phones: bool) -> Measured:
    command = [sys.executable, "-m", "tests.bench.spectators.phones", str(server.port)]
    looking = subprocess.Popen(command, cwd=CHECKOUT, stdout=subprocess.PIPE) if phones else None
    if looking is not None and looking.stdout is not None:
        looking.stdout.readline()  # it is ready
    before = cpu_s(server.pid)
    from_ms = round(BEFORE * STEP_MS + epoch * (SPAN_S + 5) * 1000)
    answers = measure(server.port, seats, epoch, SPAN_S, Pace(1, EVERY_S, from_ms, STEP_MS))
    used_s = cpu_s(server.pid) - before
    said, _ = looking.communicate(timeout=60) if looking is not None else (b"{}", b"")
    return Measured(answers, used_s, json.loads(said))


async def look(port: int) -> dict[str, list[float]]:
    """All phones: how long each page took them, by its address."""
    took: dict[str, list[float]] = defaultdict(list)
    chance = random.Random(PHONES)
    await asyncio.gather(*(_phone(port, number, chance.uniform(0, SPAN_S), took) for number in range(PHONES)))
    return took


async def _phone(port: int, number: int, after_s: float, took: dict[str, list[float]]) -> None:
    await asyncio.sleep(after_s)
    source = (f"127.6.0.{number + 1}", 0)
    reader, writer = await asyncio.open_connection("127.0.0.1", port, local_addr=source, family=socket.AF_INET)
    for path in PAGES:
        begun = time.perf_counter()
        writer.write(
            f"GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\nAccept: text/html\r\nAccept-Encoding: gzip\r\n\r\n".encode()
        )
        head = await reader.readuntil(b"\r\n\r\n")
        if not head.startswith(b"HTTP/1.1 200"):
            raise RuntimeError(f"{path} was not shown: {head.decode()}")
        await reader.readexactly(int(head.lower().split(b"content-length: ")[1].split(b"\r")[0]))
        took[path].append((time.perf_counter() - begun) * 1000)
    writer.close()


if __name__ == "__main__":
    print(flush=True)
    print(json.dumps(asyncio.run(look(int(sys.argv[1])))))
