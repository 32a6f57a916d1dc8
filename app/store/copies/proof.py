"""The proof inside a backup: a checksum over every row, kept in the backup itself, so that no file beside it has to come along.

It tells what a worn stick or a bad cable did. It is no signature: who can write to the stick can also make another proof.
"""

import hashlib
import sqlite3
from contextlib import closing
from pathlib import Path

import msgspec

from app.store.engines import LITTLE_KEPT

TABLE = "backup_proof"
SINCE = "0014"  # the schema's revision from which on every backup carries one


def put_proof(file: Path) -> None:
    """Writes the proof of a finished copy into it."""
    with closing(sqlite3.connect(file, isolation_level=None)) as copy:
        copy.execute("PRAGMA journal_mode=OFF")
        copy.execute(LITTLE_KEPT)
        digest = digest_of(copy)
        copy.execute(f"CREATE TABLE {TABLE} (digest TEXT NOT NULL)")
        copy.execute(f"INSERT INTO {TABLE} VALUES (?)", (digest,))


def said_proof(copy: sqlite3.Connection) -> str | None:
    """The checksum that a backup carries; None for one without."""
    if TABLE not in real_tables(copy):
        return None
    row = copy.execute(f"SELECT digest FROM {TABLE}").fetchone()
    return str(row[0]) if row else ""


def digest_of(copy: sqlite3.Connection) -> str:
    """SHA-256, in hexadecimal, over the name and columns of every table and all its rows in the order that they are kept in."""
    seen = hashlib.sha256()
    encode = msgspec.msgpack.Encoder().encode
    for name in sorted(real_tables(copy) - {TABLE}):
        rows = copy.execute(f'SELECT * FROM "{name}"')
        seen.update(encode((name, [column[0] for column in rows.description])))
        for row in rows:
            seen.update(encode(row))
    return seen.hexdigest()


def real_tables(copy: sqlite3.Connection) -> set[str]:
    """The tables that hold rows of their own: no view, nothing virtual, none of the database's own; no name that needs care."""
    listed = copy.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'")
    return {name for name, sql in listed if str(sql).lstrip().upper().startswith("CREATE TABLE") and name.isidentifier()}
