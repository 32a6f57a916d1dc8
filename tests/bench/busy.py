"""A busy hall: forty lanes at the pace of ropes, two hundred boards that follow. From a tap to its answer and to the board."""

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

from app.hall.lane_scores import lane_score
from app.live.servertime import this_machine
from app.paths import CHECKOUT
from app.rehearsal.clock import true_ms
from app.rehearsal.machine import Load, load_of
from app.rehearsal.tablet import JSON
from app.rehearsal.wire import Wire
from app.rules.count.tally import fold
from app.rules.records.marks import Mark, parse_mark
from app.rules.result.scoring import score
from app.rules.workout.presets import mirrored_pair
from tests.bench.crowd import a_mark
from tests.bench.day_people import Board, Noted
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import Tablet, heat_under_way, lanes_roster
from tests.bench.servers import Serving, served

LANES, BOARDS = 40, 200
STOPWATCHES = 3  # boards of this process, whose updates are timed
MARKS_A_SECOND = 4  # of each lane
SECONDS, WARM_S = 15.0, 3.0
HEAT_S = 1200
ACK = Goal("at most", 10)
SHOWN = Goal("at most", 150)
MEMORY = Goal("at most", 200)
FORMAT = mirrored_pair(work_seconds=HEAT_S)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures the hall without watchers, then with all of them."""
    return [figure for boards in (0, BOARDS) for figure in _hall(boards, tell)]


def _hall(boards: int, tell: Callable[[str], None]) -> list[Figure]:
    tell(f"busy: {LANES} lanes, {MARKS_A_SECOND} marks a second each, {boards} boards")
    with tempfile.TemporaryDirectory() as folder, places_for(boards):
        tablets = heat_under_way(Path(folder), lanes_roster(LANES, HEAT_S), this_machine(), since_go_s=60)
        with served(Path(folder)) as server, followed(server.port, boards):
            noted, load = asyncio.run(judged(server, tablets))
    acks, shown = [ms for _, ms in noted.acks], [ms for _, ms in noted.shown]
    name, all_there = f"busy.b{boards}", boards == BOARDS
    rate = noted.marks / SECONDS
    figures = [
        Figure(f"{name}.per_second", f"{LANES} lanes, {MARKS_A_SECOND} marks a second each, {boards} boards: marks", rate, "/s"),
        Figure(f"{name}.ack.p50", "… tap to answer, p50", percentile(acks, 50), "ms"),
        Figure(f"{name}.ack.p99", "… … p99", percentile(acks, 99), "ms", None if all_there else ACK),
        Figure(f"{name}.board.p50", "… tap to board, p50", percentile(shown, 50), "ms"),
        Figure(f"{name}.board.p99", "… … p99", percentile(shown, 99), "ms", SHOWN if all_there else None),
    ]
    if load is None:
        return figures
    return [
        *figures,
        Figure(f"{name}.core", "… of one core", load.core),
        Figure(f"{name}.rss_mb", "… memory", load.megabytes, "MB", MEMORY if all_there else None),
    ]


@contextmanager
def places_for(boards: int) -> Iterator[None]:
    """As many places for streams as there are boards: the setting of a hall that wants them."""
    name = "LANE_LEDGER_STREAMS"
    before = os.environ.get(name)
    os.environ[name] = str(boards + 20)
    try:
        yield
    finally:
        os.environ.pop(name)
        if before is not None:
            os.environ[name] = before


@contextmanager
def followed(port: int, boards: int) -> Iterator[None]:
    """Boards in a process of their own. Raises RuntimeError when some were refused."""
    command = [sys.executable, "-m", "tests.bench.watching", str(port), str(boards)]
    process = subprocess.Popen(command, cwd=CHECKOUT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert process.stdin is not None and process.stdout is not None
    try:
        following = int(process.stdout.readline() or 0)
        if following < boards:
            raise RuntimeError(f"Only {following} of {boards} boards could follow.")
        yield
        process.stdin.close()
        if boards and not int(process.stdout.readline() or 0):
            raise RuntimeError("The boards had no updates.")
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


async def judged(server: Serving, tablets: Sequence[Tablet]) -> tuple[Noted, Load | None]:
    """All lanes count for a while; what was noted of answers and boards, and what the server used meanwhile."""
    noted = Noted()
    boards = [Board(Wire("localhost", server.port), noted) for _ in range(STOPWATCHES)]
    over_ms = true_ms() + (WARM_S + SECONDS) * 1000
    lanes = [asyncio.create_task(_lane(server, tablet, boards, noted, over_ms, n / LANES)) for n, tablet in enumerate(tablets)]
    watching = [asyncio.create_task(board.watch()) for board in boards]
    await asyncio.sleep(WARM_S)
    noted.acks.clear()
    noted.shown.clear()
    noted.marks, before = 0, load_of(server.pid)
    await asyncio.gather(*lanes)
    after = load_of(server.pid)
    await asyncio.sleep(1)  # the last taps are shown by then
    for task in watching:
        task.cancel()
    await asyncio.gather(*watching, return_exceptions=True)
    return noted, after.since(before) if before and after else None


async def _lane(server: Serving, tablet: Tablet, boards: Sequence[Board], noted: Noted, over_ms: float, phase: float) -> None:
    """One judge, tap after tap; each is sent at once."""
    chance, done = random.Random(tablet.device), list[Mark]()
    wire = Wire("localhost", server.port, f"ll_device={tablet.token}", answer_s=30)
    begun = true_ms() + phase * 1000 / MARKS_A_SECOND
    while (due := begun + len(done) * 1000 / MARKS_A_SECOND) < over_ms:
        await asyncio.sleep(max(0.0, due - true_ms()) / 1000)
        text = a_mark(tablet, 1, len(done) + 1, chance, 60_000 + round(due - begun))
        done.append(parse_mark(json.loads(text)))
        made = true_ms()
        total = lane_score(score(FORMAT, FORMAT.scores[0], fold(FORMAT, done)))
        for board in boards:
            board.expects(f"asg_{tablet.lane}", total, made)
        sent = time.perf_counter()
        answer = await wire.ask("POST", "/marks", f'{{"marks":[{text}]}}'.encode(), JSON)
        if answer.status != 200 or b'"refused":[{' in answer.body:
            raise RuntimeError(f"A mark was not acknowledged: {answer.body[:300]!r}")
        noted.acks.append((0.0, (time.perf_counter() - sent) * 1000))
        noted.marks += 1
    wire.cut()
