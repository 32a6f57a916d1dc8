"""The laptop stays awake while a heat is planned or a tablet is paired, and what the desk says of it is so."""

import asyncio
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from app.hall.hall import Hall
from app.keep import awake
from app.keep.awake import Holder, Linux, Mac, Windows, holder_of, keep_awake
from tests.builders.halls import House

PAGE = {"accept": "text/html"}
IN_VAIN = "It can&#39;t be kept awake from here"
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="the programs that it starts are of other systems")
# What the real ones do, as far as we rely on it: the one runs what it is given, below its lock; the other waits for a process.
INHIBITS = """#!/bin/sh
echo "$@" >> {said}
case "$1" in *lid*) {lid} ;; esac
while [ "${{1#--}}" != "$1" ]; do shift; done
exec "$@"
"""
WAITS = '#!/bin/sh\necho "$@" >> {said}\nexec sleep 60\n'


def a_program(folder: Path, name: str, text: str) -> None:
    (folder / name).write_text(text, encoding="ascii")
    (folder / name).chmod(0o755)


class Imitated:
    """A system that stays awake when asked, or does not."""

    by, lid = "a friend", False

    def __init__(self, can: bool = True) -> None:
        self.can, self.held, self.asked = can, False, 0

    def take(self) -> bool:
        self.asked += 1
        self.held = self.can
        return self.held

    def holds(self) -> bool:
        return self.held

    def let_go(self) -> None:
        self.held = False


@contextmanager
def kept(house: House, holder: Holder) -> Iterator[Hall]:
    """The hall while a holder keeps it awake, looking all the time."""
    hall: Hall = house.app.state.hall
    portal = house.inside.portal
    assert portal is not None
    running = portal.start_task_soon(keep_awake, hall, holder, 0.0, 0.01)
    try:
        yield hall
    finally:
        running.cancel()


def until(what: object) -> None:
    end = time.monotonic() + 5
    while not what() and time.monotonic() < end:  # type: ignore[operator]
        time.sleep(0.01)
    assert what()  # type: ignore[operator]


def test_it_stays_awake_while_heats_are_planned_and_the_desk_says_by_whom(house: House) -> None:
    desk, friend = house.desk(), Imitated()
    assert "Not kept awake" in desk.get("/desk/way-in/state", headers=PAGE).text
    with kept(house, friend) as hall:
        until(lambda: hall.awake.by)
        assert "Kept awake by a friend, unless its lid is closed" in desk.get("/desk/way-in/state", headers=PAGE).text
        assert IN_VAIN not in desk.get("/desk", headers=PAGE).text
        friend.held = False  # it was ended by somebody
        until(lambda: friend.asked == 2 and friend.held)
    until(lambda: not friend.held)


def test_where_nothing_helps_it_is_said(house: House) -> None:
    desk, nobody = house.desk(), Imitated(can=False)
    with kept(house, nobody) as hall:
        until(lambda: hall.awake.in_vain)
        assert IN_VAIN in desk.get("/desk", headers=PAGE).text
        assert IN_VAIN in desk.get("/desk/way-in/state", headers=PAGE).text


def test_before_there_is_a_day_it_may_sleep_until_a_tablet_is_paired(empty_house: House) -> None:
    desk, friend = empty_house.desk(), Imitated()
    desk.post("/desk/competition", data={"name": "A day", "unit": "kg"}, headers=PAGE)
    with kept(empty_house, friend) as hall:
        time.sleep(0.1)
        assert hall.projection.roster is not None and not friend.held and not hall.awake.wanted
        empty_house.tablet(1)
        until(lambda: friend.held and hall.awake.by)


def test_windows_is_asked_for_system_and_screen_and_its_no_is_heard() -> None:
    asked: list[int] = []
    willing = Windows(lambda wish: asked.append(wish) or 0x80000000)  # type: ignore[func-returns-value]
    assert willing.take() and willing.holds()
    willing.let_go()
    assert asked == [0x80000003, 0x80000000] and not willing.holds()
    assert not Windows(lambda _: 0).take()


@POSIX
@pytest.mark.parametrize(("lid", "held_by_lid"), [(":", True), ("exit 1", False)])
def test_systemd_is_believed_when_its_lock_is_held(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lid: str, held_by_lid: bool
) -> None:
    said = tmp_path / "said"
    a_program(tmp_path, "systemd-inhibit", INHIBITS.format(said=said, lid=lid))
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    keeper = Linux()
    assert keeper.take() and keeper.holds() and keeper.lid is held_by_lid
    assert "--what=idle:sleep" in said.read_text() and "--mode=block" in said.read_text()
    keeper.let_go()
    assert not keeper.holds()


@POSIX
def test_systemd_that_refuses_or_is_not_there_is_no_help(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a_program(tmp_path, "systemd-inhibit", "#!/bin/sh\nexit 1\n")
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    assert not Linux().take()
    monkeypatch.setenv("PATH", str(tmp_path / "nowhere"))
    assert not Linux().take() and not Mac().take()


@POSIX
def test_what_holds_linux_ends_with_the_process_that_asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a_program(tmp_path, "systemd-inhibit", INHIBITS.format(said=tmp_path / "said", lid=":"))
    code = "from app.keep.awake import Linux\nk = Linux()\nassert k.take()\nprint(k._running.pid, flush=True)\ninput()"
    path = f"{tmp_path}:{os.environ['PATH']}"
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=os.environ | {"PATH": path}
    ) as asking:
        assert asking.stdout is not None
        pid = int(asking.stdout.readline())
        asking.kill()
    until(lambda: not Path(f"/proc/{pid}").exists() if sys.platform == "linux" else _gone(pid))


def _gone(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


@POSIX
def test_caffeinate_is_told_to_end_with_us_and_believed_while_it_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a_program(tmp_path, "caffeinate", WAITS.format(said=tmp_path / "said"))
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    monkeypatch.setattr(awake, "SETTLED_S", 0.05)
    keeper = Mac()
    assert keeper.take() and keeper.holds()
    until(lambda: (tmp_path / "said").exists() and (tmp_path / "said").read_text() == f"-i -w {os.getpid()}\n")
    keeper.let_go()
    assert not keeper.holds()


def test_each_system_has_its_own() -> None:
    assert [type(holder_of(one)) for one in ("win32", "darwin", "linux", "freebsd14")] == [Windows, Mac, Linux, Linux]
    assert asyncio.run(_cancelled_at_once())


async def _cancelled_at_once() -> bool:
    friend = Imitated()
    friend.held = True
    task = asyncio.create_task(keep_awake(None, friend, 5.0))  # type: ignore[arg-type]
    await asyncio.sleep(0)
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)
    await asyncio.sleep(0.05)
    return not friend.held
