"""The -shm file beside a store: its space is its own from the start, and nobody's locks are given up for it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.store.database import Database
from app.store.full_disk import FIRST_PART, SharedIndex

pytestmark = pytest.mark.skipif(not hasattr(os, "posix_fallocate"), reason="here no file's space can be taken beforehand")
# Whether another process may take the lock by which SQLite knows that nobody else has the store open (byte 128: os_unix.c).
OTHER = """
import fcntl, sys
with open(sys.argv[1], "r+b") as index:
    try:
        fcntl.lockf(index, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, 128)
    except OSError:
        print("locked")
"""


def is_locked(file: Path) -> bool:
    return subprocess.run([sys.executable, "-c", OTHER, str(file)], capture_output=True, text=True, check=True).stdout != ""


def test_the_space_of_the_index_is_taken_and_no_lock_is_given_up_by_a_second_store(tmp_path: Path) -> None:
    file = tmp_path / "store.sqlite3"
    index = tmp_path / "store.sqlite3-shm"
    first = Database(f"sqlite:///{file}")
    assert index.stat().st_blocks * 512 >= FIRST_PART
    second = Database(f"sqlite:///{file}")
    second.close()
    assert is_locked(index)
    os.close(os.open(index, os.O_RDWR))
    assert not is_locked(index), "what another line, closed, would have done"
    first.close()
    assert not index.exists()


def test_without_the_file_nothing_happens(tmp_path: Path) -> None:
    SharedIndex(tmp_path / "none").close()
