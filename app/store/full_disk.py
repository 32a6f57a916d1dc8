"""What is done before the disk is full, so that a full one stops nothing that was acknowledged.

The ballast is a file that takes up a little space: there is something to throw overboard. The shared index is the -shm file
beside a store: SQLite maps it into memory and sees to one byte in each 4 KiB of it. On a file system of smaller blocks the rest
are holes, and to touch one of them when the disk is full ends the process (SIGBUS) in the middle of a commit. So its space is
taken whole before anything is written.
"""

import os
import shutil
from collections import defaultdict
from pathlib import Path

BALLAST_BYTES = 1_000_000
AMPLE_BYTES = 64_000_000  # take the ballast back only when the disk has room again
FIRST_PART = 32 * 1024  # what SQLite maps at once; with a log as short as ours there is no second part

File = tuple[int, int]  # its device and number
_lines: defaultdict[File, list[int]] = defaultdict(list)
_stores: defaultdict[File, int] = defaultdict(int)


def has_no_room(folder: Path) -> bool:
    """Whether the disk of a folder has not even the room that is needed to open a store."""
    try:
        return shutil.disk_usage(folder).free < 2 * FIRST_PART
    except OSError:
        return False


def too_full(folder: Path) -> str:
    """That so, as a sentence."""
    return f"The disk that holds {folder} is full."


class Ballast:
    """One megabyte beside the database. Released when the disk is full, taken back when there is ample space."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    def aboard(self) -> bool:
        """Whether the ballast is in place."""
        return self.path.exists()

    def release(self) -> None:
        """Frees the space."""
        self.path.unlink(missing_ok=True)

    def take(self) -> None:
        """Takes the space again if there is ample; a disk too full for it is no error."""
        try:
            if not self.aboard and shutil.disk_usage(self.path.parent).free > AMPLE_BYTES:
                self.path.write_bytes(b"\1" * BALLAST_BYTES)
        except OSError:
            self.release()


class SharedIndex:
    """Holds the -shm file of an open store, all of its space its own.

    Closing any line to a file gives up all locks of the process on it (POSIX), SQLite's among them. So no line is closed before
    the last store of this process that has this file is; `close` is called when a store's own connections are closed.
    """

    def __init__(self, store: Path) -> None:
        self._file: File | None = None
        if not hasattr(os, "posix_fallocate"):
            return
        try:
            line = os.open(store.with_name(store.name + "-shm"), os.O_RDWR)
        except OSError:
            return
        found = os.fstat(line)
        self._file = found.st_dev, found.st_ino
        _lines[self._file].append(line)
        _stores[self._file] += 1
        try:
            os.posix_fallocate(line, 0, FIRST_PART)
        except OSError:  # a disk that is full already, or a file system that can't: as it was before
            return

    def close(self) -> None:
        """Lets the file go."""
        if self._file is None:
            return
        _stores[self._file] -= 1
        if not _stores[self._file]:
            for line in _lines.pop(self._file):
                os.close(line)
            del _stores[self._file]
        self._file = None
