"""What happens to a store under a running server: removed, made read-only, a byte flipped; and a server that is given no time.

In each the desk, /health, the answers and the last words of the command are held against what the store really holds.
"""

import asyncio
import json
import os
import random
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest

from app.live.servertime import this_machine
from app.rehearsal.hall import make_hall
from app.rehearsal.serving import COMMAND, ServerProcess, free_port
from app.rehearsal.tablet import JSON, Outbox, Tablet, body_of
from app.rehearsal.wire import LineBroken, Wire
from tests.builders.halls import STORE
from tests.faults.ground import Ground, Held, acked, held_open, in_file
from tests.faults.hearing import Said, now_ms
from tests.faults.imitated import ToldHall
from tests.faults.table import TellOf

pytestmark = [pytest.mark.paced, pytest.mark.skipif(sys.platform != "linux", reason="it looks into /proc, and stops a process")]

# A server whose store may not be written to while a file of this name lies beside it.
SAID = "said"  # the file that it writes what it says to
LOCKABLE = f"""
import sys
from pathlib import Path
sys.stdout = (Path(sys.argv[sys.argv.index("--data") + 1]) / "{SAID}").open("w")
from app.store.writer import Writer
whole = Writer._commit
def commit(self, group):
    self._held = self._held or self._engine.connect()
    locked = (Path(self._engine.url.database).parent / "locked").exists()
    self._held.connection.dbapi_connection.execute(f"PRAGMA query_only={{'ON' if locked else 'OFF'}}")
    whole(self, group)
Writer._commit = commit
from app.cli import main
sys.exit(main())
"""


class Scene:
    """A server, one imitated tablet, and whoever listens."""

    def __init__(self, tell_of: TellOf, data: Path, command: Sequence[str]) -> None:
        self._tell_of, self.data = tell_of, data
        (seat,), self.token = make_hall(data, 1, this_machine())
        self.server = ServerProcess(data, free_port(), command=command)
        self._chance = random.Random(20)
        self._outbox = Outbox(seat, 7, self._chance)

    @contextmanager
    def under(self, fault: str) -> Iterator[Ground]:
        """What is so while a fault is played; when it is over everything said is so again."""
        self._told = ToldHall(self._tell_of, fault, self.data)
        yield self._told.ground
        self.listen()
        self._told.teller.conclude()

    def count(self, marks: int, answer_s: float = 20.0) -> list[str]:
        """So many marks, all that wait sent once; the sentence of a refusal, none where all were stored. Raises LineBroken where
        nobody answers in time."""
        for _ in range(marks):
            number = len(self._outbox.marks)
            self._outbox.add("note", number, 1_750_000_000_000 + number, None, {"text": f"note {number}."})
        return asyncio.run(self._send(answer_s))

    async def _send(self, answer_s: float) -> list[str]:
        wire = Wire("127.0.0.1", self.server.port, f"ll_device={self._outbox.seat.token}", answer_s=answer_s)
        try:
            answer = await wire.ask("POST", "/marks", body_of(self._outbox.due()), JSON)
            if answer.status != 200:
                return [str(json.loads(answer.body)["sentence"])]
            await Tablet(self._outbox, wire, self._chance).send_all()
        finally:
            wire.cut()
        return []

    def listen(self, answers: Sequence[str] = ()) -> None:
        """All that is said now is so."""
        self._told.listen([acked(self._outbox)], self.server.port, self.token, answers)

    def last_words(self) -> None:
        """What the command says in the end is so."""
        words = (self.data / SAID).read_text().splitlines()[-1]
        self._told.teller.listen(lambda: [Said("command", 0, words, now_ms())])

    def back_up(self) -> Path:
        """The desk makes a backup; its file."""

        async def press() -> Path:
            wire = Wire("127.0.0.1", self.server.port, f"ll_desk={self.token}")
            answer = await wire.ask("POST", "/desk/backups/now")
            wire.cut()
            assert answer.status == 200, answer.body
            return Path(json.loads(answer.body)["file"])

        self._told.ground.backups += 1
        return asyncio.run(press())


@contextmanager
def a_scene(tell_of: TellOf, data: Path, command: Sequence[str] = COMMAND) -> Iterator[Scene]:
    """A hall whose server has taken ten marks."""
    opened = Scene(tell_of, data, command)
    opened.server.start()
    try:
        assert opened.count(10) == []
        yield opened
    finally:
        opened.server.kill()


def test_a_server_without_time_a_store_read_only_and_one_removed(tmp_path: Path, tell_of: TellOf) -> None:
    with a_scene(tell_of, tmp_path, (sys.executable, "-c", LOCKABLE)) as hall:
        with hall.under("the server stopped, and going on") as ground:
            os.kill(hall.server.pid, signal.SIGSTOP)
            ground.runs = False
            with pytest.raises(LineBroken):
                hall.count(20, answer_s=1.0)
            assert len(in_file(tmp_path / STORE).rows) == 10, "nothing is acknowledged meanwhile"
            os.kill(hall.server.pid, signal.SIGCONT)
            ground.runs = True
            assert hall.count(1) == []
        with hall.under("the store read-only for a while") as ground:
            (tmp_path / "locked").touch()
            ground.takes = False
            refused = hall.count(5)
            assert "may not be written to" in refused[0]
            hall.listen(refused)
            (tmp_path / "locked").unlink()
            ground.takes = True
            assert hall.count(1) == []
        with hall.under("the store's file removed under the server") as ground:
            (tmp_path / STORE).unlink()
            ground.takes, ground.besides = False, frozenset({"the file removed"})
            ground.holds = lambda: held_open(hall.server.pid, STORE)
            refused = hall.count(5)
            assert "was removed or replaced" in refused[0]
            hall.listen(refused)
            ground.lane(1).kept = 5
            before, kept = ground.holds(), in_file(hall.back_up())
            assert {row.id for row in kept.rows} == {row.id for row in before.rows} and len(kept.rows) == 37
            hall.server.stop()
            ground.runs, ground.holds = False, lambda: Held([])
            hall.last_words()
            ground.holds = lambda: kept


def test_a_flipped_byte_is_told_with_the_next_start(tmp_path: Path, tell_of: TellOf) -> None:
    with a_scene(tell_of, tmp_path) as hall, hall.under("a byte flipped in a mark") as ground:
        hall.server.stop()
        whole = (tmp_path / STORE).read_bytes()
        assert whole.count(b"note 3.") == 1
        (tmp_path / STORE).write_bytes(whole.replace(b"note 3.", b"note 8."))
        ground.whole = False
        hall.server.start()
        hall.listen()
        hall.back_up()
