"""The space of SQLite's shared index, the -shm file beside a store, taken whole before anything is written.

SQLite maps the file into memory and sees to one byte in each 4 KiB of it. On a file system of smaller blocks the rest are holes,
and to touch one of them when the disk is full ends the process (SIGBUS) in the middle of a commit.
"""

import os
from collections import defaultdict
from pathlib import Path

FIRST_PART = 32 * 1024  # what SQLite maps at once; with a log as short as ours there is no second part

File = tuple[int, int]  # its device and number
_lines: defaultdict[File, list[int]] = defaultdict(list)
_stores: defaultdict[File, int] = defaultdict(int)


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
