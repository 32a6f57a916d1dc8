"""What every test would wait for and few are about: a slow password hash, migrations of an empty store, SQL put into words.

The tests of the schema and the faults walk up real stores; everything else begins with a copy of what the migrations made.
"""

import functools
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher
from sqlalchemy import Dialect, Engine, create_engine

from app.doors import logins
from app.store import database, engines, schema
from app.store.engines import writer_engine

QUICK_HASHER = functools.partial(PasswordHasher, time_cost=1, memory_cost=64, parallelism=1)
REAL_SCHEMA = schema.bring_to_head


@contextmanager
def quickly(*, stores: bool) -> Iterator[None]:
    """Passwords hashed cheaply, and with `stores` empty SQLite stores filled from a copy and all stores asked in words that are
    known, while the block runs."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(logins, "PasswordHasher", QUICK_HASHER)
        if stores:
            patch.setattr(database, "bring_to_head", _bring_to_head)
            patch.setattr(engines, "create_engine", _engine_in_known_words)
        yield


_DIALECTS: dict[str, Dialect] = {}
_WORDS: dict[Any, Any] = {}


def _engine_in_known_words(*where: Any, **how: Any) -> Engine:
    """An engine that takes over the SQL that earlier ones made of the same questions: to put them into words is half of a test.

    A server opens its engines once and words a question once; each test opens others.
    """
    engine = create_engine(*where, **how)
    engine.dialect = engine.pool._dialect = _DIALECTS.setdefault(engine.dialect.name, engine.dialect)
    engine._compiled_cache = _WORDS  # type: ignore[assignment]
    return engine


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
