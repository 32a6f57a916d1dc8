"""Sheets that are kept beside the ledger: taken while the store holds just the marks that they were made of."""

from collections.abc import Sequence
from dataclasses import replace

from sqlmodel import Session

from app.rules.records.marks import Mark
from app.rules.records.numbers import spans_of
from app.store.database import Database
from app.store.holding import Holding
from app.store.kept.sheets import KEPT, KeptSheet, checks_of, keep, kept_in
from app.store.ledger import stored
from app.store.markrows import MARKS, insert_new
from tests.builders.pairs import a_file

MARKS_OF = {
    sheet: [mark for mark in a_file(done=((6, 9, 95), (7, 8, 80))).marks if mark.sheet == sheet]
    for sheet in ("asg_0/1/lane", "asg_1/1/lane")
}


def put(database: Database, marks: Sequence[Mark]) -> None:
    database.write(lambda session: insert_new(session.connection(), [(mark, 1) for mark in marks]))


def read(database: Database) -> tuple[set[str], set[str]]:
    """Which sheets are taken as they were kept, and of which every mark is read; what is held is the same either way."""

    def ask(session: Session) -> tuple[set[str], set[str]]:
        there = stored(session)
        whole = Holding.load(session)
        devices = {mark.device for marks in MARKS_OF.values() for mark in marks}
        assert all(there.held.through(device) == whole.through(device) for device in devices)
        return {one.sheet for one in there.kept}, {mark.sheet for mark in there.marks}

    return database.read(ask)


def kept(sheet: str) -> KeptSheet:
    marks = MARKS_OF[sheet]
    return KeptSheet(sheet, len(marks), spans_of(marks), b"packed")


def test_a_sheet_is_taken_as_it_was_kept_until_the_store_holds_other_marks_of_it(database: Database) -> None:
    first, second = MARKS_OF
    for marks in MARKS_OF.values():
        put(database, marks)
    assert read(database) == (set(), {first, second})
    for sheet, marks in MARKS_OF.items():
        checks = database.read(lambda session, marks=marks: checks_of(session, [mark.id for mark in marks]))
        assert checks is not None and database.read(lambda session: checks_of(session, ["f" * 32])) is None
        database.write(lambda session, sheet=sheet, checks=checks: keep(session, kept(sheet), checks))
    assert read(database) == ({first, second}, set())
    assert database.read(lambda session: kept_in(session.connection()).sheets[0]) == kept(first)
    put(database, [replace(MARKS_OF[first][0], id="f" * 32, seq=900)])
    assert read(database) == ({second}, {first})
    database.write(lambda session: session.connection().execute(KEPT.update().values(content=b"packet")))
    assert read(database) == (set(), {first, second}), "a digit that became another is seen"


def test_marks_whose_rows_carry_no_check_prove_nothing(database: Database) -> None:
    first, _ = MARKS_OF
    put(database, MARKS_OF[first][:-1])
    last = {"id": bytes.fromhex(MARKS_OF[first][-1].id), "sheet": first, "device": "tab", "epoch": 1, "seq": 901}
    old = last | {"kind": "rep", "at": 1, "err": 1, "body": "{}", "received_wall_ms": 1}
    database.write(lambda session: session.connection().execute(MARKS.insert().values(old)))
    ids = [mark.id for mark in MARKS_OF[first]]
    assert database.read(lambda session: checks_of(session, ids)) is None
    database.write(lambda session: keep(session, kept(first), 0))
    assert read(database) == (set(), {first})
