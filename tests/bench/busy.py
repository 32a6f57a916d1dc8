"""A busy hall: forty lanes at the pace of ropes, two hundred boards that follow. From a tap to its answer and to the board."""

import asyncio
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from app.live.servertime import this_machine
from app.paths import CHECKOUT
from app.rehearsal.clock import true_ms
from app.rehearsal.lane import Lane
from app.rehearsal.machine import Load, load_of
from app.rehearsal.tablet import Outbox, Seat, Tablet
from app.rehearsal.turns import turn_about
from app.rehearsal.watcher import Watcher
from app.rehearsal.wire import Wire
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import Serving, served

LANES, BOARDS = 40, 200
STOPWATCHES = 3  # boards of this process, whose updates are timed
MARKS_A_SECOND = 4  # of each lane
SECONDS, WARM_S = 15.0, 3.0
HEAT_S = 1200
FROM_MS = 60_000  # of the heat
ACK = Goal("at most", 10)
SHOWN = Goal("at most", 150)
MEMORY = Goal("at most", 200)
FORMAT = turn_about(work_seconds=HEAT_S)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures the hall without watchers, then with all of them."""
    return [figure for boards in (0, BOARDS) for figure in _hall(boards, tell)]


def _hall(boards: int, tell: Callable[[str], None]) -> list[Figure]:
    tell(f"busy: {LANES} lanes, {MARKS_A_SECOND} marks a second each, {boards} boards")
    with tempfile.TemporaryDirectory() as folder, places_for(boards):
        tablets = heat_under_way(Path(folder), lanes_roster(LANES, HEAT_S), this_machine(), since_go_s=60)
        with served(Path(folder)) as server, followed(server.port, boards):
            acks, shown, load = asyncio.run(judged(server, tablets))
    name, all_there = f"busy.b{boards}", boards == BOARDS
    rate = len(acks) / SECONDS
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
    command = [sys.executable, "-m", "tests.bench.spectators.watching", str(port), str(boards)]
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


async def judged(server: Serving, seats: Sequence[Seat]) -> tuple[list[float], list[float], Load | None]:
    """All lanes count for a while; how long answers and boards took after the tap, and what the server used meanwhile."""
    boards = [Watcher(Wire("localhost", server.port)) for _ in range(STOPWATCHES)]
    watching = [asyncio.create_task(board.run()) for board in boards]
    lanes = [_lane(server, seat, boards, n / LANES) for n, seat in enumerate(seats)]
    begun_ms = true_ms() - FROM_MS
    judging = [asyncio.create_task(lane.judge(begun_ms)) for lane in lanes]
    await asyncio.sleep(WARM_S)
    warm_ms, before = true_ms(), load_of(server.pid)
    await asyncio.gather(*judging)
    after = load_of(server.pid)
    await asyncio.sleep(1)  # the last taps are shown by then
    for task in watching:
        task.cancel()
    await asyncio.gather(*watching, return_exceptions=True)
    for lane in lanes:
        lane.tablet.wire.cut()
        if lane.tablet.counted.refused or lane.tablet.counted.broken:
            raise RuntimeError(f"A mark was not acknowledged: {lane.tablet.counted}")
    acks = [ms for lane in lanes for at, ms in lane.acks if at > warm_ms]
    shown = [ms for board in boards for at, ms in board.shown if at > warm_ms]
    return acks, shown, after.since(before) if before and after else None


def _lane(server: Serving, seat: Seat, boards: Sequence[Watcher], phase: float) -> Lane:
    """One judge, tap after tap; each is sent at once."""
    chance = random.Random(seat.device)
    script = Outbox(seat, 1, chance)
    wall_ms = time.time_ns() // 1_000_000
    for number in range(round((WARM_S + SECONDS) * MARKS_A_SECOND)):
        script.add("rep", FROM_MS + round((number + phase) * 1000 / MARKS_A_SECOND), wall_ms + number)
    tablet = Tablet(Outbox(seat, 1, chance), Wire("localhost", server.port, f"ll_device={seat.token}", answer_s=30), chance)
    return Lane(tablet, FORMAT, list(script.marks.values()), boards)
