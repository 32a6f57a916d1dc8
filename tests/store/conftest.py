"""A store of its own for each test: on SQLite, and again on PostgreSQL. Tests about a file override `url`."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.store.database import Database
from app.store.ledger import Ledger
from tests.postgres import needed_cluster


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    """The address of a file that does not exist yet."""
    return f"sqlite:///{(tmp_path / 'store.sqlite3').as_posix()}"


@pytest.fixture
def postgres_url() -> str:
    """The address of a new, empty store on a real PostgreSQL server. That the migrations make it so: test_postgres.py."""
    return needed_cluster().ready_store()


@pytest.fixture(params=["sqlite", "postgres"])
def url(request: pytest.FixtureRequest) -> str:
    """The address of a store that does not exist yet, once of each kind."""
    found: str = request.getfixturevalue(f"{request.param}_url")
    return found


@pytest.fixture
def database(url: str) -> Iterator[Database]:
    """An open, empty store."""
    opened = Database(url)
    yield opened
    opened.close()


@pytest.fixture
def ledger(database: Database) -> Ledger:
    """The ledger of the empty store."""
    return Ledger(database)
