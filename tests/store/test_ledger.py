"""The ledger: append-only, idempotent, and exact about what it holds."""

import asyncio
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import create_engine, event
from sqlalchemy.exc import DBAPIError

from app.rules.records.marks import Mark
from app.rules.records.numbers import Through
from app.store.database import Database
from app.store.ledger import Ledger
from app.store.markrows import canonical
from tests.store.making import a_mark, append, stored_ids

# What each kind of store offers for it.
REPLACE = {"sqlite": "INSERT OR REPLACE INTO mark SELECT * FROM mark", "postgres": "TRUNCATE mark"}


@pytest.mark.parametrize("attempt", ["UPDATE mark SET at = 0", "DELETE FROM mark", "replace"])
def test_the_store_refuses_to_change_or_remove_a_mark(database: Database, ledger: Ledger, attempt: str) -> None:
    attempt = REPLACE["postgres" if database.file is None else "sqlite"] if attempt == "replace" else attempt
    append(ledger, a_mark(1))
    with pytest.raises(Exception, match="never changed or removed"):
        database.write(lambda s: s.connection().exec_driver_sql(attempt))
    assert ledger.all_marks() == [a_mark(1)]


@pytest.mark.parametrize("attempt", ["UPDATE mark SET at = 0", "DELETE FROM mark"])
def test_another_program_is_refused_as_well(database: Database, ledger: Ledger, attempt: str) -> None:
    append(ledger, a_mark(1))
    other = create_engine(database.url)
    with pytest.raises(DBAPIError, match="never changed or removed"), other.begin() as connection:
        connection.exec_driver_sql(attempt)
    other.dispose()
    assert stored_ids(database) == {a_mark(1).id}


def test_marks_come_back_as_they_were_sent(ledger: Ledger) -> None:
    sent = [
        a_mark(1, kind="declare", body={"load": {"amount": "102.5", "unit": "kg"}, "by": "lifter", "member": 2}, win=None),
        a_mark(2, kind="note", body={"text": "Überlänge “ok” 🏋 \u2028"}, at=-86_400_000, err=86_400_000),
        a_mark(2**53 - 1, epoch=2**53 - 1, id="f" * 32, kind="strike", body={"mark": a_mark(1).id}, win=999),
    ]
    append(ledger, *sent)
    assert ledger.all_marks() == sent


def test_one_mark_sent_from_twenty_sockets_at_once_is_stored_once(ledger: Ledger) -> None:
    heard: list[Mark] = []
    ledger.on_new = heard.extend

    async def twenty() -> None:
        await asyncio.gather(*(ledger.append([a_mark(1), a_mark(2)], n) for n in range(20)))

    asyncio.run(twenty())
    assert (ledger.count(), heard) == (2, [a_mark(1), a_mark(2)])


def test_an_outbox_sent_again_adds_only_what_is_missing(ledger: Ledger) -> None:
    heard: list[Sequence[Mark]] = []
    ledger.on_new = heard.append
    append(ledger, *(a_mark(n) for n in range(1, 6)))
    append(ledger, *(a_mark(n) for n in range(1, 9)))
    assert [[mark.seq for mark in marks] for marks in heard] == [[1, 2, 3, 4, 5], [6, 7, 8]]
    assert ledger.held("tab_1") == {1: 8}


def test_more_marks_than_one_question_can_name_are_told_apart(ledger: Ledger) -> None:
    append(ledger, *(a_mark(n) for n in range(1, 1_201)))
    append(ledger, *(a_mark(n) for n in range(1, 1_302)))
    assert (ledger.count(), ledger.held("tab_1")) == (1_301, {1: 1_301})


def test_another_mark_under_one_id_is_laid_beside_the_first_and_both_are_kept(database: Database, ledger: Ledger) -> None:
    heard: list[Mark] = []
    ledger.on_new = heard.extend
    append(ledger, a_mark(1))
    other = a_mark(2, id=a_mark(1).id)
    append(ledger, other, a_mark(3), other)
    append(ledger, other)
    assert ledger.all_marks() == [a_mark(1), a_mark(3), other]
    assert sorted(heard, key=lambda mark: mark.seq) == [a_mark(1), other, a_mark(3)], "each is told once"
    assert ledger.held("tab_1") == Ledger(database).held("tab_1") == {1: 3}


def test_two_marks_under_one_id_in_one_request_are_both_kept(ledger: Ledger) -> None:
    first, other = a_mark(1), a_mark(1, at=7)
    append(ledger, first, other, first)
    assert ledger.all_marks() == [first, other]


@pytest.mark.parametrize("act", ["UPDATE aside SET mark = ''", "DELETE FROM aside"])
def test_what_was_laid_aside_is_never_changed_or_removed(database: Database, ledger: Ledger, act: str) -> None:
    append(ledger, a_mark(1), a_mark(1, at=7))
    with pytest.raises(DBAPIError, match="a mark is never changed or removed"):
        database.write(lambda session: session.connection().exec_driver_sql(act))


def test_the_same_body_with_its_keys_in_another_order_is_no_clash(ledger: Ledger) -> None:
    one = {"load": {"amount": "100", "unit": "kg"}, "good": True}
    other = {"good": True, "load": {"unit": "kg", "amount": "100"}}
    append(ledger, a_mark(1, kind="lift", body=one))
    append(ledger, a_mark(1, kind="lift", body=other))
    assert len(ledger.all_marks()) == 1
    assert canonical(one) == canonical(other) == '{"good":true,"load":{"amount":"100","unit":"kg"}}'


def test_held_stops_at_a_gap_and_each_epoch_counts_from_one(database: Database, ledger: Ledger) -> None:
    append(ledger, a_mark(1), a_mark(2), a_mark(4), a_mark(6), a_mark(2, epoch=2), a_mark(1, device="tab_2"))
    before_the_gap = {1: 2, 2: 0}
    assert ledger.held("tab_1") == before_the_gap
    assert Ledger(database).held("tab_1") == before_the_gap
    append(ledger, a_mark(3), a_mark(1, epoch=2))
    assert ledger.held("tab_1") == Ledger(database).held("tab_1") == {1: 4, 2: 2}
    assert (ledger.held("tab_2"), ledger.held("tab_3")) == ({1: 1}, {})


@given(st.lists(st.integers(1, 30)))
def test_held_does_not_depend_on_the_order_of_arrival(numbers: list[int]) -> None:
    through = Through()
    for number in numbers:
        through.add(number)
    missing = next(n for n in range(1, 32) if n not in numbers)
    assert through.last == missing - 1
    assert through.ahead == {n for n in numbers if n > missing}


def test_listeners_hear_of_new_marks_before_their_sender_is_answered(ledger: Ledger) -> None:
    happened: list[str] = []
    ledger.on_new = lambda marks: happened.append(f"heard {len(marks)}, held {ledger.held('tab_1')}")

    async def send() -> None:
        await ledger.append([a_mark(1)], 1)
        happened.append("answered")

    asyncio.run(send())
    assert happened == ["heard 1, held {1: 1}", "answered"]


def test_a_listener_that_fails_takes_nothing_from_the_sender(ledger: Ledger, caplog: pytest.LogCaptureFixture) -> None:
    def fails(_marks: Sequence[Mark]) -> None:
        raise LookupError("no such board")

    ledger.on_new = fails
    append(ledger, a_mark(1))
    assert ledger.held("tab_1") == {1: 1}
    assert "A listener failed on 1 new marks" in caplog.text


def test_a_mark_that_can_not_be_stored_fails_its_own_request_only(database: Database, ledger: Ledger) -> None:
    async def three() -> list[object]:
        asked = [[a_mark(1)], [a_mark(0, device="tab_2")], [a_mark(1, device="tab_3")]]  # numbers begin at 1
        return await asyncio.gather(*(ledger.append(marks, 1) for marks in asked), return_exceptions=True)

    first, second, third = asyncio.run(three())
    assert (first, third) == (None, None)
    assert "ck_mark_number" in str(second)
    assert stored_ids(database) == {a_mark(1).id, a_mark(1, device="tab_3").id}
    assert ledger.held("tab_2") == {}


def test_new_marks_are_stored_without_asking_what_is_there(database: Database, ledger: Ledger) -> None:
    asked: list[str] = []
    event.listen(database._write_engine, "before_cursor_execute", lambda *call: asked.append(call[2]))
    append(ledger, a_mark(1), a_mark(2))
    assert asked and not [statement for statement in asked if statement.startswith("SELECT mark")]
    append(ledger, a_mark(1), a_mark(2), a_mark(3))
    assert len([statement for statement in asked if statement.startswith("SELECT mark")]) == 1


def test_no_marks_are_no_transaction(database: Database, ledger: Ledger) -> None:
    before = database.commits
    append(ledger)
    assert database.commits == before
