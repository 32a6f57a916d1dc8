"""A disk that runs full under a running server: a clear word, tablets keep their marks, all of them come when there is space."""

import asyncio
import json
import random
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from pathlib import Path

import pytest

from app.live.servertime import this_machine
from app.rehearsal.hall import make_hall
from app.rehearsal.serving import ServerProcess, free_port
from app.rehearsal.tablet import JSON, Outbox, Seat, Tablet, body_of
from app.rehearsal.wire import Answer, LineBroken, Wire
from tests.faults.ground import acked
from tests.faults.image import NoLoop, file_system
from tests.faults.imitated import ToldHall
from tests.faults.table import TellOf

if sys.platform == "win32":
    pytest.skip("Windows has no limit on the size of a file", allow_module_level=True)

import resource

pytestmark = pytest.mark.paced

Space = Callable[[int], None]  # makes space for a server of this process id
FULL_BYTES = 600_000


class NoSpace:
    """Takes the space away and gives it back. how: by what, in words."""

    def __init__(self, how: str, data: Path, take: Space, give: Space) -> None:
        self.how, self.data, self.take, self.give = how, data, take, give


def _limit(pid: int, most: int) -> None:
    hard = resource.prlimit(pid, resource.RLIMIT_FSIZE)[1]
    resource.prlimit(pid, resource.RLIMIT_FSIZE, (most, hard))


@pytest.fixture(params=["a limit on the size of files", "a small file system"])
def disk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[NoSpace]:
    with ExitStack() as stack:
        if request.param == "a limit on the size of files":
            if not hasattr(resource, "prlimit"):
                pytest.skip("Only Linux can limit another process.")
            yield NoSpace(
                request.param,
                tmp_path / "data",
                lambda pid: _limit(pid, FULL_BYTES),
                lambda pid: _limit(pid, resource.RLIM_INFINITY),
            )
            return
        try:
            _, at = stack.enter_context(file_system(tmp_path, 12, 1024))
        except NoLoop as wrong:
            pytest.skip(str(wrong))
        yield NoSpace(request.param, at / "data", lambda _: _fill(at / "film.mp4"), lambda _: (at / "film.mp4").unlink())


def _fill(file: Path) -> None:
    """Somebody downloads something large."""
    try:
        with file.open("wb", buffering=0) as film:
            while film.write(b"\1" * 65_536):
                pass
    except OSError:
        return


async def _count_until_refused(tablet: Tablet) -> str:
    """Counts until the desk refuses; returns its word."""
    note = {"text": "x" * 450}
    for number in range(20_000):
        tablet.outbox.add("note", number, 1_750_000_000_000 + number, None, dict(note))
        if number % 20 == 19:
            answer = await _sent(tablet)
            if answer.status != 200:
                return str(json.loads(answer.body)["sentence"])
            tablet.outbox.safe.update(mark.id for mark in tablet.outbox.due())
    raise AssertionError("the disk never ran full")


async def _sent(tablet: Tablet) -> Answer:
    """What the desk answers to all that is due. A line that broke is opened again, as tablets do; a dead server answers none."""
    for _ in range(3):
        with suppress(LineBroken):
            return await tablet.wire.ask("POST", "/marks", body_of(tablet.outbox.due()), JSON)
    return await tablet.wire.ask("POST", "/marks", body_of(tablet.outbox.due()), JSON)


async def _play(seat: Seat, server: ServerProcess, disk: NoSpace, told: ToldHall, token: str) -> None:
    chance = random.Random(20)
    tablet = Tablet(Outbox(seat, 7, chance), Wire("127.0.0.1", server.port, f"ll_device={seat.token}"), chance)
    try:
        disk.take(server.pid)
        told.ground.takes = False
        said = await _count_until_refused(tablet)
        assert "full or failing" in said and "nothing was saved" in said
        kept = set(tablet.outbox.safe)
        assert {mark.id for mark in await tablet.there()} == kept, "what was acknowledged is there, and no half of the rest"
        assert tablet.outbox.due(), "the tablet keeps them"
        told.listen([acked(tablet.outbox)], server.port, token, [said])
        disk.give(server.pid)
        told.ground.takes, told.ground.besides = True, frozenset({"little space"})
        async with asyncio.timeout(30):
            await tablet.send_all()
        assert {mark.id for mark in await tablet.there()} == set(tablet.outbox.marks)
        assert tablet.counted.taken_back == set()
        told.listen([acked(tablet.outbox)], server.port, token)
    finally:
        tablet.wire.cut()


def test_a_full_disk_is_told_and_everything_comes_when_there_is_space(
    disk: NoSpace, monkeypatch: pytest.MonkeyPatch, tell_of: TellOf
) -> None:
    monkeypatch.setenv("LANE_LEDGER_MARKS_PER_SECOND", "1000000")  # hands would take long to fill it
    seats, token = make_hall(disk.data, 1, this_machine())
    told = ToldHall(tell_of, f"the disk full: {disk.how}", disk.data)
    server = ServerProcess(disk.data, free_port())
    server.start()
    try:
        asyncio.run(_play(seats[0], server, disk, told, token))
    finally:
        server.stop()
