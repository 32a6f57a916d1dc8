"""The rows of a backup put into a schema of our own making: what else the file brings along stays behind.

No trigger, view, index or table comes in that our migrations did not make, and nobody who was logged in at a desk: a file can
hold a login that nobody gave. The lanes' devices stay, so that a tablet whose page is open sends its marks again by itself.
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from sqlmodel import Session

from app.rules.records.seats import PLACED_ROLES
from app.store.copies.bounded import read_within
from app.store.copies.proof import real_tables
from app.store.engines import writer_engine
from app.store.schema import bring_to_head

ROWS_AT_ONCE = 2_000

Prove = Callable[[Session], None]


class Unfit(ValueError):
    """Raised when rows don't fit our schema; its text says what is wrong."""


def rebuild(source: Path, revision: str, target: Path, prove: Prove) -> None:
    """Makes a new store at `target` with the rows of a checked backup, in the schema of its `revision`, then walked up.

    Raises Unfit, and what `prove` raises of the store that was made.
    """
    engine = writer_engine(f"sqlite:///{target.absolute().as_posix()}")
    try:
        bring_to_head(engine, revision)
        with read_within(source) as old, closing(sqlite3.connect(target, isolation_level=None)) as new:
            _carry_all(old, new)
        bring_to_head(engine)
        with Session(engine) as session:
            prove(session)
    except sqlite3.Error as wrong:
        raise Unfit(str(wrong)) from None
    finally:
        engine.dispose()


def _carry_all(old: sqlite3.Connection, new: sqlite3.Connection) -> None:
    new.execute("PRAGMA foreign_keys=OFF")  # the order of tables is not that of their references; looked at below
    new.execute("BEGIN IMMEDIATE")
    there = real_tables(old)
    for name in sorted(real_tables(new) - {"alembic_version"}):
        if name not in there:
            raise Unfit(f"there is no table {name} in it")
        _carry(name, old, new)
    # Who is at a lane may do no more than a file with other marks in it could.
    new.execute(f"DELETE FROM device WHERE role NOT IN ({', '.join('?' * len(PLACED_ROLES))})", sorted(PLACED_ROLES))
    new.execute("DELETE FROM pairing")
    if new.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise Unfit("a record in it refers to one that is not there")
    new.execute("COMMIT")


def _carry(name: str, old: sqlite3.Connection, new: sqlite3.Connection) -> None:
    columns = [row[1] for row in new.execute(f"PRAGMA table_info({name})")]
    listed = ", ".join(f'"{column}"' for column in columns)
    rows = old.execute(f"SELECT {listed} FROM {name}")
    put = f"INSERT INTO {name} ({listed}) VALUES ({', '.join('?' * len(columns))})"
    while some := rows.fetchmany(ROWS_AT_ONCE):
        new.executemany(put, some)
