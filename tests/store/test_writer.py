"""The single writer: it groups, answers after the commit, and keeps one request's trouble from another."""

import asyncio
import sqlite3
from typing import Any

import pytest
from sqlalchemy import event, text
from sqlmodel import Session

from app.store.database import Database
from app.store.devices import get_setting, put_setting
from app.store.ledger import Ledger
from app.store.writer import GroupLost, StoreClosed
from tests.store.making import a_mark, append, busy_writer, stored_ids


def test_forty_tablets_share_one_transaction(database: Database, ledger: Ledger) -> None:
    async def forty_at_once() -> int:
        with busy_writer(database):
            sent = [asyncio.create_task(ledger.append([a_mark(device=f"tab_{n}")], 1)) for n in range(1, 41)]
            await asyncio.sleep(0.05)  # each has queued its mark
            before = database.commits
        await asyncio.gather(*sent)
        return database.commits - before

    assert asyncio.run(forty_at_once()) == 2  # the one that was under way, and one for all forty
    assert len(stored_ids(database)) == 40


def test_marks_and_other_writes_share_a_transaction(database: Database, ledger: Ledger) -> None:
    async def both() -> int:
        with busy_writer(database):
            sent = asyncio.create_task(ledger.append([a_mark()], 1))
            named = asyncio.create_task(database.awrite(lambda s: put_setting(s, "tone", "low")))
            await asyncio.sleep(0.05)
            before = database.commits
        await asyncio.gather(sent, named)
        return database.commits - before

    assert asyncio.run(both()) == 2
    assert database.read(lambda s: get_setting(s, "tone")) == "low"


def test_nothing_is_answered_before_the_commit(database: Database, ledger: Ledger) -> None:
    seen_at_commit: list[set[str]] = []
    answered_at_commit: list[bool] = []

    async def send() -> None:
        sent = asyncio.create_task(ledger.append([a_mark()], 1))

        def committing(_connection: object) -> None:
            seen_at_commit.append(stored_ids(database))
            answered_at_commit.append(sent.done())

        event.listen(database._write_engine, "commit", committing)
        await sent
        assert stored_ids(database) == {a_mark().id}  # by another connection, the moment the answer is there

    asyncio.run(send())
    assert (seen_at_commit, answered_at_commit) == ([set()], [False])


def test_a_commit_that_fails_acknowledges_nothing(database: Database, ledger: Ledger) -> None:
    def power_cut(_connection: object) -> None:
        raise OSError("the power went")

    event.listen(database._write_engine, "commit", power_cut)
    with pytest.raises(OSError, match="the power went"):
        append(ledger, a_mark(1))
    event.remove(database._write_engine, "commit", power_cut)

    assert stored_ids(database) == set()
    assert ledger.held("tab_1") == {}
    append(ledger, a_mark(1), a_mark(2))
    assert ledger.held("tab_1") == {1: 2}


def test_a_write_that_fails_takes_back_itself_only(database: Database) -> None:
    def wrong(session: Session) -> None:
        put_setting(session, "lost", "x")
        raise ValueError("Not like this.")

    with busy_writer(database):
        good = database.submit(lambda s: put_setting(s, "first", "1"))
        bad = database.submit(wrong)
        broken = database.submit(lambda s: s.connection().execute(text("INSERT INTO nowhere VALUES (1)")))
        also_good = database.submit(lambda s: put_setting(s, "second", "2"))
        before = database.commits
    assert (good.result(5), also_good.result(5)) == (None, None)
    assert database.commits - before == 2
    with pytest.raises(ValueError, match="Not like this"):
        bad.result(5)
    assert "nowhere" in str(broken.exception(5))
    assert [database.read(lambda s, n=n: get_setting(s, n)) for n in ("first", "lost", "second")] == ["1", None, "2"]


def test_a_transaction_that_the_database_ended_is_not_acknowledged(database: Database, ledger: Ledger) -> None:
    def ended(session: Session) -> None:
        raw: Any = session.connection().connection.dbapi_connection
        raw.execute("ROLLBACK")

    async def beside_it() -> None:
        with busy_writer(database):
            sent = asyncio.create_task(ledger.append([a_mark()], 1))
            await asyncio.sleep(0.05)
            lost = asyncio.wrap_future(database.submit(ended))
        outcomes = await asyncio.gather(sent, lost, return_exceptions=True)
        assert all(isinstance(outcome, GroupLost) for outcome in outcomes)

    asyncio.run(beside_it())
    assert stored_ids(database) == set()
    append(ledger, a_mark())  # the writer goes on
    assert stored_ids(database) == {a_mark().id}


def test_reads_do_not_wait_for_the_writer(database: Database) -> None:
    with busy_writer(database):
        assert database.read(lambda s: get_setting(s, "tone")) is None


def test_reads_cannot_write(database: Database) -> None:
    with pytest.raises(Exception, match=r"read-?only"):
        database.read(lambda s: put_setting(s, "tone", "low"))


def test_a_write_left_by_its_caller_before_its_turn_is_not_made(database: Database) -> None:
    with busy_writer(database):
        left = database.submit(lambda s: put_setting(s, "tone", "low"))
        assert left.cancel()
    database.write(lambda s: None)
    assert database.read(lambda s: get_setting(s, "tone")) is None


def test_marks_of_a_caller_who_went_away_are_stored_all_the_same(database: Database, ledger: Ledger) -> None:
    async def go_away() -> None:
        with busy_writer(database):
            sent = asyncio.create_task(ledger.append([a_mark()], 1))
            await asyncio.sleep(0.05)
            sent.cancel()
        with pytest.raises(asyncio.CancelledError):
            await sent
        await ledger.append([a_mark(2)], 1)

    asyncio.run(go_away())
    assert ledger.held("tab_1") == {1: 2}


def test_work_on_the_writer_may_not_wait_for_the_writer(database: Database) -> None:
    with pytest.raises(RuntimeError, match="can't wait for the writer"):
        database.write(lambda _s: database.write(lambda _inner: None))


def test_closing_finishes_what_was_asked_and_refuses_what_comes_after(url: str) -> None:
    database = Database(url)
    ledger = Ledger(database)
    asked = [database.submit(lambda s, n=n: put_setting(s, f"n{n}", "x")) for n in range(20)]
    database.close()
    assert all(one.done() and one.exception() is None for one in asked)
    with pytest.raises(StoreClosed, match="shutting down"):
        append(ledger, a_mark())
    with pytest.raises(StoreClosed):
        database.write(lambda s: None)
    database.close()  # twice is no matter


def test_a_store_locked_by_another_program_says_so_and_goes_on(sqlite_url: str) -> None:
    database = Database(sqlite_url)
    ledger = Ledger(database)
    database.write(lambda s: s.connection().execute(text("PRAGMA busy_timeout=50")).all())
    other = sqlite3.connect(str(database.file), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(Exception, match="locked"):
        append(ledger, a_mark())
    other.execute("ROLLBACK")
    other.close()
    append(ledger, a_mark())
    database.close()
