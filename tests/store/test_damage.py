"""A mark's row that is not as it was written is found by its own check; a store that keeps nothing any more says so."""

import os
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.receipts import Receipt
from app.store.copies.backup import check, make_backup
from app.store.damage import CHECKED, check_of
from app.store.database import Database
from app.store.ledger import Ledger
from app.store.writer import StoreReadOnly, StoreTrouble
from tests.store.making import a_mark, append

NOON = datetime(2026, 5, 30, 12, 0, tzinfo=UTC)
CELLS = st.one_of(st.none(), st.integers(-(2**40), 2**40), st.text(max_size=8), st.binary(min_size=1, max_size=16))


@given(st.lists(CELLS, min_size=len(CHECKED), max_size=len(CHECKED)), st.data())
def test_a_row_in_which_one_cell_changed_has_another_check(row: list[object], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(row) - 1))
    other = data.draw(CELLS.filter(lambda cell: cell != row[place] or type(cell) is not type(row[place])))
    assert check_of(row) != check_of([*row[:place], other, *row[place + 1 :]])
    assert check_of([True, False, memoryview(b"x")]) == check_of([1, 0, b"x"]), "whichever database gives it back"


def flipped(file: Path, old: bytes, new: bytes) -> None:
    """What a worn disk does, past every trigger and lock."""
    data = file.read_bytes()
    assert data.count(old) == 1
    file.write_bytes(data.replace(old, new))


def test_what_was_written_is_found_as_it_was_written_by_either_database(database: Database, ledger: Ledger) -> None:
    known = replace(a_mark(2, kind="note", body={"text": "Łódź"}), receipt=Receipt(0, "lane", 950, False, True))
    append(ledger, a_mark(1), known)
    database.look_for_damage()
    assert database.damaged == () and ledger.count() == 2


def test_a_flipped_byte_is_told_with_device_and_number(tmp_path: Path, sqlite_url: str) -> None:
    database = Database(sqlite_url)
    append(Ledger(database), *(a_mark(seq, kind="note", body={"text": f"note {seq}."}) for seq in range(1, 6)))
    database.look_for_damage()
    assert database.damaged == ()
    file = database.file
    assert file is not None
    database.close()
    flipped(file, b"note 3.", b"note 8.")
    again = Database(sqlite_url)
    try:
        again.look_for_damage()
        assert [(one.device, one.seq) for one in again.damaged] == [(a_mark(3).device, 3)]
        with closing(sqlite3.connect(file)) as opened:
            assert opened.execute("PRAGMA integrity_check").fetchone() == ("ok",), "the database itself sees nothing"
        made = make_backup(again, tmp_path / "stick", NOON)
        assert made.contents.damaged == check(made.file).damaged == 1
    finally:
        again.close()


@pytest.mark.skipif(os.name == "nt", reason="there an open file can't be removed")
@pytest.mark.parametrize("replaced", [False, True])
def test_nothing_is_acknowledged_once_the_file_is_gone(sqlite_url: str, replaced: bool, tmp_path: Path) -> None:
    database = Database(sqlite_url)
    ledger = Ledger(database)
    append(ledger, a_mark(1))
    assert database.trouble == "" and database.file is not None
    database.file.unlink()
    if replaced:
        database.file.write_bytes(b"")
    with pytest.raises(StoreTrouble, match="removed or replaced"):
        append(ledger, a_mark(2))
    assert "make a backup at the desk first" in database.trouble
    database.file.unlink(missing_ok=True)
    database.close()


def test_a_store_that_may_not_be_written_says_so_until_it_may(sqlite_url: str) -> None:
    database = Database(sqlite_url)
    ledger = Ledger(database)

    def locked(on: bool) -> None:
        database.submit_steps(lambda raw, _: raw.execute(f"PRAGMA query_only={'ON' if on else 'OFF'}")).result()

    locked(True)
    with pytest.raises(StoreReadOnly):
        append(ledger, a_mark(1))
    assert "may not be written to" in database.trouble
    locked(False)
    append(ledger, a_mark(1))
    assert database.trouble == ""
    database.close()
