"""A competition day of eight hours, lived through at sixty times the speed against the real server in a process of its own.

Heat after heat with GO, hold, marks, finish; boards that are followed, a desk that opens its pages, visitors who come and go, a
backup every five minutes of the day. What may not grow: memory beyond what the day's marks take, and how long anything takes.
"""

import asyncio
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from app.live.servertime import this_machine
from app.rehearsal.clock import true_ms
from app.rehearsal.hall import fill_hall
from app.rehearsal.machine import load_of
from app.rehearsal.serving import ServerProcess, free_port
from app.rehearsal.tablet import JSON, Seat
from app.rehearsal.turns import MARKINGS, turn_about
from app.rehearsal.watcher import Watcher
from app.rehearsal.wire import LineBroken, Wire
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat, Roster
from app.settings import Settings
from app.store.database import Database
from tests.bench.day_people import Judge, Noted, look
from tests.bench.figures import Figure, Goal, percentile

SPEED = 60
HEATS, QUICK_HEATS = 20, 4  # one every 24 minutes: eight hours, or a little more than one and a half
EVERY_S = 24 * 60 / SPEED  # real seconds from one GO to the next
LANES, BOARDS, VISITORS = 10, 20, 10
EVENTS = 4
LOOK_EVERY_S = 1.0
DESK_PAGES = (
    *("/desk", "/desk/floor", "/review", "/desk/tablets", "/desk/tablets/states", "/desk/setup", "/desk/entries", "/desk/heats"),
    *("/desk/plan", "/desk/backups", "/desk/checkin", "/desk/judges", "/desk/overall", "/review/results", "/review/trail"),
    *("/desk/results.csv", "/desk/competition.json", "/desk/events", "/desk/paper", "/desk/practice"),
)
PUBLIC_PAGES = ("/board", "/results", "/timetable", "/brief", "/podium", "/results.json", "/board/parts")
FLAT = Goal("at most", 1.10)
NO_SLOWER = Goal("at most", 1.5)  # the last tenth against the first; heats differ, and so does what else the machine does
AS_FAST = Goal("at least", 0.95 * SPEED)
NONE = Goal("at most", 0)
BYTES_OF_A_MARK = Goal("at most", 1000)


@dataclass(frozen=True, slots=True)
class Look:
    """The server at one moment of the day: real seconds since it began, memory in MB, processor seconds, marks until then."""

    at_s: float
    megabytes: float
    seconds: float
    marks: int


def run(tell: Callable[[str], None], quick: bool = False) -> list[Figure]:
    """Lives through the day, or its beginning."""
    heats = QUICK_HEATS if quick else HEATS
    tell(f"day: {heats} heats at {SPEED} times the speed, {heats * EVERY_S / 60:.0f} minutes")
    with tempfile.TemporaryDirectory(prefix="lane-ledger-day-") as folder:
        data = Path(folder) / "data"
        data.mkdir()
        seats, desk = _fill(data, heats)
        (Path(folder) / "stick").mkdir()
        server = _server(data, Path(folder) / "stick")
        server.start()
        try:
            day = _people(server, seats)
            asyncio.run(_lived(server, day, desk, heats, tell))
        finally:
            server.stop()
        size = sum(file.stat().st_size for file in data.glob("lane-ledger.sqlite3*"))
    return _figures(day, heats, size)


def _server(data: Path, stick: Path) -> ServerProcess:
    return ServerProcess(data, free_port(), command=[sys.executable, "-m", "tests.bench.fast", str(SPEED), str(stick)])


def _roster(heats: int) -> Roster:
    """Ten pairs a heat, four events in turn, every pair in each event."""
    pairs = range(1, LANES * -(-heats // EVENTS) + 1)
    made = []
    for n in range(heats):
        own = [(n // EVENTS) * LANES + lane for lane in range(1, LANES + 1)]
        lanes = tuple(Assignment(id=f"asg_{n + 1}_{k}", lane=k, entry=f"ent_{pair}") for k, pair in enumerate(own, start=1))
        made.append(Heat(id=f"het_{n + 1}", event=f"evt_{n % EVENTS + 1}", number=n // EVENTS + 1, lanes=lanes))
    return Roster(
        competition=Competition(id="cmp_day", name="A long day", unit="lb"),
        divisions=(Division(id="div_1", name="Pairs"),),
        athletes=tuple(Athlete(id=f"ath_{n}{m}", name=f"Member {m} of pair {n}") for n in pairs for m in "ab"),
        entries=tuple(
            Entry(id=f"ent_{n}", division="div_1", name=f"Pair {n}", members=(f"ath_{n}a", f"ath_{n}b")) for n in pairs
        ),
        events=tuple(Event(id=f"evt_{n}", name=f"Event {n}", format=turn_about()) for n in range(1, EVENTS + 1)),
        markings={f"evt_{n}": MARKINGS for n in range(1, EVENTS + 1)},
        heats=tuple(made),
    )


def _fill(data: Path, heats: int) -> tuple[list[Seat], str]:
    database = Database(Settings(data=data).database())
    try:
        return fill_hall(database, _roster(heats), (), range(1, LANES + 1), this_machine())
    finally:
        database.close()


@dataclass(frozen=True, slots=True)
class Day:
    """Who takes part: the judges, the wall's board that is timed, the others; and what was seen of the server meanwhile."""

    noted: Noted
    judges: list[Judge]
    wall: Watcher
    others: list[Watcher]
    looks: list[Look]
    heats_s: list[float]  # real seconds that each heat took, the wait for the next included

    @property
    def marks(self) -> int:
        """The marks acknowledged so far."""
        return sum(len(judge.acks) for judge in self.judges)

    @property
    def broken(self) -> int:
        """The lines that broke so far."""
        boards = sum(board.broken for board in (self.wall, *self.others))
        return self.noted.broken + boards + sum(judge.broken + judge.clock.broken for judge in self.judges)


def _people(server: ServerProcess, seats: Sequence[Seat]) -> Day:
    chance = random.Random(8)
    wall, *others = [Watcher(Wire(server.host, server.port)) for _ in range(BOARDS)]
    judges = [
        Judge(seat, Wire(server.host, server.port, f"ll_device={seat.token}"), wall, random.Random(chance.random()))
        for seat in seats
    ]
    return Day(Noted(), judges, wall, others, [], [])


async def _lived(server: ServerProcess, day: Day, desk: str, heats: int, tell: Callable[[str], None]) -> None:
    at_desk = Wire(server.host, server.port, f"ll_desk={desk}", answer_s=30)
    aside = [
        *(board.run() for board in (day.wall, *day.others)),
        *(judge.clock.run() for judge in day.judges),
        _at_the_desk(Wire(server.host, server.port, f"ll_desk={desk}", answer_s=30), day.noted),
        _visitors(server, day.noted),
        _looking(server.pid, day),
    ]
    tasks = [asyncio.create_task(work) for work in aside]
    try:
        for number in range(1, heats + 1):
            begun = true_ms()
            megabytes = day.looks[-1].megabytes if day.looks else 0
            tell(f"day: heat {number} of {heats}, {megabytes:.0f} MB, {day.marks:,} marks")
            await _heat(at_desk, day.judges, number, day.noted)
            await asyncio.sleep(max(0.0, EVERY_S - (true_ms() - begun) / 1000))
            day.heats_s.append((true_ms() - begun) / 1000)
    finally:
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)


async def _heat(desk: Wire, judges: Sequence[Judge], number: int, noted: Noted) -> None:
    """GO, the work, a hold in every fourth heat. It ends by itself."""
    heat, format = f"het_{number}", turn_about()
    await _do(desk, f"/desk/heats/{heat}/go", noted, {"lead": "3"})
    packet = await judges[0].packet()
    run = next(one["run"] for one in packet["heats"] if one["id"] == heat)
    go_real_ms = true_ms() + (run["go_server_ms"] - packet["server_ms"]) / SPEED
    wall_ms = time.time_ns() // 1_000_000
    for judge in judges:
        judge.heat = heat
    working = [
        asyncio.create_task(judge.judge(format, f"asg_{number}_{lane}", wall_ms, go_real_ms, SPEED))
        for lane, judge in enumerate(judges, start=1)
    ]
    if number % 4 == 2:
        await asyncio.sleep(EVERY_S / 3)
        await _do(desk, f"/desk/heats/{heat}/hold", noted)
        await _do(desk, f"/desk/heats/{heat}/go-on", noted, {"lead": "3"})
    await asyncio.gather(*working)


async def _do(desk: Wire, path: str, noted: Noted, typed: dict[str, str] | None = None) -> None:
    try:
        answer = await desk.ask("POST", path, json.dumps(typed or {}).encode(), JSON)
    except LineBroken:  # it had stood idle, and the server takes such lines back
        answer = await desk.ask("POST", path, json.dumps(typed or {}).encode(), JSON)
    if answer.status not in (200, 303):
        noted.wrong.append(f"{path} {answer.status} {answer.body[:160]!r}")


async def _at_the_desk(wire: Wire, noted: Noted) -> None:
    turn = 0
    while True:
        await look(wire, DESK_PAGES[turn % len(DESK_PAGES)], noted)
        turn += 1
        await asyncio.sleep(1)


async def _visitors(server: ServerProcess, noted: Noted) -> None:
    """People with phones: each comes by a line of its own, looks, and goes."""
    turn = 0
    while True:
        wire = Wire(server.host, server.port, answer_s=30)
        await look(wire, PUBLIC_PAGES[turn % len(PUBLIC_PAGES)], noted)
        wire.cut()
        turn += 1
        await asyncio.sleep(EVERY_S / VISITORS / 2)


async def _looking(pid: int, day: Day) -> None:
    while True:
        load = load_of(pid)
        if load is not None:
            day.looks.append(Look(day.noted.now_s, load.megabytes, load.seconds, day.marks))
        await asyncio.sleep(LOOK_EVERY_S)


def _figures(day: Day, heats: int, size: int) -> list[Figure]:
    noted, refused = day.noted, sum(len(judge.refused) for judge in day.judges)
    if noted.wrong:
        raise RuntimeError(f"The day went wrong: {sorted(set(noted.wrong))[:5]}; {len(noted.wrong)} times.")
    hours = heats * EVERY_S * SPEED / 3600
    figures = [
        Figure("day.hours", f"a day of {LANES} lanes and {heats} heats at {SPEED} times the speed", hours, "h"),
        Figure("day.speed", "… times as fast as a hall it really ran", SPEED * heats * EVERY_S / sum(day.heats_s), "", AS_FAST),
        Figure("day.marks", "… marks acknowledged", day.marks),
        Figure("day.refused", "… marks refused", refused, "", NONE),
        Figure("day.updates", "… updates of the board", day.wall.updates),
        Figure("day.pages", "… pages opened", len(noted.pages)),
        Figure("day.broken", "… lines that broke", day.broken, "", NONE),
        Figure("day.store_mb", "… size of the store after it", size / 1e6, "MB"),
        Figure("day.store_per_mark", "… of it for each mark", size / max(1, day.marks), "B", BYTES_OF_A_MARK),
    ]
    return figures + _memory(day.looks, noted.now_s) + _lateness(day)


def _memory(looks: Sequence[Look], whole_s: float) -> list[Figure]:
    """Memory from the end of the first tenth to the last tenth. Without /proc there is none to tell."""
    first = [look for look in looks if whole_s / 10 <= look.at_s <= whole_s / 5]
    last = [look for look in looks if look.at_s >= whole_s * 0.9]
    if not first or not last:
        return []
    before, after = _mean(first), _mean(last)
    marks = max(1, last[-1].marks - first[0].marks)
    return [
        Figure("day.rss_first_mb", "… memory in the second tenth", before, "MB"),
        Figure("day.rss_last_mb", "… memory in the last tenth", after, "MB"),
        Figure("day.rss_growth", "… the one as a multiple of the other", after / before, "", FLAT),
        Figure("day.rss_per_mark", "… growth for each mark between", (after - before) * 1e6 / marks, "B"),
        Figure("day.core", "… of one core", (looks[-1].seconds - looks[0].seconds) / (looks[-1].at_s - looks[0].at_s)),
    ]


def _mean(looks: Sequence[Look]) -> float:
    return sum(look.megabytes for look in looks) / len(looks)


def _lateness(day: Day) -> list[Figure]:
    """How long answers took in the first tenth of the day and in the last."""
    figures = []
    for name, words, kind in (
        ("ack", "mark to answer", [ack for judge in day.judges for ack in judge.acks]),
        ("board", "mark to board", day.wall.shown),
        ("page", "page", day.noted.pages),
    ):
        kind.sort()
        tenth = max(1, len(kind) // 10)
        first, last = [ms for _, ms in kind[:tenth]], [ms for _, ms in kind[-tenth:]]
        figures += [
            Figure(f"day.{name}.p50", f"… {words}, p50", percentile([ms for _, ms in kind], 50), "ms"),
            Figure(f"day.{name}.p99", "… … p99", percentile([ms for _, ms in kind], 99), "ms"),
            Figure(
                f"day.{name}.growth",
                "… … median of the last tenth against the first",
                percentile(last, 50) / percentile(first, 50),
                "",
                NO_SLOWER,
            ),
        ]
    return figures
