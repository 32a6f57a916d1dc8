"""Two things that every test would wait for and few are about: a slow password hash, and the migrations of an empty store.

The store's own tests and the faults make and move real stores; everything else begins with a copy of what the migrations made.
"""

import functools
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from sqlalchemy import Engine

from app.doors import logins
from app.store import database, schema
from app.store.engines import writer_engine

QUICK_HASHER = functools.partial(PasswordHasher, time_cost=1, memory_cost=64, parallelism=1)
REAL_SCHEMA = schema.bring_to_head


@contextmanager
def quickly(*, stores: bool) -> Iterator[None]:
    """Passwords hashed cheaply, and with `stores` empty SQLite stores filled from a copy, while the block runs."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(logins, "PasswordHasher", QUICK_HASHER)
        if stores:
            patch.setattr(database, "bring_to_head", _bring_to_head)
        yield


def _bring_to_head(engine: Engine) -> None:
    if engine.dialect.name != "sqlite" or schema.current_revision(engine) is not None:
        REAL_SCHEMA(engine)
        return
    raw = engine.raw_connection()
    try:
        raw.driver_connection.executescript(_newest_schema())  # type: ignore[union-attr]
    finally:
        raw.close()


@functools.lru_cache(maxsize=1)
def _newest_schema() -> str:
    """What the migrations make of an empty SQLite store, as SQL."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "store.db"
        engine = writer_engine(f"sqlite:///{file}")
        REAL_SCHEMA(engine)
        engine.dispose()
        with closing(sqlite3.connect(file)) as made:
            return "\n".join(made.iterdump())
