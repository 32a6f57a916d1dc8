"""Contents that an older version kept in a store's own table are moved into its folder, in slices, and on after a kill."""

import sqlite3
from contextlib import suppress
from hashlib import sha256
from typing import Any

from sqlalchemy import Engine, delete, func, select
from sqlmodel import Session

from app.store.files.folder import Folder
from app.store.tables.files import FileContentRow

CONTENT = FileContentRow.__table__  # type: ignore[attr-defined]
SLICE_BYTES = 16 * 1024 * 1024  # in memory at once, but for one file that is larger by itself
MOST_FREE = 2  # a store of which one page in so many is free is written anew, smaller


def has_rows(session: Session) -> bool:
    """Whether there is anything to move."""
    return session.connection().execute(select(CONTENT.c.digest).limit(1)).first() is not None


def move_out(engine: Engine, folder: Folder) -> int:
    """Moves what there is; how many files that were. A row whose content is not what its digest says stays where it is.

    Raises OSError where the disk does not take it; what was moved until then stays so.
    """
    moved, after = 0, ""
    while digests := _next(engine, after):
        after = digests[-1]
        moved += _move(engine, folder, digests)
    if moved:
        _shrink(engine)
    return moved


def _next(engine: Engine, after: str) -> list[str]:
    """The digests of the next slice."""
    sizes = select(CONTENT.c.digest, func.length(CONTENT.c.content)).where(CONTENT.c.digest > after).order_by(CONTENT.c.digest)
    with engine.connect() as connection:
        found, total = list[str](), 0
        for digest, size in connection.execute(sizes):
            total += size
            if found and total > SLICE_BYTES:
                break
            found.append(digest)
    return found


def _move(engine: Engine, folder: Folder, digests: list[str]) -> int:
    """Puts the contents of some rows into the folder, and then removes the rows."""
    with engine.connect() as connection:
        rows = connection.execute(select(CONTENT.c.digest, CONTENT.c.content).where(CONTENT.c.digest.in_(digests))).all()
    put = [folder.put(bytes(content)) for digest, content in rows if sha256(content).hexdigest() == digest]
    with engine.begin() as connection:
        connection.execute(delete(CONTENT).where(CONTENT.c.digest.in_(put)))
    return len(put)


def _shrink(engine: Engine) -> None:
    """Gives the disk back what the rows took, so that no backup copies it: what is left is written anew into less. Where that
    can't be done new rows take the free pages."""
    with engine.connect() as connection, suppress(sqlite3.Error):
        raw: Any = connection.connection.dbapi_connection
        free, pages = (raw.execute(f"PRAGMA {name}").fetchone()[0] for name in ("freelist_count", "page_count"))
        if free * MOST_FREE > pages:
            raw.execute("VACUUM")
