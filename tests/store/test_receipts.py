"""What the desk knew when a mark came is written once, with the mark, and goes wherever the mark goes."""

from dataclasses import replace

from sqlalchemy import event

from app.results.competition_file import make_file, read_file, write_file
from app.rules.records.document import VERSION
from app.rules.records.marks import Mark, parse_received, received_plain
from app.rules.records.receipts import Receipt
from app.rules.result.sealing import seal_faults, seal_of, sealed
from app.store.database import Database
from app.store.ledger import Ledger
from tests.store.making import a_mark, a_roster, a_run, append

CAME = Receipt(0, "lane", 1_005)


def came(seq: int, receipt: Receipt = CAME, **different: object) -> Mark:
    """A mark on its way into the store."""
    return replace(a_mark(seq, **different), receipt=receipt)


def receipts(ledger: Ledger) -> dict[int, Receipt | None]:
    """What is known of each mark, by its number on the tablet."""
    return {mark.seq: mark.receipt for mark in ledger.all_marks()}


def test_marks_are_numbered_in_the_order_of_receipt(database: Database, ledger: Ledger) -> None:
    append(ledger, came(3), came(1))
    append(Ledger(database), came(2, Receipt(0, "desk", None, again=True)))
    found = receipts(ledger)
    assert [found[seq] for seq in (3, 1)] == [replace(CAME, number=1), replace(CAME, number=2)]
    assert found[2] == Receipt(3, "desk", None, again=True)


def test_the_first_receipt_stands_however_often_a_mark_comes(ledger: Ledger) -> None:
    heard: list[Mark] = []
    ledger.on_new = heard.extend
    append(ledger, came(1), came(2))
    append(ledger, came(1, Receipt(0, "desk", 99_000, again=True)), came(3))
    assert receipts(ledger) == {1: replace(CAME, number=1), 2: replace(CAME, number=2), 3: replace(CAME, number=4)}
    assert [(mark.seq, mark.receipt) for mark in heard] == list(receipts(ledger).items())


def test_a_mark_that_was_laid_aside_keeps_its_place_in_the_order_of_receipt(database: Database, ledger: Ledger) -> None:
    append(ledger, came(1))
    append(ledger, came(1, at=77_000))
    append(Ledger(database), came(2))
    assert sorted(mark.receipt.number for mark in ledger.all_marks() if mark.receipt) == [1, 2, 3]


def test_what_was_laid_aside_is_read_for_its_numbers_once(sqlite_url: str) -> None:
    """Whoever sends marks under used ids by the thousand makes no later mark wait."""
    database = Database(sqlite_url)
    ledger, asked = Ledger(database), list[str]()
    engine = database.write(lambda session: session.connection().engine)
    event.listen(engine, "before_cursor_execute", lambda c, cursor, statement, *more: asked.append(statement))
    append(ledger, came(1))
    for n in range(2, 6):
        append(ledger, came(1, at=n * 1_000))
        append(ledger, came(n))
    database.close()
    assert sum("json_extract" in statement for statement in asked) == 1
    again = Database(sqlite_url)
    append(Ledger(again), came(6, at=1), came(6, at=2), came(7))
    numbers = sorted(mark.receipt.number for mark in Ledger(again).all_marks() if mark.receipt)
    again.close()
    assert numbers == list(range(1, len(numbers) + 1)) and len(numbers) == 12


def test_of_a_mark_of_before_nothing_is_said(ledger: Ledger) -> None:
    append(ledger, a_mark(1), came(2))
    assert receipts(ledger) == {1: None, 2: replace(CAME, number=1)}


def test_the_competition_file_carries_receipts_under_its_seal_and_another_store_takes_them_as_they_are(ledger: Ledger) -> None:
    append(ledger, came(2), came(1, Receipt(0, "lifter", -4_000, wall=True)))
    file = sealed(make_file(a_roster(), (a_run(),), (), ledger.all_marks(), 0))
    again = read_file(write_file(file))
    assert [mark.receipt for mark in again.marks] == [mark.receipt for mark in file.marks]
    assert seal_faults(again) == []
    changed = [replace(mark, receipt=replace(CAME, number=9)) if mark.seq == 2 else mark for mark in file.marks]
    forged = again.model_copy(update={"marks": tuple(changed)})
    assert seal_of(forged).events != seal_of(file).events
    assert seal_faults(forged) == ["What the result of Squats depends on is not what was sealed."]


def test_a_file_of_the_first_version_is_read_and_keeps_its_digests(ledger: Ledger) -> None:
    file = sealed(make_file(a_roster(), (a_run(),), (), (a_mark(1), a_mark(2)), 0))
    old = read_file(write_file(file).replace(b'"version": %d' % VERSION, b'"version": 1'))
    assert old.version == 1 and seal_faults(old) == []


def test_a_mark_is_the_same_mark_whatever_is_known_of_its_coming() -> None:
    mark = came(1, Receipt(7, "lane", 12, again=True))
    assert mark == a_mark(1) and parse_received(received_plain(mark)).receipt == mark.receipt
