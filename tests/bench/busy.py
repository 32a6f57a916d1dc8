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
from app.rehearsal.clock import Took, true_ms
from app.rehearsal.lane import Lane
from app.rehearsal.machine import Load, load_of
from app.rehearsal.own_line import OwnLine
from app.rehearsal.tablet import Outbox, Seat, Tablet
from app.rehearsal.turns import turn_about
from app.rehearsal.watcher import Watcher
from app.rehearsal.wire import Wire
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import Serving
from tests.bench.spectators.way import figures as way_figures
from tests.bench.spectators.way import parts, picture
from tests.bench.stalls import told, watched

LANES, BOARDS = 40, 200
STOPWATCHES = 3  # boards of this process, whose updates are timed
MARKS_A_SECOND = 4  # of each lane
SECONDS, WARM_S = 15.0, 3.0
NOBODY = -1  # not even a board whose updates are timed
HEAT_S = 1200
FROM_MS = 60_000  # of the heat
ACK = Goal("at most", 15)
SHOWN = Goal("at most", 150)
OF_NONE = Goal("at most", 2)
NO_STALL = Goal("at most", 0)
MEMORY = Goal("at most", 200)
FORMAT = turn_about(work_seconds=HEAT_S)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures the hall without any board, with few, then with all of them."""
    figures = [figure for boards in (NOBODY, 0, BOARDS) for figure in _hall(boards, tell)]
    p99 = {figure.key: figure.value for figure in figures}
    ratio = p99[f"busy.b{BOARDS}.ack.p99"] / p99["busy.none.ack.p99"]
    words = f"tap to answer with {BOARDS} boards, p99, of that without any"
    return [*figures, Figure("busy.of_none", words, ratio, "", OF_NONE)]


def _hall(boards: int, tell: Callable[[str], None]) -> list[Figure]:
    few = "no board" if boards == NOBODY else f"{boards or STOPWATCHES} boards"
    tell(f"busy: {LANES} lanes, {MARKS_A_SECOND} marks a second each, {few}")
    with tempfile.TemporaryDirectory() as folder, places_for(max(0, boards)):
        tablets = heat_under_way(Path(folder), lanes_roster(LANES, HEAT_S), this_machine(), since_go_s=60)
        with watched(Path(folder)) as (server, stalls), followed(server.port, max(0, boards)):
            begun_s = time.time() + WARM_S
            answers, seen, load = asyncio.run(judged(server, tablets, 0 if boards == NOBODY else STOPWATCHES))
            found, way = stalls.between(begun_s, begun_s + SECONDS), parts(answers, seen, stalls.made)
    acks, shown = [ms for _, ms in answers], [ms for _, ms in seen]
    tell(f"busy: {few}: {told(found)}")
    name, all_there = "busy.none" if boards == NOBODY else f"busy.b{boards}", boards == BOARDS
    rate = len(acks) / SECONDS
    figures = [
        Figure(f"{name}.per_second", f"{LANES} lanes, {MARKS_A_SECOND} marks a second each, {few}: marks", rate, "/s"),
        Figure(f"{name}.ack.p50", "… tap to answer, p50", percentile(acks, 50), "ms"),
        Figure(f"{name}.ack.p99", "… … p99", percentile(acks, 99), "ms", ACK),
        Figure(f"{name}.stalls", "… stalls of the loop, over 10 ms", len(found), "", NO_STALL if all_there else None),
        Figure(f"{name}.longest", "… … the longest", max((one.cpu_ms for one in found), default=0), "ms"),
    ]
    if shown:
        figures += [
            Figure(f"{name}.board.p50", "… tap to board, p50", percentile(shown, 50), "ms"),
            Figure(f"{name}.board.p99", "… … p99", percentile(shown, 99), "ms", SHOWN if all_there else None),
            *way_figures(name, way),
        ]
        tell(f"busy: {few}: from a tap to the board {picture(way)}")
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


async def judged(server: Serving, seats: Sequence[Seat], timed: int = STOPWATCHES) -> tuple[Took, Took, Load | None]:
    """All lanes count for a while; when they had their answers and `timed` boards showed it, how long after the tap, and what the
    server used meanwhile."""
    boards = [Watcher(Wire("localhost", server.port)) for _ in range(timed)]
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
        lane.tablet.cut()
        if lane.tablet.counted.refused or lane.tablet.counted.broken:
            raise RuntimeError(f"A mark was not acknowledged: {lane.tablet.counted}")
    acks = [(at, ms) for lane in lanes for at, ms in lane.acks if at > warm_ms]
    shown = [(at, ms) for board in boards for at, ms in board.shown if at > warm_ms]
    return acks, shown, after.since(before) if before and after else None


def _lane(server: Serving, seat: Seat, boards: Sequence[Watcher], phase: float) -> Lane:
    """One judge, tap after tap; each is sent at once."""
    chance = random.Random(seat.device)
    script = Outbox(seat, 1, chance)
    wall_ms = time.time_ns() // 1_000_000
    for number in range(round((WARM_S + SECONDS) * MARKS_A_SECOND)):
        script.add("rep", FROM_MS + round((number + phase) * 1000 / MARKS_A_SECOND), wall_ms + number)
    wire = Wire("localhost", server.port, f"ll_device={seat.token}", answer_s=30)
    tablet = Tablet(Outbox(seat, 1, chance), wire, chance, OwnLine("localhost", server.port, seat.token, answer_s=30))
    return Lane(tablet, FORMAT, list(script.marks.values()), boards)
