"""Writing what a round keeps as files beside the store: keys, kits, hand-ins, receipts, lists and notes of films.

Several processes keep such things: those of one server over one data folder, and a command beside it. Whoever makes what they
keep of what they have read has the room to themselves meanwhile. What was kept outlasts a power cut, its name too: a hand-in is
salted by chance, so that nobody could make the one again whose digest was promised.
"""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import RLock
from typing import IO

from app.alone import takes
from app.lan.certificate import write_secret
from app.rules.round.kit import BadKit
from app.store.files.folder import sync_folder
from app.store.rounds import ROOM
from app.store.whose import make_private_folder

LOCK = "round.lock"  # beside the room
PATIENCE_S, AGAIN_S = 20.0, 0.002  # each keeps something for some milliseconds, the largest hand-in for some seconds
TAKEN = "Something else of this data folder's round is being kept, and does not end. Try again."
_ONE_THREAD = RLock()
_ALONE = set[Path]()


@contextmanager
def alone_in_room(data: Path) -> Iterator[Path]:
    """Has the folder of the round to oneself, from all threads and processes; it. Raises BadKit."""
    room = data / ROOM
    with _ONE_THREAD:
        if room in _ALONE:
            yield room
            return
        with _open_lock(data) as lock:
            until = time.monotonic() + PATIENCE_S
            while not _taken(lock):
                if time.monotonic() > until:
                    raise BadKit(TAKEN)
                time.sleep(AGAIN_S)
            _ALONE.add(room)
            try:
                yield room
            finally:
                _ALONE.discard(room)


def _open_lock(data: Path) -> IO[bytes]:
    with _told():
        make_private_folder(data)
        return (data / LOCK).open("ab")


def _taken(lock: IO[bytes]) -> bool:
    with _told():
        return takes(lock)


def keep_in_room(data: Path, name: str, content: bytes) -> None:
    """Keeps a file in the folder of the round, whole or not at all, for its owner alone. When this returns, it outlasts a power
    cut. Raises BadKit."""
    with alone_in_room(data) as room, _told():
        file = room / name
        folders = [one for one in (file.parent, *file.parent.parents) if one == room or room in one.parents]
        for folder in reversed(folders):
            make_private_folder(folder)
            sync_folder(folder.parent)  # whoever made it may have been killed before
        write_secret(file, content)
        sync_folder(file.parent)


def add_in_room(data: Path, name: str, content: bytes) -> None:
    """Adds to a file that is kept there. What is cut off amid it is left to whoever reads it. Raises BadKit."""
    with alone_in_room(data) as room, _told():
        line = os.open(room / name, os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0))
        with os.fdopen(line, "wb") as opened:
            opened.write(content)
            opened.flush()
            os.fsync(opened.fileno())


@contextmanager
def _told() -> Iterator[None]:
    try:
        yield
    except OSError as wrong:
        raise BadKit(f"The folder of the round can't be written: {wrong.strerror}.") from None
