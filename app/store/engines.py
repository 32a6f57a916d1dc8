"""Engines: how a connection to SQLite or PostgreSQL is opened, for the one writer and for readers."""

from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url

BUSY_MS = 5_000  # another program (a backup, a shell) may hold the file for a moment
CHECKPOINT_PAGES = 200  # 0.8 MB: a large threshold lets the log eat the last free space of a disk
JOURNAL_BYTES = 1_000_000
READERS = 8

EVERY_CONNECTION = ("PRAGMA foreign_keys=ON",)
# recursive_triggers: without it INSERT OR REPLACE deletes a row past the trigger that refuses deletion.
WRITER_ONLY = (
    "PRAGMA journal_mode=WAL",
    "PRAGMA synchronous=FULL",
    f"PRAGMA wal_autocheckpoint={CHECKPOINT_PAGES}",
    f"PRAGMA journal_size_limit={JOURNAL_BYTES}",
    "PRAGMA recursive_triggers=ON",
)
READER_ONLY = ("PRAGMA query_only=ON",)


class BadStoreUrl(ValueError):
    """Raised when the address of the store can't be used; its text is the sentence to show."""


def writer_engine(url: str) -> Engine:
    """The engine of the single writer: one connection, transactions that take the write lock at once."""
    return _engine(url, pool_size=1, begin="BEGIN IMMEDIATE", pragmas=EVERY_CONNECTION + WRITER_ONLY)


def reader_engine(url: str) -> Engine:
    """The engine of all readers. On SQLite its connections can't write."""
    return _engine(url, pool_size=READERS, begin="BEGIN", pragmas=EVERY_CONNECTION + READER_ONLY)


def sqlite_file(url: str) -> Path | None:
    """The file of an SQLite store; None for any other database."""
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite":
        return None
    if not parsed.database or parsed.database == ":memory:":
        raise BadStoreUrl("The store needs a file: a database in memory would forget every mark.")
    return Path(parsed.database)


def is_sqlite(connection: Connection) -> bool:
    """Whether a connection speaks to SQLite."""
    return connection.dialect.name == "sqlite"


def _engine(url: str, pool_size: int, begin: str, pragmas: tuple[str, ...]) -> Engine:
    parsed = make_url(url)
    if sqlite_file(url) is None:
        return create_engine(parsed, pool_size=pool_size, max_overflow=0, pool_pre_ping=True)
    engine = create_engine(_sqlite_url(parsed), pool_size=pool_size, max_overflow=0, connect_args={"timeout": BUSY_MS / 1000})

    # The driver's own idea of when a transaction begins leaves savepoints and DDL outside: we begin by hand.
    @event.listens_for(engine, "connect")
    def _opened(raw: Any, _record: object) -> None:
        raw.isolation_level = None
        for pragma in pragmas:
            raw.execute(pragma).close()

    @event.listens_for(engine, "begin")
    def _began(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    return engine


def _sqlite_url(parsed: URL) -> URL:
    return parsed.set(drivername="sqlite+pysqlite")
