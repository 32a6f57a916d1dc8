"""The parent of several server processes: it starts the dead again, ends all, and gives up when nothing can start."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from app.listening.opening import open_port
from app.listening.processes import keep_only, sockets_for
from tests.test_serving import ROOT

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="several processes need Linux or macOS")
PATIENCE_S = 30.0

PARENT = """
import os, sys, time
from app.listening.processes import FAILED, Processes

folder, how = sys.argv[1], sys.argv[2]

def work(number, ready):
    if how == "fails":
        print("No store to be had.", file=sys.stderr, flush=True)
        return FAILED
    with open(f"{folder}/{number}-{os.getpid()}", "w"):
        ready()
    time.sleep(60)
    return 0

sys.exit(Processes(3, work, lambda: print("opened", flush=True)).run())
"""


def parent(folder: Path, how: str = "serves") -> "subprocess.Popen[str]":
    """A parent of three children, each of which leaves a file with its number and process id."""
    command = [sys.executable, "-c", PARENT, str(folder), how]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def until(held: Callable[[], bool]) -> None:
    """Waits for a state."""
    end = time.monotonic() + PATIENCE_S
    while not held():
        assert time.monotonic() < end
        time.sleep(0.02)


def born(folder: Path) -> dict[int, list[int]]:
    """By number of the place, who has been there."""
    found: dict[int, list[int]] = {}
    for file in sorted(folder.iterdir(), key=lambda one: one.stat().st_mtime_ns):
        number, pid = file.name.split("-")
        found.setdefault(int(number), []).append(int(pid))
    return found


def alive(pid: int) -> bool:
    """Whether a process runs."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_a_dead_child_is_started_again_in_its_place_and_all_end_with_the_parent(tmp_path: Path) -> None:
    running = parent(tmp_path)
    assert running.stdout is not None
    assert running.stdout.readline() == "opened\n"
    first = born(tmp_path)
    assert sorted(first) == [0, 1, 2]
    os.kill(first[1][0], signal.SIGKILL)
    until(lambda: len(born(tmp_path)[1]) == 2)
    running.send_signal(signal.SIGTERM)
    said, complained = running.communicate(timeout=PATIENCE_S)
    assert (running.returncode, said) == (0, ""), "it says only once that it is open"
    assert complained == "Server process 2 was ended by signal 9. It is started again.\n"
    assert not any(alive(pid) for pids in born(tmp_path).values() for pid in pids)


def test_a_start_that_fails_is_told_by_the_child_and_ends_everything(tmp_path: Path) -> None:
    running = parent(tmp_path, "fails")
    said, complained = running.communicate(timeout=PATIENCE_S)
    assert (running.returncode, said) == (1, "") and "No store to be had." in complained
    assert "started again" not in complained


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere all take from one socket")
def test_each_child_has_a_socket_on_the_one_port_and_closes_the_others(free_port: int) -> None:
    several = sockets_for(3, open_port("127.0.0.1", free_port))
    assert {one.getsockname() for one in several} == {("127.0.0.1", free_port)}
    assert len({one.fileno() for one in several}) == 3
    own = keep_only(1, several)
    assert [one.fileno() == -1 for one in several] == [True, False, True] and own is several[1]
    own.close()
