"""A store of its own for each test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.store.database import Database
from app.store.ledger import Ledger


@pytest.fixture
def url(tmp_path: Path) -> str:
    """The address of a store that does not exist yet."""
    return f"sqlite:///{(tmp_path / 'store.sqlite3').as_posix()}"


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
