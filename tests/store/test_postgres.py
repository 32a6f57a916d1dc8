"""The same store on PostgreSQL. Name a server to run these: LANE_LEDGER_TEST_POSTGRES=postgresql+psycopg://user@host/database."""

import os
import secrets
from collections.abc import Iterator

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine, make_url, text
from sqlmodel import SQLModel

from app.store import records
from app.store.database import Database
from app.store.ledger import Ledger
from tests.store.making import a_mark, a_roster, a_ruling, a_run, append

SERVER = os.environ.get("LANE_LEDGER_TEST_POSTGRES", "")
pytestmark = pytest.mark.skipif(not SERVER, reason="no PostgreSQL server is named in LANE_LEDGER_TEST_POSTGRES")


@pytest.fixture
def url() -> Iterator[str]:
    """A schema of its own on the server, removed afterwards."""
    schema = f"test_{secrets.token_hex(6)}"
    engine = create_engine(SERVER)
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {schema}"))
    own = make_url(SERVER).update_query_dict({"options": f"-csearch_path={schema}"})
    yield own.render_as_string(hide_password=False)
    with engine.begin() as connection:
        connection.execute(text(f"DROP SCHEMA {schema} CASCADE"))
    engine.dispose()


def test_the_migrations_make_the_tables_that_the_code_declares(database: Database) -> None:
    with database._write_engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), SQLModel.metadata) == []


def test_a_roster_comes_back_as_it_was_put(database: Database) -> None:
    database.write(lambda s: records.put_everything(s, a_roster(), (a_run(),), (a_ruling(),)))
    found = database.read(lambda s: (records.roster(s), records.runs(s), records.rulings(s)))
    assert found == (a_roster(), (a_run(),), (a_ruling(),))


@pytest.mark.parametrize("attempt", ["UPDATE mark SET at = 0", "DELETE FROM mark", "TRUNCATE mark"])
def test_the_store_refuses_to_change_or_remove_a_mark(database: Database, ledger: Ledger, attempt: str) -> None:
    append(ledger, a_mark(1))
    with pytest.raises(Exception, match="never changed or removed"):
        database.write(lambda s: s.connection().exec_driver_sql(attempt))
    assert ledger.all_marks() == [a_mark(1)]


def test_marks_sent_again_are_stored_once_and_a_clash_is_refused(database: Database, ledger: Ledger) -> None:
    append(ledger, *(a_mark(n) for n in range(1, 6)))
    other = a_mark(3, at=7)
    assert append(ledger, *(a_mark(n) for n in range(1, 9)), other) == (other,)
    assert (ledger.count(), Ledger(database).held("tab_1")) == (8, {1: 8})


def test_a_mark_that_another_server_stored_is_not_new_here(database: Database, ledger: Ledger, url: str) -> None:
    elsewhere = Database(url)
    append(Ledger(elsewhere), a_mark(1))
    elsewhere.close()
    heard: list[int] = []
    ledger.on_new = lambda marks: heard.extend(mark.seq for mark in marks)
    assert append(ledger, a_mark(1), a_mark(2)) == ()
    assert heard == [2]


def test_a_write_that_fails_takes_back_itself_only(database: Database) -> None:
    bad = database.submit(lambda s: s.connection().execute(text("INSERT INTO nowhere VALUES (1)")))
    good = database.submit(lambda s: records.put_setting(s, "tone", "low"))
    assert "nowhere" in str(bad.exception(10)) and good.exception(10) is None
    assert database.read(lambda s: records.get_setting(s, "tone")) == "low"
