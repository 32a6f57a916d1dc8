"""The drill: a laptop is lost on purpose, and another starts from its backup; then that one, and a third from a file alone.

A server of its own in a folder of its own; nothing of a real competition is touched.
"""

import asyncio
import json
import random
import shutil
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from app.files import import_from, restore_from
from app.live.servertime import this_machine
from app.rehearsal.hall import make_hall, pair_all, pair_desk
from app.rehearsal.read_back import read_back
from app.rehearsal.serving import COMMAND, ServerProcess, free_port
from app.rehearsal.tablet import Outbox, Seat, Tablet
from app.rehearsal.turns import turn_about
from app.rehearsal.wire import LineBroken, Wire
from app.results.competition_file import BadFile
from app.rules.count.tally import fold
from app.rules.records.roster import MOST_LANES
from app.rules.values.words import say
from app.settings import Settings
from app.store.copies.held import remove_folder
from app.store.database import Database

EARLY, LATE, UNSENT = 30, 20, 10  # marks of each lane before the backup, after it, and while the laptop is gone
FORMAT = turn_about()
PATIENCE_S = 30.0  # for what the tablets have to send, a few dozen marks each; after that the drill ends with what it knows
PROMISED_S, BACK_S = 5.0, 120.0  # how long that may take, and how long until a new laptop holds everything

LET_GO_S = 20.0  # how long files of a dead server may still be held by somebody


class BadDrill(ValueError):
    """Raised for a drill that can't be; its text is the sentence to show."""


class Hall:
    """The hall of a drill: its folder, its server, a tablet on each lane."""

    def __init__(self, room: Path, lanes: int, command: Sequence[str]) -> None:
        self.room, self.data, self.stick = room, room / "laptop", room / "stick"
        self.stick.mkdir()
        seats, self.desk = make_hall(self.data, lanes, this_machine())
        self.server = ServerProcess(self.data, free_port(), command=command)
        self.longest_s = 0.0
        self.tablets = [self._tablet(Outbox(seat, time.time_ns() // 1000, random.Random(seat.lane)), seat) for seat in seats]

    def _tablet(self, outbox: Outbox, seat: Seat) -> Tablet:
        return Tablet(outbox, Wire("127.0.0.1", self.server.port, f"ll_device={seat.token}"), random.Random(seat.lane))

    def log_in_anew(self) -> None:
        """The desk of a restored laptop: nobody's login comes out of a backup."""
        database = Database(Settings(data=self.data).database())
        try:
            self.desk = pair_desk(database, this_machine())
        finally:
            database.close()

    def pair_again(self, seats: list[Seat]) -> None:
        """The tablets keep what they hold; the new laptop knows them under new names."""
        self.tablets = [self._tablet(tablet.outbox, seat) for tablet, seat in zip(self.tablets, seats, strict=True)]

    def count(self, marks: int) -> None:
        """Every judge counts on."""
        wall_ms = time.time_ns() // 1_000_000
        for tablet in self.tablets:
            for _ in range(marks):
                number = len(tablet.outbox.marks)
                tablet.outbox.add("rep", 1_000 + 700 * number, wall_ms + number)

    def send(self) -> None:
        """Every tablet sends until the desk holds everything. Raises BadDrill when that takes longer than anybody would wait."""
        try:
            asyncio.run(self._send())
        except TimeoutError:
            waiting = sum(len(tablet.outbox.marks) - len(tablet.outbox.safe) for tablet in self.tablets)
            ended = "" if self.server.ended is None else f" It has ended by itself (code {self.server.ended})."
            raise BadDrill(
                f"The server did not take everything within {PATIENCE_S:.0f} s: {waiting} marks were not acknowledged.{ended}"
            ) from None

    async def _send(self) -> None:
        begun = time.perf_counter()
        try:
            async with asyncio.timeout(PATIENCE_S):
                await asyncio.gather(*(tablet.send_all() for tablet in self.tablets))
        finally:
            self.longest_s = max(self.longest_s, time.perf_counter() - begun)
            for tablet in self.tablets:
                tablet.wire.cut()

    def desk_asks(self, method: str, path: str) -> bytes:
        """What the desk's browser gets. Raises BadDrill."""

        async def ask() -> bytes:
            wire = Wire("127.0.0.1", self.server.port, f"ll_desk={self.desk}", answer_s=PATIENCE_S)
            try:
                answer = await wire.ask(method, path)
            except LineBroken as wrong:
                raise BadDrill(f"{path} was not answered: {wrong}") from None
            finally:
                wire.cut()
            if answer.status != 200:
                raise BadDrill(f"{path} answered {answer.status}: {answer.body[:200].decode(errors='replace')}")
            return answer.body

        return asyncio.run(ask())

    def lose(self) -> None:
        """The laptop is gone, with everything on it: as soon as the system, or a scanner, lets its files go."""
        self.server.kill()
        remove_folder(self.data, LET_GO_S)


def run_drill(lanes: int, command: Sequence[str] = COMMAND) -> int:
    """The whole drill, told step by step, on servers that `command` starts; 0 if nothing was lost or doubled and all was in time.

    Raises BadDrill, ServerGone.
    """
    if not 1 <= lanes <= MOST_LANES:
        raise BadDrill(f"A drill has 1 to {MOST_LANES} lanes.")
    with tempfile.TemporaryDirectory(prefix="lane-ledger-drill-", ignore_cleanup_errors=True) as room:
        hall = Hall(Path(room), lanes, command)
        try:
            wrong = _from_backup(hall) + _from_file(hall)
        finally:
            hall.server.kill()
    late = hall.longest_s > PROMISED_S
    if late:
        _say(
            f"Sending took {hall.longest_s:.1f} s once; {PROMISED_S:g} s are promised. Is this computer busy with something else?"
        )
    _say("Nothing was lost and nothing was duplicated." if not wrong else f"What went wrong stands above: {wrong}.")
    return 1 if wrong or late else 0


def _from_backup(hall: Hall) -> int:
    hall.server.start()
    hall.count(EARLY)
    hall.send()
    _say(f"{say('lanes', n=len(hall.tablets))}, {say('marks', n=_made(hall))}, all of them at the desk.")
    made = json.loads(hall.desk_asks("POST", "/desk/backups/now"))
    kept = Path(shutil.move(made["file"], hall.stick))
    shutil.move(f"{made['file']}.sha256", hall.stick)
    _say(f"Backup: {made['marks']} marks in {kept.name}, read back, moved to the stick.")
    hall.count(LATE)
    hall.send()
    _say(f"{_made(hall) - made['marks']} more marks, at the desk and in no backup.")
    hall.lose()
    hall.count(UNSENT)
    _say(
        f"The laptop is lost with everything on it. The judges count on: {len(hall.tablets) * UNSENT} marks that nobody has seen."
    )
    begun = time.perf_counter()
    _say(restore_from(Settings(data=hall.data), hall.stick))
    hall.log_in_anew()
    hall.server.start()
    hall.send()
    return _compared(hall, begun, LATE)


def _from_file(hall: Hall) -> int:
    file = hall.room / "competition.json"
    file.write_bytes(hall.desk_asks("GET", "/desk/competition.json"))
    hall.count(LATE)
    hall.send()
    hall.lose()
    hall.count(UNSENT)
    _say("That laptop is lost as well, and the stick with it. One older competition file is left.")
    begun = time.perf_counter()
    _say(import_from(Settings(data=hall.data), file))
    _say("No tablet is paired with the new laptop: each one is paired again.")
    database = Database(Settings(data=hall.data).database())
    try:
        seats, hall.desk = pair_all(database, [tablet.outbox.seat.lane for tablet in hall.tablets], this_machine())
    finally:
        database.close()
    hall.pair_again(seats)
    hall.server.start()
    hall.send()
    return _compared(hall, begun, LATE)


def _compared(hall: Hall, begun: float, lost_with_the_laptop: int) -> int:
    """How many things are wrong, and says so: marks in the competition file that are not as the tablets made them, lanes that add
    up otherwise, marks that a running server lost. `lost_with_the_laptop`: how many each tablet had sent since the copy."""
    seconds = time.perf_counter() - begun
    made = {key: mark for tablet in hall.tablets for key, mark in tablet.outbox.marks.items()}
    try:
        kept = read_back(made, hall.desk_asks("GET", "/desk/competition.json"))
    except BadFile as wrong:
        raise BadDrill(f"What the new laptop holds can't be read back: {wrong}") from None
    unequal = asyncio.run(_unequal(hall))
    again, expected = sum(len(tablet.counted.taken_back) for tablet in hall.tablets), lost_with_the_laptop * len(hall.tablets)
    for tablet in hall.tablets:
        tablet.counted.taken_back.clear()
    lanes = len(hall.tablets)
    _say(f"After {seconds:.1f} s the new laptop holds {kept.there} of {len(made)} marks: {kept.words}.")
    _say(f"{again} marks that the old one had acknowledged were sent again. Lanes that add up: {lanes - unequal} of {lanes}.")
    if again != expected:
        _say(f"That should have been {expected}: the others were acknowledged by a laptop that was not lost, and were not there.")
    if seconds > BACK_S:
        _say(f"That is too long: within {BACK_S:.0f} s is promised.")
    return kept.wrong + unequal + abs(again - expected) + (seconds > BACK_S)


async def _unequal(hall: Hall) -> int:
    """Lanes whose sheet adds up to something else on the tablet than at the desk."""
    wrong = 0
    for tablet in hall.tablets:
        wrong += fold(FORMAT, await tablet.there()) != fold(FORMAT, tablet.outbox.marks.values())
        tablet.wire.cut()
    return wrong


def _made(hall: Hall) -> int:
    return sum(len(tablet.outbox.marks) for tablet in hall.tablets)


def _say(words: str) -> None:
    print(f"- {words}", flush=True)
