"""The deadline of a round of 5,000 gyms, at twelve times the speed: what gyms hand in comes ten a second to the real server.

Three in five come in the last hour, so 3,000 of them; here so many as come in some seconds of that, each of forty entries with
16,000 marks. They are one gym's, with the numbers, commitments and signature of each. They come as a gym's laptop sends them, to
the doors that are open to everybody, each from an address of its own: its digest first, then its file. What all other gyms handed
in is there already, as records without its files, so that the server has the whole round in memory. Before that comes the last
minute: digests alone, as many a second as the plan has at worst. How long a receipt takes is counted from the moment at which its
digest should have been sent, whoever is served before.
"""

import http.client
import json
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from fractions import Fraction
from hashlib import sha256
from itertools import cycle
from pathlib import Path
from secrets import token_bytes
from typing import TypeVar

from app.live.servertime import this_machine
from app.rehearsal.machine import Load, load_of
from app.round.headquarters import Headquarters
from app.round.kits import GymRow, make_kit
from app.round.signing import SigningKey
from app.round.taking.checker import IDLE_S
from app.rules.records.document import CompetitionFile, Ledger, ledger_id
from app.rules.records.roster import Event
from app.rules.records.seal import canonical
from app.rules.result.public_file import public_of
from app.rules.result.sealing import sealed
from app.rules.round import records as r
from app.rules.round.due import Said
from app.rules.round.from_event import rule_from
from app.rules.round.hand_in import MOST_OF_A_GYM, HandIn, HandInLine, lines_of
from app.rules.round.kit import Pieces, Promise, pieces_in, says_of
from app.rules.round.people import Person, commitment
from app.rules.round.rule import HOUR, Rule
from app.rules.workout.formats import CountTask, Format, Movement, Part, ScoreRule, Window
from app.settings import Settings
from app.store.database import Database
from app.store.roster import put_everything
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.servers import Serving, served
from tests.builders.mixed_day import a_mixed_day, an_entry

GYMS, QUICK_GYMS, IN_THE_LAST_HOUR, FASTER = 5_000, 500, 3_000, 12
A_SECOND = IN_THE_LAST_HOUR * FASTER / 3600
SECONDS, QUICK_SECONDS = 20, 4
LAST_A_SECOND = 117  # digests and claims in the last minute, at worst
ENTRIES, REPS = 40, 400
AT_ONCE = 100  # gyms whose records are added together
EVENT, DIVISION = "squats", "solo"
RECEIPT, LOST, MEMORY = Goal("at most", 250), Goal("at most", 0), Goal("at most", 600)
CHECK = Goal("at most", 3600 / GYMS)  # seconds each, so that all are checked within an hour
PATIENCE_S = 900.0
S = TypeVar("S")
ENDS_S = IDLE_S + 20.0
MOST_DIGESTS = 15  # of one gym here; headquarters takes twenty within a day


@dataclass(frozen=True, slots=True)
class OfAGym:
    """What a gym sends: its number, the promise, then the file behind what tells its pieces."""

    gym: int
    digest: str
    promise: bytes
    file: bytes


def run(tell: Callable[[str], None], quick: bool = False) -> list[Figure]:
    """Makes the round, starts a server over it, and sends."""
    seconds, gyms = (QUICK_SECONDS, QUICK_GYMS) if quick else (SECONDS, GYMS)
    count = int(A_SECOND * seconds)
    with tempfile.TemporaryDirectory(prefix="lane-ledger-deadline-") as folder:
        data = Path(folder) / "data"
        data.mkdir()
        tell(f"deadline: {count} of {gyms:,} gyms' hand-ins are made")
        sent, digests = _made(data, count, gyms, LAST_A_SECOND * seconds)
        with served(data) as server:
            _hand_in(server, sent[0])  # the first request loads the round's modules
            tell(f"deadline: digests alone, {LAST_A_SECOND} a second")
            alone = _come(digests, LAST_A_SECOND, lambda one: (_send(server, one[0], "/round/promise", one[1]),))
            tell(f"deadline: they come, {A_SECOND:.0f} a second")
            begun, before = time.monotonic(), load_of(server.pid)
            took = _come(sent[1:], A_SECOND, lambda one: _hand_in(server, one))
            waited = _wait_until_checked(data, gyms)
            checked_s = time.monotonic() - begun
            most = _most_memory(server.pid)
            load = _once_it_has_ended(server.pid)
        there = _states(data)
    of = f"{count} of {gyms:,} gyms, {len(sent[0].file) / 1e6:.1f} MB each, {A_SECOND:.0f} a second"
    (last,), (promised, arrived) = zip(*alone, strict=True), zip(*took, strict=True)
    lost = len(digests) - there.count("promised") + gyms - there.count("sound")
    figures = [
        Figure(
            "deadline.last.p50",
            f"{len(digests)} digests, {LAST_A_SECOND} a second: to its receipt, p50",
            percentile(last, 50),
            "ms",
        ),
        Figure("deadline.last.p99", "… … p99", percentile(last, 99), "ms", RECEIPT),
        Figure("deadline.receipt.p50", f"{of}: from its moment to its digest's receipt, p50", percentile(promised, 50), "ms"),
        Figure("deadline.receipt.p99", "… … p99", percentile(promised, 99), "ms", RECEIPT),
        Figure("deadline.file.p50", "… … to its file's receipt, p50", percentile(arrived, 50), "ms"),
        Figure("deadline.file.p99", "… … p99", percentile(arrived, 99), "ms", RECEIPT),
        Figure("deadline.lost", "… … and of the digests: not there in the end, or not sound", lost, "", LOST),
        Figure("deadline.check", "… … checked, seconds for each", checked_s / count, "s", CHECK),
        Figure("deadline.waited", "… … how long they were checked after the last came", waited, "s"),
    ]
    if load is not None and before is not None:
        each = 1000 * (load.seconds - before.seconds) / len(took)
        checking = (load.others - before.others) / count
        figures.append(Figure("deadline.check.cpu", "… … the checking's processor for each, its start included", checking, "s"))
        figures.append(Figure("deadline.cpu", "… … the server's processor for each, from file to noted lines", each, "ms"))
    if most is not None:
        figures.append(Figure("deadline.memory", "… … the most memory that the server had", most, "MB", MEMORY))
    return figures


def _made(data: Path, count: int, gyms: int, digests: int) -> tuple[list[OfAGym], list[tuple[int, bytes]]]:
    """A round that is open for another hour, in which all but the first gyms have handed in; what those send, and so many digests
    alone, each with its gym."""
    now, day = this_machine().wall_ms(), _day()
    database = Database(Settings(data=data).database())
    try:
        database.write(lambda session: put_everything(session, day))
        made = Headquarters(database, data)
        rule = rule_from(day, "rnd", "A round of many", now + HOUR, "UTC", {DIVISION: 40}, now - HOUR)
        rows = [GymRow(n, f"Gym {n}", f"Region {n % 8}") for n in range(1, gyms + 1)]
        make_kit(made, day, rule, rows, data / "kit", now - HOUR)
        keys = {n: SigningKey(token_bytes(32)) for n in range(1, count + 1)}
        early = {gyms + n: SigningKey(token_bytes(32)) for n in range(1, -(-digests // MOST_DIGESTS) + 1)}
        made.add([(r.Gym, {"gym": n, "name": f"Gym {n}"}) for n in early], now - HOUR)
        made.add([(r.Bound, {"gym": n, "key": key.public}) for n, key in (keys | early).items()], now - HOUR)
        for first in range(count + 1, gyms + 1, AT_ONCE):
            those = range(first, min(first + AT_ONCE, gyms + 1))
            made.add([said for gym in those for said in _handed_in(gym)], now - HOUR)
        alone = [
            (gym, _promise(rule, gym, early[gym], sha256(f"alone {n}".encode()).hexdigest()))
            for n, gym in zip(range(digests), cycle(early), strict=False)
        ]
        return _hand_ins(rule, day, keys), alone
    finally:
        database.close()


def _handed_in(gym: int) -> Iterator[Said]:
    """What there is of a gym that handed in before, and was checked."""
    digest = sha256(f"gym {gym}".encode()).hexdigest()
    yield r.Bound, {"gym": gym, "key": digest}
    yield r.Promised, {"gym": gym, "hand_in": digest}
    yield r.Arrived, {"hand_in": digest}
    yield r.Checked, {"hand_in": digest}
    for n in range(1, ENTRIES + 1):
        line = {"entry": gym * MOST_OF_A_GYM + n, "event": EVENT, "division": DIVISION, "gym": gym, "hand_in": digest}
        yield r.Claim, line | {"parts": (Fraction(REPS - n),), "person": sha256(f"{gym} {n}".encode()).hexdigest()}


def _day() -> CompetitionFile:
    """A gym's day: forty entries, each with all its repetitions in one window of some minutes."""
    format = Format(
        movements={"squat": Movement(name="Squat", standards=("Hips below the knees.",))},
        tasks={"squats": CountTask(movement="squat")},
        windows=(Window(start=0, seconds=REPS + 20, task="squats"),),
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("squats",)),)),),
    )
    names = [f"a{n:02}" for n in range(ENTRIES)]
    entries, counts = [an_entry(one, DIVISION, 1) for one in names], {(EVENT, one): REPS - n for n, one in enumerate(names)}
    day = a_mixed_day(entries, [Event(id=EVENT, name="Squats", format=format)], {EVENT: names}, counts)
    secret = "5a" * 32
    return day.model_copy(update={"ledger": Ledger(id=ledger_id(secret), secret=secret)})


def _promise(rule: Rule, gym: int, key: SigningKey, digest: str) -> bytes:
    return key.sign("promise", says_of(Promise(round=rule.id, gym=gym, hand_in=digest)))


def _hand_ins(rule: Rule, day: CompetitionFile, keys: dict[int, SigningKey]) -> list[OfAGym]:
    """The same day as each gym hands it in: worked out once, since only numbers and commitments are others."""
    public = public_of(sealed(day))
    competition = canonical(public.model_dump(mode="json"))
    found, sent = lines_of(rule, public, 1), list[OfAGym]()
    for gym, key in keys.items():
        further = (gym - 1) * 1000
        people = {n: Person(entry=n + further, name=f"Entry {n}", salt=f"{n + further:064x}") for n, _ in found.lines}
        lines = [
            HandInLine(entry=entry + further, event=event, division=division, parts=parts, person=commitment(people[entry]))
            for (entry, event), (division, parts) in sorted(found.lines.items())
        ]
        bare = public.model_copy(update={"marks": (), "seal": None, "runs": (), "heats": (), "entries": (), "athletes": ()})
        made = HandIn(round=rule.id, gym=gym, lines=tuple(lines), people=tuple(people.values()), competition=bare)
        plain = json.loads(says_of(made)) | {"competition": "@"}
        file = key.sign("hand-in", canonical(plain).replace(b'"@"', competition, 1))
        digest, pieces = sha256(file).hexdigest(), tuple(pieces_in(file))
        told = Pieces(round=rule.id, gym=gym, hand_in=digest, bytes=len(file), pieces=pieces)
        sent.append(OfAGym(gym, digest, _promise(rule, gym, key, digest), key.sign("pieces", says_of(told)) + file))
    return sent


def _come(sent: Sequence[S], a_second: float, send: Callable[[S], tuple[float, ...]]) -> list[tuple[float, ...]]:
    """Sends them at their pace; of each, the milliseconds from its moment to each of its answers."""
    begun = time.monotonic()

    def one(number: int) -> tuple[float, ...]:
        moment = begun + number / a_second
        time.sleep(max(0.0, moment - time.monotonic()))
        return tuple((answered - moment) * 1000 for answered in send(sent[number]))

    with ThreadPoolExecutor(max(1, len(sent))) as pool:
        return list(pool.map(one, range(len(sent))))


def _hand_in(server: Serving, one: OfAGym) -> tuple[float, float]:
    """Sends a digest and then its file; when each was answered."""
    promised = _send(server, one.gym, "/round/promise", one.promise)
    return promised, _send(server, one.gym, f"/round/hand-in/{one.digest}", one.file)


def _send(server: Serving, gym: int, path: str, content: bytes) -> float:
    """Sends something from a gym's own address; when it was answered."""
    address = f"127.1.{gym // 250}.{gym % 250 + 1}"
    with closing(http.client.HTTPConnection("127.0.0.1", server.port, PATIENCE_S, source_address=(address, 0))) as line:
        line.request("POST", path, content, {"Content-Type": "application/octet-stream", "Accept": "application/json"})
        answer = line.getresponse()
        if answer.status != 200:
            raise RuntimeError(f"What was sent to {path} was answered {answer.status}: {answer.read(300)!r}")
        answer.read()
        return time.monotonic()


def _wait_until_checked(data: Path, count: int) -> float:
    """Waits until all of so many that came are checked; for how many seconds."""
    begun = time.monotonic()
    database = Database(Settings(data=data).database())
    try:
        found = Headquarters(database, data)
        while sum(one.state == "sound" for one in found.state.hand_ins.values()) < count or found.unchecked():
            if time.monotonic() - begun > PATIENCE_S:
                raise TimeoutError("Not all were checked.")
            time.sleep(0.2)
            found.catch_up()
    finally:
        database.close()
    return time.monotonic() - begun


def _once_it_has_ended(pid: int) -> Load | None:
    """A look at the server after the process that checked for it has ended, which it does a while after nothing waits."""
    until = time.monotonic() + ENDS_S
    while _children(pid) and time.monotonic() < until:
        time.sleep(0.1)
    return load_of(pid)


def _children(pid: int) -> list[str]:
    """The processes that a process began and that have not ended."""
    lists = Path(f"/proc/{pid}/task").glob("*/children")
    return [child for one in lists for child in one.read_text(encoding="ascii").split()]


def _most_memory(pid: int) -> float | None:
    """The most memory that a process ever had, in MB; None where the system does not say."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines()
        return next(int(line.split()[1]) / 1000 for line in lines if line.startswith("VmHWM:"))
    except (OSError, StopIteration):
        return None


def _states(data: Path) -> list[str]:
    database = Database(Settings(data=data).database())
    try:
        return [one.state for one in Headquarters(database, data).state.hand_ins.values()]
    finally:
        database.close()
