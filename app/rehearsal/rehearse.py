"""The rehearsal: a heat on every lane, judged as people judge, against the real server over this machine's own network.

What the venue's laptop holds is found out here. The imitated tablets reach the server by the laptop's own address and never leave
the machine: what the Wi-Fi holds is seen at the desk, by the clocks' bounds and the waiting marks of real tablets.
"""

import asyncio
import json
import random
import tempfile
import time
from dataclasses import asdict, dataclass
from itertools import pairwise
from pathlib import Path

from app.demo.judge import SimulatedJudge
from app.hall.lane_scores import lane_score
from app.lan.addresses import lan_addresses
from app.live.servertime import this_machine
from app.rehearsal.clock import ClockLine, true_ms
from app.rehearsal.hall import HEAT, make_hall
from app.rehearsal.machine import Load, load_of
from app.rehearsal.serving import ServerProcess, answers, free_port
from app.rehearsal.tablet import JSON, Outbox, Seat, Tablet
from app.rehearsal.watcher import Watcher
from app.rehearsal.wire import Wire
from app.rules.count.tally import fold
from app.rules.records.marks import Mark
from app.rules.records.roster import MOST_LANES
from app.rules.result.scoring import score
from app.rules.workout.formats import Format
from app.rules.workout.presets import mirrored_pair

LEAD_S = "3"  # seconds, as typed into the desk's form
TAIL_S = 1.0
LEAST_MINUTES = 0.2


class BadRehearsal(ValueError):
    """Raised for a rehearsal that can't be; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """What laptop and network held. Times in milliseconds, p50 and p99 over all lanes."""

    address: str
    lanes: int
    minutes: float
    marks: int
    lost: int
    resent: int
    broken: int
    ack_p50: float
    ack_p99: float
    board_p50: float
    board_p99: float
    board_unseen: int
    board_updates: int
    clock_p50: float
    clock_p99: float
    clock_outside: int
    bound_p50: float
    server: Load | None

    @property
    def held(self) -> bool:
        """Whether nothing was lost, no clock was wrong beyond its bound, and the board was never seconds behind."""
        return self.lost == 0 and self.clock_outside == 0 and self.board_unseen == 0


class Lane:
    """One simulated judge with a tablet: taps when a person would, sends as a tablet does."""

    def __init__(self, seat: Seat, format: Format, server: ServerProcess, watcher: Watcher, chance: random.Random) -> None:
        wall_ms = time.time_ns() // 1_000_000
        outbox = Outbox(seat, wall_ms * 1000, chance)
        self.tablet = Tablet(outbox, Wire(server.host, server.port, f"ll_device={seat.token}"), chance)
        self.clock = ClockLine(self.tablet, HEAT, chance)
        self.acks_ms: list[float] = []
        self._format, self._watcher = format, watcher
        judge = SimulatedJudge(format, seat.sheet, seat.device, wall_ms, chance.uniform(0.8, 1.2), chance)
        self._script = judge.marks()
        self._made = asyncio.Event()
        self._over = False
        self._tapped: dict[str, float] = {}

    async def judge(self, go_ms: float) -> None:
        """Taps through the heat, then waits until everything is sent."""
        sending = asyncio.create_task(self._send())
        try:
            for mark in self._script:
                await asyncio.sleep(max(0.0, go_ms + mark.at - true_ms()) / 1000)
                self._tap(mark)
        finally:
            self._over = True
            self._made.set()
            await sending
        await self.tablet.send_all()

    def _tap(self, mark: Mark) -> None:
        outbox = self.tablet.outbox
        outbox.take(
            Mark(mark.id, mark.sheet, mark.device, outbox.epoch, mark.seq, mark.kind, mark.at, mark.err, mark.win, mark.body)
        )
        self._tapped[mark.id] = true_ms()
        made = score(self._format, self._format.scores[0], fold(self._format, outbox.marks.values()))
        self._watcher.tapped(outbox.seat.lane, lane_score(made))
        self._made.set()

    async def _send(self) -> None:
        while not self._over:
            await self._made.wait()
            self._made.clear()
            while due := self.tablet.outbox.due():
                if await self.tablet.send_some():
                    now = true_ms()
                    self.acks_ms += [now - self._tapped.pop(m.id) for m in due if m.id in self.tablet.outbox.safe]


def run_rehearsal(lanes: int, minutes: float, as_json: bool) -> int:
    """Rehearses in a folder of its own and prints what held; 0 if everything did. Raises BadRehearsal."""
    if not 1 <= lanes <= MOST_LANES or not LEAST_MINUTES <= minutes <= 240:
        raise BadRehearsal(f"A rehearsal has 1 to {MOST_LANES} lanes and takes {LEAST_MINUTES} to 240 minutes.")
    with tempfile.TemporaryDirectory(prefix="lane-ledger-rehearsal-") as folder:
        found = rehearse(Path(folder), lanes, minutes, tell=not as_json)
    print(json.dumps(asdict(found), indent=2) if as_json else words(found))
    return 0 if found.held else 1


def rehearse(data: Path, lanes: int, minutes: float, tell: bool = False) -> Rehearsed:
    """One rehearsal over an empty folder."""
    format = lasting(minutes)
    seats, desk = make_hall(data, lanes, this_machine(), format, gone=False)
    server = started(data)
    if tell:
        print(f"{lanes} lanes judge for {minutes:g} min against http://{server.host}:{server.port}/ …", flush=True)
    try:
        return asyncio.run(_rehearse(server, seats, desk, format, minutes))
    finally:
        server.stop()


def started(data: Path) -> ServerProcess:
    """A server at this machine's address in the hall, or at the one that only itself knows, if there is no other."""
    for host in [address for address in lan_addresses() if address.count(".") == 3][:1]:
        server = ServerProcess(data, free_port(host), host)
        server.start()
        if answers(host, server.port):
            return server
        server.stop()
    server = ServerProcess(data, free_port())
    server.start()
    return server


def lasting(minutes: float) -> Format:
    """The usual mirrored event, drawn out or in so that it lasts so long."""
    plain = mirrored_pair()
    factor = minutes * 60_000 / plain.length_ms
    whole = plain.model_dump(mode="json")
    starts = [round(window.start * factor) for window in plain.windows] + [round(minutes * 60)]
    lengths = [max(1, after - start) for start, after in pairwise(starts)]
    windows = [
        {**window, "start": start, "seconds": length}
        for window, start, length in zip(whole["windows"], starts, lengths, strict=False)
    ]
    return Format.model_validate({**whole, "windows": windows})


async def _rehearse(server: ServerProcess, seats: list[Seat], desk: str, format: Format, minutes: float) -> Rehearsed:
    chance = random.Random(20)
    watcher = Watcher(Wire(server.host, server.port))
    lanes = [Lane(seat, format, server, watcher, random.Random(chance.random())) for seat in seats]
    aside = [asyncio.create_task(work) for work in (watcher.run(), *(lane.clock.run() for lane in lanes))]
    before = load_of(server.pid)
    try:
        go_ms = await _go(server, desk, lanes[0].tablet)
        await asyncio.gather(*(lane.judge(go_ms) for lane in lanes))
        await asyncio.sleep(TAIL_S)
        there = [{mark.id for mark in await lane.tablet.there()} for lane in lanes]
        after = load_of(server.pid)
    finally:
        for task in aside:
            task.cancel()
        await asyncio.gather(*aside, return_exceptions=True)
        for lane in lanes:
            lane.tablet.wire.cut()
    lost = sum(len(set(lane.tablet.outbox.marks) - ids) for lane, ids in zip(lanes, there, strict=True))
    return _found(server, lanes, watcher, minutes, lost, after.since(before) if before and after else None)


async def _go(server: ServerProcess, desk: str, tablet: Tablet) -> float:
    """The desk gives the heat its GO; a tablet reads from its packet when that is, in milliseconds of the server's time."""
    wire = Wire(server.host, server.port, f"ll_desk={desk}")
    answer = await wire.ask("POST", f"/desk/heats/{HEAT}/go", json.dumps({"lead": LEAD_S}).encode(), JSON)
    wire.cut()
    if answer.status != 200:
        raise BadRehearsal(f"The server gave no GO: {answer.body[:200].decode(errors='replace')}")
    packet = json.loads((await tablet.wire.ask("GET", "/lane/packet")).body)
    return float(packet["heats"][0]["run"]["go_server_ms"])


def _found(server: ServerProcess, lanes: list[Lane], watcher: Watcher, minutes: float, lost: int, load: Load | None) -> Rehearsed:
    acks = [ms for lane in lanes for ms in lane.acks_ms]
    errors = [ms for lane in lanes for ms in lane.clock.found.errors_ms[-len(lane.clock.found.errors_ms) // 2 :]]
    bounds = [ms for lane in lanes for ms in lane.clock.found.bounds_ms[-len(lane.clock.found.bounds_ms) // 2 :]]
    return Rehearsed(
        address=f"{server.host}:{server.port}",
        lanes=len(lanes),
        minutes=minutes,
        marks=sum(len(lane.tablet.outbox.marks) for lane in lanes),
        lost=lost + sum(len(lane.tablet.counted.taken_back) for lane in lanes),
        resent=sum(lane.tablet.counted.resent for lane in lanes),
        broken=sum(lane.tablet.counted.broken + lane.clock.broken for lane in lanes),
        ack_p50=percentile(acks, 50),
        ack_p99=percentile(acks, 99),
        board_p50=percentile(watcher.delays_ms, 50),
        board_p99=percentile(watcher.delays_ms, 99),
        board_unseen=watcher.unseen,
        board_updates=watcher.updates,
        clock_p50=percentile(errors, 50),
        clock_p99=percentile(errors, 99),
        clock_outside=sum(lane.clock.found.outside for lane in lanes),
        bound_p50=percentile(bounds, 50),
        server=load,
    )


def percentile(values: list[float], percent: float) -> float:
    """The value that so many percent do not exceed; 0 where nothing was measured."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * percent / 100))] if ordered else 0.0


def words(found: Rehearsed) -> str:
    """What held, for the organiser."""
    lines = [
        f"Marks:        {found.marks:,} made on {found.lanes} lanes in {found.minutes:g} min, {found.lost} lost.",
        f"Network:      {found.broken} broken lines, {found.resent} marks sent again.",
        f"Tap to desk:  half within {found.ack_p50:.0f} ms, 99 of 100 within {found.ack_p99:.0f} ms.",
        f"Tap to board: half within {found.board_p50:.0f} ms, 99 of 100 within {found.board_p99:.0f} ms"
        f"{'' if found.board_unseen == 0 else f'; {found.board_unseen} never showed'}.",
        f"Clock:        half within {found.clock_p50:.1f} ms, 99 of 100 within {found.clock_p99:.1f} ms; "
        f"bound given {found.bound_p50:.1f} ms, wrong beyond it {found.clock_outside} times.",
    ]
    if found.server is not None:
        lines.append(f"Server:       {found.server.core:.0%} of one core, {found.server.megabytes:.0f} MB.")
    lines.append("Everything held." if found.held else "Not everything held; see above.")
    return "\n".join(lines)
