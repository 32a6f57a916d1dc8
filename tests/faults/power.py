"""The store's own code on a disk that loses power: every acknowledged mark against what the cut left."""

import asyncio
import random
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from sqlalchemy.pool import QueuePool

from app.store import engines
from app.store.database import Database
from app.store.ledger import Ledger
from tests.faults import apsw_dbapi
from tests.faults.fickle_disk import Disk, Playback, Record
from tests.store.making import a_mark

VFS = "fickle"
TABLETS = 4


@dataclass
class Cuts:
    """What the cuts left: how many lost an acknowledged mark, how many a store that can't be read, and how many were made."""

    losing: int = 0
    corrupt: int = 0
    made: int = 0
    lost: int = 0


def cut_power(synchronous: str, marks: int, cuts: int, seed: int = 20) -> Cuts:
    """Stores marks with the store's own writer under this `synchronous`, then cuts the power at so many moments of it."""
    record = Record()
    with tempfile.TemporaryDirectory() as folder:
        _store_marks(Path(folder) / "store.sqlite3", record, synchronous, marks)
    chance, outcome, playback = random.Random(seed), Cuts(), Playback(record)
    # From the first acknowledgement on: before it there is nothing to lose.
    first = next(index for index, step in enumerate(record.steps) if step[1] == "told")
    moments = sorted(chance.sample(range(first + 1, len(record.steps)), k=min(cuts, len(record.steps) - first - 1)))
    with tempfile.TemporaryDirectory() as left:
        for moment in moments:
            playback.go_on(moment)
            playback.cut_power(Path(left), chance)
            outcome.made += 1
            there = read_store(Path(left) / "store.sqlite3")
            if there is None:
                outcome.corrupt += 1
            else:
                lost = len(set(playback.told) - there)
                outcome.lost += lost
                outcome.losing += lost > 0
    return outcome


def _store_marks(file: Path, record: Record, synchronous: str, marks: int) -> None:
    disk = Disk(VFS, record)
    try:
        with _on(VFS, synchronous):
            database = Database(f"sqlite:///{file}")
            ledger = Ledger(database)
            asyncio.run(_count(ledger, record, marks))
            database.close()
    finally:
        disk.unregister()


async def _count(ledger: Ledger, record: Record, marks: int) -> None:
    async def tablet(number: int) -> None:
        for seq in range(1, marks // TABLETS + 1):
            mark = a_mark(seq, device=f"tab_{number}", kind="note", body={"text": "x" * (seq * 37 % 300 + 1)})
            await ledger.append([mark], 1)
            record.acknowledged(mark.id)

    await asyncio.gather(*(tablet(number) for number in range(1, TABLETS + 1)))


@contextmanager
def _on(vfs: str, synchronous: str) -> Iterator[None]:
    """Lets the store open its connections through a virtual file system, with another `synchronous` if asked."""
    create = engines.create_engine

    def create_engine(url: Any, **how: Any) -> Any:
        how.pop("connect_args", None)
        opened = lambda: apsw_dbapi.Connection(url.database, vfs)  # noqa: E731
        return create("sqlite://", module=apsw_dbapi, creator=opened, poolclass=QueuePool, **how)

    pragmas = tuple(p.replace("synchronous=FULL", f"synchronous={synchronous}") for p in engines.WRITER_ONLY)
    with patch.object(engines, "create_engine", create_engine), patch.object(engines, "WRITER_ONLY", pragmas):
        yield


def read_store(file: Path) -> set[str] | None:
    """The ids in a store that a power cut left, read by SQLite as a start would; None if it is not whole."""
    try:
        with closing(sqlite3.connect(file)) as store:
            if store.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                return None
            return {row[0].hex() for row in store.execute("SELECT id FROM mark")}
    except sqlite3.OperationalError as wrong:
        return set() if "no such table" in str(wrong) else None  # not even the tables were kept
    except sqlite3.DatabaseError:
        return None
