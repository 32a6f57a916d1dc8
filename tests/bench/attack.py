"""A lane's acknowledgement while others mean no good: slow senders, idle connections, and floods of the dearest requests.

The attackers run on this very machine, at a low priority, for in a hall their work is done by computers of their own.
"""

import asyncio
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from app.live.servertime import this_machine
from app.paths import CHECKOUT
from tests.bench.crowd import a_mark, a_request
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import Tablet, heat_under_way, lanes_roster
from tests.bench.servers import Serving, served

LANES = 20
EVERY_S = 0.25
SECONDS = 12.0
SETTLE_S = 2.0
SLOW, IDLE = 300, 500
TIMES_QUIET = Goal("at most", 3)
ATTACKS = (
    ("slow", f"{SLOW} slow and {IDLE} idle connections", (SLOW, IDLE, 0)),
    ("flood", "the same, and one who floods", (SLOW, IDLE, 1)),
    ("floods", "the same, and ten who flood", (SLOW, IDLE, 10)),
)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures quiet, then under each attack, then quiet again, in one hall; the quieter of the quiet ones is the measure."""
    with tempfile.TemporaryDirectory() as folder:
        tablets = heat_under_way(Path(folder), lanes_roster(LANES, 1200), this_machine(), since_go_s=30)
        with served(Path(folder)) as server:
            tell("attack: quiet")
            quiet = [_acknowledged(server, tablets, 1)]
            attacked = []
            for number, (_, words, size) in enumerate(ATTACKS):
                tell(f"attack: {words}")
                with _attacked(server, size) as told:
                    attacked.append(_acknowledged(server, tablets, number + 2))
                tell(f"attack: the attackers were answered {told}")
            quiet.append(_acknowledged(server, tablets, 9))
    least = min(percentile(times, 99) for times in quiet)
    figures = [Figure("attack.quiet.p99", f"a mark acknowledged, {LANES} lanes at 4/s, quiet, p99", least, "ms")]
    for (name, words, _), times in zip(ATTACKS, attacked, strict=True):
        p99 = percentile(times, 99)
        figures.append(Figure(f"attack.{name}.p99", f"… under {words}, p99", p99, "ms"))
        figures.append(Figure(f"attack.{name}.of_quiet", "… of the quiet one", p99 / least, "", TIMES_QUIET))
    return figures


@contextmanager
def _attacked(server: Serving, size: tuple[int, int, int]) -> Iterator[dict[str, Any]]:
    """Under attack, for as long as this is entered; filled with what the attackers were told once it is over."""
    numbers = [str(number) for number in (server.port, *size)]
    command = [sys.executable, "-m", "tests.bench.attackers", *numbers]
    attackers = subprocess.Popen(
        command, cwd=CHECKOUT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, preexec_fn=lambda: os.nice(10) and None
    )
    told: dict[str, Any] = {}
    try:
        time.sleep(SETTLE_S)
        yield told
        said, _ = attackers.communicate(timeout=30)
        told.update(json.loads(said))
    finally:
        attackers.kill()
        attackers.wait()


def _acknowledged(server: Serving, tablets: Sequence[Tablet], epoch: int) -> list[float]:
    """The times of all lanes' acknowledgements, in milliseconds: each lane taps at its own steady pace, answered or not."""
    return asyncio.run(_judged(server, tablets, epoch))


async def _judged(server: Serving, tablets: Sequence[Tablet], epoch: int) -> list[float]:
    times: list[float] = []
    await asyncio.gather(*(_lane(server.port, tablet, epoch, times) for tablet in tablets))
    return times


async def _lane(port: int, tablet: Tablet, epoch: int, times: list[float]) -> None:
    chance = random.Random(f"{tablet.lane}/{epoch}")
    reader, writer = await asyncio.open_connection("127.0.0.1", port, local_addr=(f"127.5.0.{tablet.lane}", 0))
    due = time.perf_counter() + chance.uniform(0, EVERY_S)
    end = due + SECONDS
    seq = 0
    while due < end:
        await asyncio.sleep(due - time.perf_counter())
        seq += 1
        writer.write(a_request(tablet, port, f'{{"marks":[{a_mark(tablet, epoch, seq, chance)}]}}'))
        head = await reader.readuntil(b"\r\n\r\n")
        body = await reader.readexactly(int(head.lower().split(b"content-length: ")[1].split(b"\r")[0]))
        times.append((time.perf_counter() - due) * 1000)
        if not head.startswith(b"HTTP/1.1 200") or b'"refused":[]' not in body:
            raise RuntimeError(f"A mark was not acknowledged: {body[:300].decode(errors='replace')}")
        due += EVERY_S
    writer.close()
