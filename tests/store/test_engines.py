"""How connections are opened."""

import sqlite3
import sys
from typing import Any

import pytest
from sqlmodel import Session

from app.store.database import Database
from app.store.engines import READERS, READERS_KEPT, BadStoreUrl, writer_engine

WRITER = {
    "journal_mode": "wal",
    "synchronous": 2,  # FULL
    "foreign_keys": 1,
    "recursive_triggers": 1,
    "wal_autocheckpoint": 200,
    "journal_size_limit": 1_000_000,
    "cache_size": -1024,
}


@pytest.fixture
def url(sqlite_url: str) -> str:
    """What is tried here is about a file."""
    return sqlite_url


@pytest.mark.parametrize("pragma", WRITER)
def test_the_writer_is_durable_and_checks_references(database: Database, pragma: str) -> None:
    found = database.write(lambda s: s.connection().exec_driver_sql(f"PRAGMA {pragma}").scalar())
    assert found == WRITER[pragma]


@pytest.mark.parametrize(
    ("pragma", "value"), [("journal_mode", "wal"), ("foreign_keys", 1), ("query_only", 1), ("cache_size", -512)]
)
def test_readers_can_only_read_and_keep_little(database: Database, pragma: str, value: object) -> None:
    assert database.read(lambda s: s.connection().exec_driver_sql(f"PRAGMA {pragma}").scalar()) == value


def test_who_reads_alone_always_has_the_same_connection_however_many_read_at_once_before(database: Database) -> None:
    def connection_of(session: Session) -> int:
        return id(session.connection().connection.dbapi_connection)

    many = database.read(lambda outer: {connection_of(outer), database.read(connection_of)})
    assert len(many) == 2
    assert len({database.read(connection_of) for _ in range(4)}) == 1


def test_of_many_that_have_read_at_once_few_connections_stay_open(database: Database) -> None:
    def those_of(session: Session, more: int) -> list[sqlite3.Connection]:
        own: Any = session.connection().connection.dbapi_connection
        return [own, *(database.read(lambda inner: those_of(inner, more - 1)) if more else ())]

    opened = database.read(lambda session: those_of(session, READERS - 1))
    assert len({id(one) for one in opened}) == READERS
    assert sum(map(is_open, opened)) == READERS_KEPT


def is_open(connection: sqlite3.Connection) -> bool:
    try:
        connection.execute("SELECT 1")
    except sqlite3.ProgrammingError:
        return False
    return True


def test_a_reference_to_nothing_is_refused(database: Database) -> None:
    with pytest.raises(Exception, match="FOREIGN KEY"):
        database.write(lambda s: s.connection().exec_driver_sql("INSERT INTO member VALUES ('ent_1', 1, 'ath_1')"))


@pytest.mark.parametrize("url", ["sqlite://", "sqlite:///:memory:"])
def test_a_store_in_memory_is_refused(url: str) -> None:
    with pytest.raises(BadStoreUrl, match="would forget every mark"):
        Database(url)


def test_closing_leaves_one_whole_file(database: Database) -> None:
    database.write(lambda s: s.connection().exec_driver_sql("INSERT INTO setting VALUES ('tone', 'low')"))
    database.close()
    assert database.file is not None
    assert not database.file.with_name(database.file.name + "-wal").exists()
    alone = sqlite3.connect(database.file)
    assert alone.execute("SELECT value FROM setting WHERE name = 'tone'").fetchall() == [("low",)]
    alone.close()


def test_a_missing_driver_of_postgresql_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "psycopg", None)
    with pytest.raises(BadStoreUrl, match=r"lane-ledger\[postgresql\]"):
        writer_engine("postgresql://u:p@h/d")
