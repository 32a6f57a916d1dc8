"""Two servers with clocks apart take hand-ins for one round over one PostgreSQL, one is killed, and the book is as from one.

That the key of headquarters lies on both is what their organiser does by hand; one address for both is a matter of their network,
so here each gym sends to either, and to the other where it got no answer.
"""

import http.client
import os
import shutil
import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack, closing
from pathlib import Path

import pytest

from app.live.servertime import this_machine
from app.rehearsal.hall import pair_desk
from app.rehearsal.serving import free_port
from app.round.checking import chain_faults, read_checked
from app.round.headquarters import Headquarters
from app.round.kits import GymRow, make_kit
from app.rules.round.from_event import rule_from
from app.rules.round.guards import roll_root
from app.rules.round.hand_in import Receipt
from app.rules.round.kit import said_in
from app.rules.round.rule import HOUR
from app.store.database import Database
from app.store.roster import put_everything
from tests.bench.servers import Serving, serve_command, serving
from tests.builders.round_house import DIVISION, HandingIn, the_day
from tests.postgres import needed_cluster

GYMS = 12
APART_MS = 90_000
PATIENCE_S = 120.0
# A clock that is so much later than the computer's own.
LATER = (
    "import sys; from app.live import servertime as s; own = s._wall_ms; s._wall_ms = lambda: own() + {later}; "
    "from app.cli import main; sys.exit(main())"
)


@pytest.fixture
def store() -> Iterator[Database]:
    database = Database(needed_cluster().ready_store())
    yield database
    database.close()


def test_the_book_of_two_computers_one_of_which_dies_is_the_book_of_one(
    store: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.write(lambda session: put_everything(session, the_day()))
    desk, files = pair_desk(store, this_machine()), _begun(store, tmp_path / "one")
    shutil.copytree(tmp_path / "one" / "round", tmp_path / "two" / "round")
    monkeypatch.setenv("DATABASE_URL", store.url)
    with ExitStack() as stack:
        first, second = (stack.enter_context(_server(tmp_path / name, later)) for name, later in (("one", 0), ("two", APART_MS)))
        sent = [
            threading.Thread(target=_send, args=(one, desk, (first, second)[:: 1 if n % 2 else -1]))
            for n, one in enumerate(files)
        ]
        for one in sent[: GYMS // 2]:
            one.start()
        _wait_for_a_later_clock(store, tmp_path / "one")
        for one in sent[GYMS // 2 :]:
            one.start()
        _kill(second)
        for one in sent:
            one.join(PATIENCE_S)
        found = _checked(store, tmp_path / "one")
    alone = _alone(tmp_path / "alone", tmp_path / "one", files, found)
    assert {key: line.claim.parts for key, line in found.state.lines.items()} == {
        key: line.claim.parts for key, line in alone.state.lines.items()
    }
    assert roll_root(found.state) == roll_root(alone.state) and len(found.state.lines) == 2 * GYMS
    assert found.state.faults == [] and [one.number for one in found.records] == list(range(1, len(found.records) + 1))
    assert chain_faults(found.receipts(), found.state.key) == []
    told = [said_in(read_checked(one, "receipt").says, Receipt) for one in found.receipts()]
    assert {one.hand_in for one in told if one.what == "arrived"} == set(found.state.hand_ins), "what was receipted is there"
    assert max(one.at for one in told) - min(one.at for one in told) > APART_MS / 2, "both clocks had their say"


def _begun(store: Database, data: Path) -> list[bytes]:
    """A round that is open, and what each of its gyms hands in."""
    now = this_machine().wall_ms()
    made = Headquarters(store, data)
    rule = rule_from(the_day(), "rnd", "A round of two computers", now + HOUR, "UTC", {DIVISION: 1}, now - HOUR)
    make_kit(made, the_day(), rule, [GymRow(n, f"Gym {n}", "North") for n in range(1, GYMS + 1)], data / "kit", now - HOUR)
    gyms = [HandingIn(made, data / "kit" / "round.kit", data / f"gym-{n}", n, now - HOUR) for n in range(1, GYMS + 1)]
    return [gym.hand_in({"a": 10 + gym.number, "b": 5}).content for gym in gyms]


def _server(data: Path, later: int) -> AbstractContextManager[Serving]:
    port = free_port()
    command = serve_command(data, port, (sys.executable, "-c", LATER.format(later=later)))
    return serving(command, port, patience_s=PATIENCE_S)


def _wait_for_a_later_clock(store: Database, data: Path) -> None:
    """Waits until the server whose clock is later has taken something."""
    until, found = time.monotonic() + PATIENCE_S, Headquarters(store, data)
    while max(one.at for one in found.records) < this_machine().wall_ms() + APART_MS / 2:
        assert time.monotonic() < until, "it takes nothing"
        time.sleep(0.02)
        found.catch_up()


def _kill(server: Serving) -> None:
    os.kill(server.pid, signal.SIGKILL)


def _send(content: bytes, desk: str, servers: tuple[Serving, ...]) -> None:
    """Sends a hand-in until one of the servers says that it has it."""
    border = "b0undary"
    head = f'--{border}\r\nContent-Disposition: form-data; name="file"; filename="h"\r\n\r\n'.encode()
    body = head + content + f"\r\n--{border}--\r\n".encode()
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        for server in servers:
            try:
                with closing(http.client.HTTPConnection("localhost", server.port, timeout=PATIENCE_S)) as line:
                    kind = f"multipart/form-data; boundary={border}"
                    headers = {"Cookie": f"ll_desk={desk}", "Origin": server.url, "Content-Type": kind}
                    line.request("POST", "/desk/round/hand-in", body, headers)
                    if line.getresponse().status in (303, 409):  # taken, or there already
                        return
            except (OSError, http.client.HTTPException):
                continue


def _checked(store: Database, data: Path) -> Headquarters:
    """Headquarters once nothing waits any more."""
    until, found = time.monotonic() + PATIENCE_S, Headquarters(store, data)
    while len(found.state.hand_ins) < GYMS or found.unchecked():
        assert time.monotonic() < until, "not all was taken and checked"
        time.sleep(0.2)
        found.catch_up()
    return found


def _alone(data: Path, key: Path, files: list[bytes], like: Headquarters) -> Headquarters:
    """The same hand-ins at one headquarters that nothing happens to, whose round began with the very same records."""
    shutil.copytree(key / "round", data / "round")
    database = Database(f"sqlite:///{(data / 'lane-ledger.sqlite3').as_posix()}")
    try:
        began = [one for one in like.records if one.kind in ("opened", "gym", "bound")]
        made = Headquarters(database, data)
        for record in began:
            fields = {name: value for name, value in record if name not in ("kind", "number", "at")}
            made.add([(type(record), fields)], record.at)
        for content in files:
            made.take_in(content, began[0].at + 1)
            made.check_here(made.unchecked()[0], began[0].at + 1)
        return made
    finally:
        database.close()
