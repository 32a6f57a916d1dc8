"""A full or failing disk: nothing is acknowledged that is not stored, nothing acknowledged is lost, and the store recovers."""

import asyncio
import json
import subprocess
import sys
from pathlib import Path

import pytest

from app.store import full_disk
from app.store.database import Database
from app.store.devices import get_setting, put_setting
from app.store.full_disk import BALLAST_BYTES, Ballast
from app.store.ledger import Ledger
from app.store.writer import StoreFull
from tests.store.making import a_mark, append, busy_writer, stored_ids

CHECKOUT = Path(__file__).parents[2]
LONG = {"text": "x" * 500}


@pytest.fixture
def url(sqlite_url: str) -> str:
    """What is tried here is about a file."""
    return sqlite_url


@pytest.fixture
def scarce(monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk on which there is never room for the ballast again."""
    monkeypatch.setattr(full_disk, "AMPLE_BYTES", 2**62)


def allow_pages(database: Database, more: int) -> None:
    """Imitates a disk with room for `more` pages of 4 kB."""

    def limit(session: object) -> None:
        connection = session.connection()  # type: ignore[attr-defined]
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages + more}").all()

    database.write(limit)


def fill(ledger: Ledger, first: int) -> list[int]:
    """Appends marks one by one until the disk is full; returns the numbers acknowledged."""
    acknowledged: list[int] = []
    for seq in range(first, first + 2_000):
        try:
            append(ledger, a_mark(seq, kind="note", body=LONG))
        except StoreFull:
            return acknowledged
        acknowledged.append(seq)
    raise AssertionError("The disk never ran full.")


def test_a_full_disk_keeps_what_was_acknowledged_and_recovers(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    database = Database(url)
    ledger = Ledger(database)
    monkeypatch.setattr(full_disk, "AMPLE_BYTES", 2**62)
    allow_pages(database, 20)
    acknowledged = fill(ledger, 1)
    assert acknowledged
    assert stored_ids(database) == {a_mark(seq).id for seq in acknowledged}
    assert ledger.held("tab_1") == {1: acknowledged[-1]}
    assert database.short_of_space

    monkeypatch.undo()  # somebody has made room
    allow_pages(database, 100_000)
    assert not database.short_of_space
    append(ledger, a_mark(acknowledged[-1] + 1))
    database.close()

    again = Database(url)
    assert Ledger(again).held("tab_1") == {1: acknowledged[-1] + 1}
    assert again.read(lambda s: s.connection().exec_driver_sql("PRAGMA integrity_check").scalar()) == "ok"
    again.close()


def test_all_who_share_a_transaction_hear_that_the_disk_is_full(database: Database, ledger: Ledger) -> None:
    allow_pages(database, 4)

    async def together() -> list[object]:
        with busy_writer(database):
            small = asyncio.create_task(ledger.append([a_mark(1)], 1))
            setting = asyncio.create_task(database.awrite(lambda s: put_setting(s, "tone", "low")))
            notes = [a_mark(n, device="tab_2", kind="note", body=LONG) for n in range(1, 200)]
            large = asyncio.create_task(ledger.append(notes, 1))
            await asyncio.sleep(0.05)
        return await asyncio.gather(small, setting, large, return_exceptions=True)

    outcomes = asyncio.run(together())
    assert [str(one) for one in outcomes] == [str(StoreFull())] * 3
    assert stored_ids(database) == set()
    assert database.read(lambda s: get_setting(s, "tone")) is None
    append(ledger, a_mark(1))


def test_the_sentence_says_what_to_do() -> None:
    assert "nothing was saved" in str(StoreFull()) and "Free some space" in str(StoreFull())


def test_the_ballast_is_aboard_from_the_start(database: Database) -> None:
    assert database.ballast is not None
    assert database.ballast.path.stat().st_size == BALLAST_BYTES
    assert not database.short_of_space


@pytest.mark.usefixtures("scarce")
def test_the_ballast_is_not_taken_when_space_is_scarce(tmp_path: Path) -> None:
    ballast = Ballast(tmp_path / "ballast")
    ballast.take()
    assert not ballast.aboard


FILE_SIZE_LIMIT = """
import asyncio, json, resource, signal, sys
from app.store.database import Database
from app.store.ledger import Ledger
from app.store.writer import StoreFull
from tests.store.making import a_mark

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
database = Database(sys.argv[1])
ledger = Ledger(database)
soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
resource.setrlimit(resource.RLIMIT_FSIZE, (1_000_000, hard))

async def fill():
    for seq in range(1, 5_000):
        try:
            await ledger.append([a_mark(seq, kind="note", body={"text": "x" * 500})], 1)
        except StoreFull:
            return seq - 1

acknowledged = asyncio.run(fill())
resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
asyncio.run(ledger.append([a_mark(acknowledged + 1)], 1))
print(json.dumps([acknowledged, ledger.count(), ledger.held("tab_1")[1], database.ballast.aboard]))
database.close()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no limit on the size of a file")
def test_a_limit_on_file_size_shows_as_a_full_disk(url: str) -> None:
    run = subprocess.run([sys.executable, "-c", FILE_SIZE_LIMIT, url], cwd=CHECKOUT, capture_output=True, text=True, check=True)
    acknowledged, count, held, aboard = json.loads(run.stdout)
    assert acknowledged > 100
    assert (count, held, aboard) == (acknowledged + 1, acknowledged + 1, False)
