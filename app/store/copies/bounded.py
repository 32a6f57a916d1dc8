"""Somebody else's SQLite file, read without believing it: in a bounded time and size, and nothing that it brings along is run.

A file from a stick may hold a view without an end, a trigger that changes what is written, or a cell of a gigabyte.
"""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path, PurePath

from app.store.engines import LITTLE_KEPT

MOST_BYTES = 4 * 1024**3  # some ten million marks
LEAST_S, A_MEGABYTE_S = 60.0, 1.0  # a worn stick reads several megabytes in a second; what takes longer does not end
LOOK_EVERY = 50_000  # steps of SQLite's own machine between two looks at the time, some milliseconds
MOST_CELL = 64 * 1024**2


def too_large(file: Path) -> str | None:
    """The sentence for a file that is too large to be a backup, else None."""
    try:
        size = file.stat().st_size
    except OSError:
        return None  # told by whoever reads it
    return f"{file.name} is larger than any backup ({size:,} bytes), and was not read." if size > MOST_BYTES else None


def uri_of(file: PurePath, how: str) -> str:
    r"""An absolute path as SQLite takes it, and how to open it. For a share in the network (\\laptop\share) it wants the two
    strokes in the path, where a URI has the name of the computer in a place of its own (sqlite.org/uri.html)."""
    uri = file.as_uri()
    plain = uri if uri.startswith("file:///") else f"file:////{uri.removeprefix('file://')}"
    return f"{plain}?{how}"


@contextmanager
def read_within(file: Path) -> Iterator[sqlite3.Connection]:
    """Opens a file to read from only, for a time that its size allows; after that every question raises sqlite3.Error."""
    until = time.monotonic() + LEAST_S + A_MEGABYTE_S * file.stat().st_size / 1_000_000
    with closing(sqlite3.connect(uri_of(file.absolute(), "mode=ro&immutable=1"), uri=True)) as store:
        store.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, MOST_CELL)
        store.execute("PRAGMA trusted_schema=OFF")
        store.execute("PRAGMA cell_size_check=ON")
        store.execute(LITTLE_KEPT)
        store.set_progress_handler(lambda: time.monotonic() > until, LOOK_EVERY)
        yield store
