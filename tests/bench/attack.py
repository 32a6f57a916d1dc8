"""A lane's acknowledgement while others mean no good: slow senders, idle connections, floods of the dearest requests, and devices
that send without end.

Quiet is the hall that nobody disturbs, a board neither; what one board costs is a figure of its own, and hangs on the wall under
each attack, as in any hall. The attackers run on this very machine, at a low priority, for in a hall their work is done by
computers of their own.
"""

import asyncio
import json
import os
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, astuple, dataclass, replace
from http.client import HTTPException
from pathlib import Path
from typing import Any
from urllib.request import urlopen

from app.live.servertime import this_machine
from app.paths import CHECKOUT
from app.rehearsal.tablet import Seat
from app.rules.records.marks import MOST_MARKS
from tests.bench.attackers import LARGE, LINES, Plan
from tests.bench.crowd import Hand
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import heat_under_way, lanes_roster, phone_and_halls
from tests.bench.servers import Serving, get
from tests.bench.stalls import Stall, Stalls, watched
from tests.bench.stalls import told as in_words

LANES = 20
EVERY_S = 0.25
ROUNDS = 5
SECONDS = 3.0
SETTLE_S = 2.0
SINCE_GO_S = 30.0
AGO_MS = 500  # a tap is dated so much earlier than it is sent, so that the server never takes it for one of the future
SLOW, IDLE = 300, 500
BAD = LANES + 1  # the lane whose tablet, and whose lifter's phone, send without end
HALLS = 6  # other halls whose files are there
TIMES_QUIET = Goal("at most", 3)
ATTACKS = (
    ("board", "one board and nobody else", Plan()),
    ("slow", f"{SLOW} slow and {IDLE} idle connections", Plan(SLOW, IDLE)),
    ("flood", "the same, and one who floods", Plan(SLOW, IDLE, 1)),
    ("floods", "the same, and ten who flood", Plan(SLOW, IDLE, 10)),
    ("bodies", f"{LARGE // 1000} kB sent to /pair without end", Plan(floods=1, what="body")),
    ("halls", "one who asks for the standing of all halls", Plan(floods=1, what="halls")),
    ("boards", "the boards of 38 addresses", Plan(boards=38)),
    ("marks", f"a paired tablet that sends {MOST_MARKS} marks a request", Plan(sends="marks")),
    ("frames", f"the same on {LINES} lines of its own", Plan(sends="marks", by_line=True)),
    ("strikes", f"a paired tablet that sends {MOST_MARKS} strikes a request", Plan(sends="strikes")),
    ("plans", "a lifter's phone that sends plans", Plan(sends="plans")),
)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures quiet and under each attack in turns, in one hall; the median of each counts, for a machine has its moods."""
    rounds: dict[str, list[Measured]] = {"quiet": [], **{name: [] for name, _, _ in ATTACKS}}
    with tempfile.TemporaryDirectory() as folder:
        seats = heat_under_way(Path(folder), lanes_roster(BAD, 1200), this_machine(), since_go_s=SINCE_GO_S)
        phone = phone_and_halls(Path(folder), BAD, HALLS, this_machine())
        bad = {"marks": seats[-1], "strikes": seats[-1], "plans": phone}
        begun = time.perf_counter() - SINCE_GO_S
        with watched(Path(folder)) as (server, stalls):
            get(server.port, "/pair")  # its page is loaded when it is first asked for, which no attack should be blamed for
            get(server.port, "/halls")
            for number in range(ROUNDS):
                tell(f"attack: round {number + 1} of {ROUNDS}")
                epoch = 1 + number * (len(ATTACKS) + 1)
                hall = Judging(server, stalls, seats[:LANES], begun)
                rounds["quiet"].append(_measured(hall, epoch))
                for turn, (name, words, plan) in enumerate(ATTACKS, 1):
                    plan = replace(plan, device=astuple(bad[plan.sends]) if plan.sends else None)
                    with _a_board(server), _attacked(server, plan) as told:
                        one = _measured(hall, epoch + turn)
                    rounds[name].append(replace(one, answered=sum(told["answers"].values()) / (SETTLE_S + SECONDS)))
                    tell(f"attack: {words}: {one.p99_ms:.0f} ms, {in_words(one.stalls)}; they were answered {told}")
    return _figures(rounds)


@contextmanager
def _a_board(server: Serving) -> Iterator[None]:
    """A board that hangs on the wall."""
    board = urlopen(f"http://127.0.0.1:{server.port}/board/stream")
    threading.Thread(target=_followed, args=(board,), daemon=True).start()
    try:
        yield
    finally:
        board.fp.raw._sock.shutdown(socket.SHUT_RDWR)  # whoever reads it is woken; a close would wait for them


def _followed(board: Any) -> None:
    with suppress(OSError, ValueError, HTTPException):
        while board.read1(65536):
            pass


def _figures(rounds: dict[str, list["Measured"]]) -> list[Figure]:
    p99 = {name: statistics.median(one.p99_ms for one in measured) for name, measured in rounds.items()}
    cpu = {name: statistics.median(one.cpu for one in measured) for name, measured in rounds.items()}
    figures = [
        Figure("attack.quiet.p99", f"a mark acknowledged, {LANES} lanes at 4/s, undisturbed, p99", p99["quiet"], "ms"),
        Figure("attack.quiet.cpu", "… of one core", cpu["quiet"], "%"),
    ]
    for name, words, plan in ATTACKS:
        figures += [
            Figure(f"attack.{name}.p99", f"… under {words}, p99", p99[name], "ms"),
            Figure(f"attack.{name}.of_quiet", "… of the quiet one", p99[name] / p99["quiet"], "", TIMES_QUIET),
            Figure(f"attack.{name}.cpu", "… of one core", cpu[name], "%"),
            Figure(f"attack.{name}.stall", "… the longest stall of the loop", max(map(_longest_ms, rounds[name])), "ms"),
        ]
        if plan.floods or plan.sends:
            answered = statistics.median(one.answered for one in rounds[name])
            figures.append(Figure(f"attack.{name}.answered", "… answered or refused of the flood", answered, "/s"))
    return figures


@dataclass(frozen=True, slots=True)
class Measured:
    """The p99 of an acknowledgement, what the server took of one core meanwhile, in percent, the stalls of its loop, and what it
    answered a flood, a second: on a machine that has no time for the attackers there is no attack."""

    p99_ms: float
    cpu: float
    stalls: Sequence[Stall] = ()
    answered: float = 0.0


@dataclass(frozen=True, slots=True)
class Judging:
    """Who judges in which hall; its GO was at `go`, in seconds of this process's clock."""

    server: Serving
    stalls: Stalls
    tablets: Sequence[Seat]
    go: float


def _longest_ms(one: Measured) -> float:
    return max((stall.cpu_ms for stall in one.stalls), default=0.0)


def _measured(hall: Judging, epoch: int) -> Measured:
    before, begun_s = cpu_s(hall.server.pid), time.time()
    times = asyncio.run(_judged(hall, epoch))
    stalls = hall.stalls.between(begun_s, time.time())
    return Measured(percentile(times, 99), (cpu_s(hall.server.pid) - before) / SECONDS * 100, stalls)


def cpu_s(pid: int) -> float:
    """The processor time that a process has had (Linux; 0 elsewhere)."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _step_back() -> None:
    if hasattr(os, "setpriority"):
        os.setpriority(os.PRIO_PROCESS, 0, 10)


@contextmanager
def _attacked(server: Serving, plan: Plan) -> Iterator[dict[str, Any]]:
    """Under attack, for as long as this is entered; filled with what the attackers were told once it is over."""
    command = [sys.executable, "-m", "tests.bench.attackers", str(server.port), json.dumps(asdict(plan))]
    attackers = subprocess.Popen(command, cwd=CHECKOUT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, preexec_fn=_step_back)
    told: dict[str, Any] = {}
    try:
        time.sleep(SETTLE_S)
        yield told
        said, _ = attackers.communicate(timeout=30)
        told.update(json.loads(said))
    finally:
        attackers.kill()
        attackers.wait()


async def _judged(hall: Judging, epoch: int) -> list[float]:
    """The times of all lanes' acknowledgements, in milliseconds: each lane taps at its own steady pace, answered or not."""
    times: list[float] = []
    await asyncio.gather(*(_lane(hall, tablet, epoch, times) for tablet in hall.tablets))
    return times


async def _lane(hall: Judging, tablet: Seat, epoch: int, times: list[float]) -> None:
    port = hall.server.port
    chance = random.Random(f"{tablet.lane}/{epoch}")
    reader, writer = await asyncio.open_connection("127.0.0.1", port, local_addr=(f"127.5.0.{tablet.lane}", 0))
    due = time.perf_counter() + chance.uniform(0, EVERY_S)
    end = due + SECONDS
    hand = Hand(tablet, port, epoch)
    while due < end:
        await asyncio.sleep(due - time.perf_counter())
        writer.write(hand.reps(at=round((time.perf_counter() - hall.go) * 1000) - AGO_MS))
        head = await reader.readuntil(b"\r\n\r\n")
        body = await reader.readexactly(int(head.lower().split(b"content-length: ")[1].split(b"\r")[0]))
        times.append((time.perf_counter() - due) * 1000)
        if not head.startswith(b"HTTP/1.1 200") or b'"refused":[]' not in body:
            raise RuntimeError(f"A mark was not acknowledged: {body[:300].decode(errors='replace')}")
        due += EVERY_S
    writer.close()
