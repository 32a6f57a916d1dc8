"""The rehearsal: a heat on every lane, judged as people judge, against the real server over this machine's own network.

What the venue's laptop holds is found out here. The imitated tablets reach the server by the laptop's own address and never leave
the machine: what the Wi-Fi holds is seen at the desk, by the clocks' bounds and the waiting marks of real tablets.
"""

import asyncio
import json
import random
import tempfile
import time
from collections.abc import Awaitable, Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from pathlib import Path

from app.demo.judge import SimulatedJudge
from app.lan.addresses import lan_addresses
from app.live.servertime import this_machine
from app.rehearsal.clock import ClockLine, true_ms
from app.rehearsal.hall import HEAT, make_hall
from app.rehearsal.lane import Lane
from app.rehearsal.machine import Load, load_of
from app.rehearsal.phone import invite_a_phone, phone_words, who_came
from app.rehearsal.read_back import ReadBack, read_back
from app.rehearsal.serving import COMMAND, ServerProcess, answers, free_port
from app.rehearsal.tablet import JSON, Outbox, Seat, Tablet
from app.rehearsal.turns import turn_about
from app.rehearsal.watcher import Asker, Watcher
from app.rehearsal.wire import LineBroken, Wire
from app.results.competition_file import BadFile
from app.rules.records.roster import MOST_LANES
from app.rules.values.words import say
from app.rules.workout.formats import Format
from app.settings import DEFAULT_PORT

LEAD_S = "3"  # seconds, as typed into the desk's form
TAIL_S = 1.0
LEAST_MINUTES = 0.2
PATIENCE_S = 20.0  # after a heat's end, for what is still to be sent; then the rehearsal ends with what it knows
LEAST_WINDOW_S = 8.0
LOOK_S = 0.2
# What is promised: a judge does not notice, and the hall sees a total within two breaths.
ACK_P99_MS, ACK_LONGEST_MS, SILENT_MS, BOARD_P99_MS = 1_000.0, 3_000.0, 3_000.0, 2_000.0


Upset = Callable[[ServerProcess], Awaitable[None]]


class BadRehearsal(ValueError):
    """Raised for a rehearsal that can't be; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """What laptop and network held. Times in milliseconds, p50 and p99 over all lanes.

    ended: why it ended before its time, else empty. kept: what the competition file held at the end, None where it can't be read.
    taken_back: marks that were acknowledged and were not there later. silent_longest: how long the server once answered nobody.
    phone: the address that a real device came from, empty where none came.
    """

    address: str
    lanes: int
    minutes: float
    marks: int
    ended: str
    kept: ReadBack | None
    taken_back: int
    resent: int
    broken: int
    ack_p50: float
    ack_p99: float
    ack_longest: float
    silent_longest: float
    board_p50: float
    board_p99: float
    board_unseen: int
    board_updates: int
    clock_p50: float
    clock_p99: float
    clock_outside: int
    bound_p50: float
    server: Load | None
    phone: str

    @property
    def broken_promises(self) -> tuple[str, ...]:
        """What did not hold, a sentence each; empty if everything did."""
        return tuple(self._broken())

    def _broken(self) -> Iterator[str]:
        if self.ended:
            yield self.ended
        if not self.marks:
            yield "Not one mark was made, so nothing was tried. Is this computer busy with something else?"
        if self.kept is None:
            yield "What the server holds could not be read back, so nothing is known of the marks."
        elif self.kept.wrong:
            yield f"The competition file does not hold what was judged: {self.kept.words}."
        if self.taken_back:
            yield f"{self.taken_back} marks were acknowledged and were not there later."
        if self.ack_p99 > ACK_P99_MS or self.ack_longest > ACK_LONGEST_MS:
            yield (
                f"Marks waited too long for the desk: 99 of 100 are to be there within {ACK_P99_MS / 1000:g} s and each within "
                f"{ACK_LONGEST_MS / 1000:g} s; one took {self.ack_longest / 1000:.1f} s."
            )
        if self.silent_longest > SILENT_MS:
            yield f"The server was silent for {self.silent_longest / 1000:.1f} s; at most {SILENT_MS / 1000:g} s are promised."
        if self.board_unseen or self.board_p99 > BOARD_P99_MS:
            yield f"The board was more than {BOARD_P99_MS / 1000:g} s behind, or missed a total."
        if self.clock_outside:
            yield f"A clock was wrong by more than it said; how often: {self.clock_outside}."

    @property
    def held(self) -> bool:
        """Whether every mark is in the competition file as it was made, in time, and clocks and board were as promised."""
        return not self.broken_promises


def run_rehearsal(lanes: int, minutes: float, as_json: bool) -> int:
    """Rehearses in a folder of its own and prints what held; 0 if everything did. Raises BadRehearsal."""
    if not 1 <= lanes <= MOST_LANES or not LEAST_MINUTES <= minutes <= 240:
        raise BadRehearsal(f"A rehearsal has 1 to {MOST_LANES} lanes and takes {LEAST_MINUTES} to 240 minutes.")
    with tempfile.TemporaryDirectory(prefix="lane-ledger-rehearsal-", ignore_cleanup_errors=True) as folder:
        found = rehearse(Path(folder), lanes, minutes, tell=not as_json, port=DEFAULT_PORT)
    print(json.dumps(asdict(found) | {"broken_promises": found.broken_promises}, indent=2) if as_json else words(found))
    return 0 if found.held else 1


def rehearse(
    data: Path,
    lanes: int,
    minutes: float,
    tell: bool = False,
    command: Sequence[str] = COMMAND,
    upset: Upset | None = None,
    port: int = 0,
) -> Rehearsed:
    """One rehearsal over an empty folder, against the server that `command` starts, at `port` if that is free: a firewall may let
    a phone in there and nowhere else. `upset` may do to it what it likes meanwhile.

    Raises BadRehearsal, ServerGone where it does not even begin.
    """
    format = lasting(minutes)
    seats, desk = make_hall(data, lanes, this_machine(), format, gone=False)
    server = started(data, command, port)
    if tell:
        print(f"{say('lanes', n=lanes)} for {minutes:g} min against {server.url}/ …", flush=True)
        invite_a_phone(server.host, f"{server.url}/board")
    try:
        return asyncio.run(_rehearse(_hall(server, seats, format, minutes), desk, upset))
    finally:
        server.stop()


def started(data: Path, command: Sequence[str] = COMMAND, port: int = 0) -> ServerProcess:
    """A server at this machine's address in the hall, or at the one that only itself knows, if there is no other."""
    for host in [address for address in lan_addresses() if address.count(".") == 3][:1]:
        server = ServerProcess(data, free_port(host, port), host, command)
        server.start()
        if answers(host, server.port):
            return server
        server.stop()
    server = ServerProcess(data, free_port(), command=command)
    server.start()
    return server


def lasting(minutes: float) -> Format:
    """The usual event, drawn out or in so that it lasts so long; a short one has its first windows alone, else nobody had the
    time for a repetition."""
    plain = turn_about()
    kept = plain.windows[: max(1, round(minutes * 60 / LEAST_WINDOW_S))]
    factor = minutes * 60_000 / (kept[-1].end_ms - kept[0].start_ms)
    whole = plain.model_dump(mode="json")
    starts = [round(window.start * factor) for window in kept] + [round(minutes * 60)]
    lengths = [max(1, after - start) for start, after in pairwise(starts)]
    windows = [
        {**window, "start": start, "seconds": length}
        for window, start, length in zip(whole["windows"], starts, lengths, strict=False)
    ]
    there = {window["task"] for window in windows}
    scores = [{**one, "parts": [part for part in one["parts"] if there >= set(part["tasks"])]} for one in whole["scores"]]
    return Format.model_validate({**whole, "windows": windows, "scores": scores})


@dataclass(frozen=True, slots=True)
class _Hall:
    """What takes part in a rehearsal."""

    server: ServerProcess
    minutes: float
    watcher: Watcher
    asker: Asker
    lanes: list[Lane]
    clocks: list[ClockLine]


def _hall(server: ServerProcess, seats: list[Seat], format: Format, minutes: float) -> _Hall:
    chance = random.Random(20)
    watcher = Watcher(Wire(server.host, server.port))
    lanes = [_lane(seat, format, watcher, server, random.Random(chance.random())) for seat in seats]
    clocks = [ClockLine(lane.tablet, lambda: HEAT, chance) for lane in lanes]
    return _Hall(server, minutes, watcher, Asker(Wire(server.host, server.port)), lanes, clocks)


def _lane(seat: Seat, format: Format, watcher: Watcher, server: ServerProcess, chance: random.Random) -> Lane:
    """A simulated judge at a tablet of its own."""
    wall_ms = time.time_ns() // 1_000_000
    tablet = Tablet(Outbox(seat, wall_ms * 1000, chance), Wire(server.host, server.port, f"ll_device={seat.token}"), chance)
    judge = SimulatedJudge(format, seat.sheet, seat.device, wall_ms, chance.uniform(0.8, 1.2), chance)
    return Lane(tablet, format, judge.marks(), [watcher])


async def _rehearse(hall: _Hall, desk: str, upset: Upset | None) -> Rehearsed:
    aside = [
        asyncio.create_task(work) for work in (hall.watcher.run(), hall.asker.run(), *(clock.run() for clock in hall.clocks))
    ]
    before = load_of(hall.server.pid)
    try:
        go_ms = await _go(hall.server, desk, hall.lanes[0].tablet)
        aside += [asyncio.ensure_future(upset(hall.server))] if upset is not None else []
        ended = await _judge_all(hall, go_ms)
        after = load_of(hall.server.pid) if hall.server.ended is None else None
        kept, phone = await _read_back(hall, desk), await who_came(Wire(hall.server.host, hall.server.port, f"ll_desk={desk}"))
    finally:
        for task in aside:
            task.cancel()
        await asyncio.gather(*aside, return_exceptions=True)
        for lane in hall.lanes:
            lane.tablet.wire.cut()
    return _found(hall, ended, kept, after.since(before) if before and after else None, phone)


async def _judge_all(hall: _Hall, go_ms: float) -> str:
    """Judges every lane to its end, and says why that ended before its time; empty when it did not."""
    until = go_ms + (hall.minutes * 60 + PATIENCE_S) * 1000
    judging = asyncio.gather(*(lane.judge(go_ms) for lane in hall.lanes))
    while not judging.done() and true_ms() < until and hall.server.ended is None:
        await asyncio.wait([judging], timeout=LOOK_S)
    if judging.done():
        await judging
        await asyncio.sleep(TAIL_S)
        return ""
    judging.cancel()
    await asyncio.gather(judging, return_exceptions=True)
    waiting = sum(len(lane.tablet.outbox.marks) - len(lane.tablet.outbox.safe) for lane in hall.lanes)
    if hall.server.ended is not None:
        return f"The server ended by itself in the middle (code {hall.server.ended}); {waiting} marks were not acknowledged."
    return (
        f"The server did not take everything within {PATIENCE_S:.0f} s of the heat's end; {waiting} marks were not acknowledged."
    )


async def _read_back(hall: _Hall, desk: str) -> ReadBack | None:
    """What the competition file holds; None where it can't be had or read."""
    wire = Wire(hall.server.host, hall.server.port, f"ll_desk={desk}", answer_s=PATIENCE_S)
    made = {key: mark for lane in hall.lanes for key, mark in lane.tablet.outbox.marks.items()}
    try:
        answer = await wire.ask("GET", "/desk/competition.json")
        return read_back(made, answer.body) if answer.status == 200 else None
    except (LineBroken, BadFile):
        return None
    finally:
        wire.cut()


async def _go(server: ServerProcess, desk: str, tablet: Tablet) -> float:
    """The desk gives the heat its GO; a tablet reads from its packet when that is, in milliseconds of the server's time."""
    wire = Wire(server.host, server.port, f"ll_desk={desk}")
    try:
        answer = await wire.ask("POST", f"/desk/heats/{HEAT}/go", json.dumps({"lead": LEAD_S}).encode(), JSON)
        if answer.status != 200:
            raise BadRehearsal(f"The server gave no GO: {answer.body[:200].decode(errors='replace')}")
        packet = json.loads((await tablet.wire.ask("GET", "/lane/packet")).body)
    except LineBroken as wrong:
        raise BadRehearsal(f"The server stopped answering before the GO: {wrong}. Start the rehearsal again.") from None
    finally:
        wire.cut()
    return float(packet["heats"][0]["run"]["go_server_ms"])


def _found(hall: _Hall, ended: str, kept: ReadBack | None, load: Load | None, phone: str) -> Rehearsed:
    acks = [ms for lane in hall.lanes for _, ms in lane.acks]
    shown = [ms for _, ms in hall.watcher.shown]
    counted = [lane.tablet.counted for lane in hall.lanes]
    clocks = [clock.found for clock in hall.clocks]
    errors = [ms for found in clocks for ms in found.errors_ms[-len(found.errors_ms) // 2 :]]
    bounds = [ms for found in clocks for ms in found.bounds_ms[-len(found.bounds_ms) // 2 :]]
    return Rehearsed(
        address=f"{hall.server.host}:{hall.server.port}",
        lanes=len(hall.lanes),
        minutes=hall.minutes,
        marks=sum(len(lane.tablet.outbox.marks) for lane in hall.lanes),
        ended=ended,
        kept=kept,
        taken_back=sum(len(one.taken_back) for one in counted),
        resent=sum(one.resent for one in counted),
        broken=sum(one.broken for one in counted) + sum(clock.broken for clock in hall.clocks),
        ack_p50=percentile(acks, 50),
        ack_p99=percentile(acks, 99),
        ack_longest=max(acks, default=0.0),
        silent_longest=hall.asker.longest_ms,
        board_p50=percentile(shown, 50),
        board_p99=percentile(shown, 99),
        board_unseen=hall.watcher.unseen,
        board_updates=hall.watcher.updates,
        clock_p50=percentile(errors, 50),
        clock_p99=percentile(errors, 99),
        clock_outside=sum(found.outside for found in clocks),
        bound_p50=percentile(bounds, 50),
        server=load,
        phone=phone,
    )


def percentile(values: list[float], percent: float) -> float:
    """The value that so many percent do not exceed; 0 where nothing was measured."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * percent / 100))] if ordered else 0.0


def words(found: Rehearsed) -> str:
    """What held, for the organiser."""
    lines = [
        f"Marks:        {found.marks:,} made on {say('lanes', n=found.lanes)} in {found.minutes:g} min; read back from the file: "
        f"{'nothing is known' if found.kept is None else found.kept.words}.",
        f"Network:      broken lines {found.broken}, marks sent again {found.resent}.",
        f"Tap to desk:  half within {found.ack_p50:.0f} ms, 99 of 100 within {found.ack_p99:.0f} ms, all within "
        f"{found.ack_longest:.0f} ms.",
        f"Tap to board: half within {found.board_p50:.0f} ms, 99 of 100 within {found.board_p99:.0f} ms"
        f"{'' if found.board_unseen == 0 else f'; {found.board_unseen} never showed'}.",
        f"Clock:        half within {found.clock_p50:.1f} ms, 99 of 100 within {found.clock_p99:.1f} ms; "
        f"bound given {found.bound_p50:.1f} ms, how often wrong beyond it: {found.clock_outside}.",
    ]
    if found.server is not None:
        lines.append(f"Server:       {found.server.core:.0%} of one core, {found.server.megabytes:.0f} MB.")
    lines.append(f"Connection:   {phone_words(found.phone)}")
    lines += [f"Not so:       {broken}" for broken in found.broken_promises]
    lines.append("Everything that was looked at held." if found.held else "Not everything held; see above.")
    return "\n".join(lines)
