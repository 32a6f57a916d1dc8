"""The migrations lead to the tables that the code expects, from every version there ever was."""

import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, Inspector, inspect
from sqlalchemy.dialects import sqlite
from sqlalchemy.schema import CreateTable
from sqlmodel import SQLModel

from app.paths import migrations_dir
from app.rules.values.lengths import Length
from app.rules.values.units import Load
from app.store.acts import Asked, acts
from app.store.database import Database
from app.store.day import last_change
from app.store.devices import find_invitation, welcome_devices
from app.store.engines import writer_engine
from app.store.entering import checkin, imported
from app.store.files.folder import Folder, files_of
from app.store.files.heads import Head, heads
from app.store.kinds import RULINGS
from app.store.ledger import Ledger
from app.store.markrows import MARKS
from app.store.pictures import are_published, digests, picture
from app.store.practice import keyings, practices
from app.store.roster import read_roster
from app.store.rounds import round_receipts, round_records
from app.store.schema import StoreTooNew, bring_to_head, current_revision, revisions

OLD = Path(__file__).with_name("old")
PLATES = "0008"
BEFORE_THE_DAY = "0007"  # the revision that first kept markings, reaches and check-ins
ASIDE = "0015"  # the revision that first kept marks that say something else under a used id
CHECKOUT = Path(__file__).parents[2]


@pytest.fixture
def url(sqlite_url: str) -> str:
    """What is tried here is about a file."""
    return sqlite_url


@pytest.fixture
def engine(url: str) -> Iterator[Engine]:
    """An empty database file."""
    opened = writer_engine(url)
    yield opened
    opened.dispose()


def test_the_migrations_make_the_tables_that_the_code_declares(engine: Engine) -> None:
    bring_to_head(engine)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), SQLModel.metadata) == []


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Inspector]:
    """A look into what the migrations make, which changes nothing there."""
    engine = writer_engine(f"sqlite:///{(tmp_path_factory.mktemp('made') / 'store.sqlite3').as_posix()}")
    bring_to_head(engine)
    yield inspect(engine)
    engine.dispose()


@pytest.mark.parametrize("table", sorted(SQLModel.metadata.tables))
def test_each_table_has_the_columns_keys_and_references_that_the_code_declares(made: Inspector, table: str) -> None:
    declared, found = SQLModel.metadata.tables[table], made
    columns = {c["name"]: (str(c["type"]), c["nullable"]) for c in found.get_columns(table)}
    assert columns == {c.name: (c.type.compile(sqlite.dialect()), c.nullable) for c in declared.columns}
    assert set(found.get_pk_constraint(table)["constrained_columns"]) == {c.name for c in declared.primary_key}
    references = {(f["constrained_columns"][0], f["referred_table"]) for f in found.get_foreign_keys(table)}
    assert references == {(f.parent.name, f.column.table.name) for f in declared.foreign_keys}


def test_the_mark_table_is_made_as_declared_to_the_letter(engine: Engine) -> None:
    bring_to_head(engine)
    with engine.connect() as connection:
        made = connection.exec_driver_sql("SELECT sql FROM sqlite_master WHERE name = 'mark'").scalar_one()
    declared = str(CreateTable(MARKS).compile(dialect=sqlite.dialect()))
    assert "WITHOUT ROWID" in made
    assert made.split() == declared.split()


def test_the_file_names_and_alembic_agree_on_the_newest_revision() -> None:
    config = Config()
    config.set_main_option("script_location", str(migrations_dir()))
    script = ScriptDirectory.from_config(config)
    assert script.get_heads() == [revisions()[-1]]
    assert [one.revision for one in script.walk_revisions()][::-1] == list(revisions())


def walked_up(url: str, engine: Engine, revision: str) -> Database:
    """A database made at a revision, with the data of its time, brought to the newest."""
    bring_to_head(engine, revision)
    raw = engine.raw_connection()
    raw.executescript((OLD / f"{revision}.sql").read_text(encoding="utf-8"))  # every revision leaves a file of its time
    raw.close()
    bring_to_head(engine)
    return Database(url)


@pytest.mark.parametrize("revision", revisions())
def test_a_database_of_each_older_version_walks_up_with_its_data(url: str, engine: Engine, revision: str) -> None:
    database = walked_up(url, engine, revision)
    assert current_revision(engine) == revisions()[-1]
    try:
        roster = database.read(read_roster)
        assert roster is not None
        assert (roster.competition.name, roster.entries[0].members) == ("Chalk Cup", ("ath_1",))
        assert [ruling.body for ruling in database.read(RULINGS.all)] == [{"amount": "10"}]
        aside = ["rep"] if revision >= ASIDE else []
        assert [mark.kind for mark in Ledger(database).all_marks()] == ["rep", "norep", *aside]
        assert database.read(lambda s: s.connection().exec_driver_sql("PRAGMA foreign_key_check").all()) == []
    finally:
        database.close()


def test_numbers_that_an_older_version_let_in_twice_are_kept_and_told(url: str, engine: Engine) -> None:
    bring_to_head(engine, "0013")
    raw = engine.raw_connection()
    raw.executescript((OLD / "0013.sql").read_text(encoding="utf-8"))
    columns = "sheet, device, epoch, seq, kind, at, err, win, body, received_wall_ms"
    raw.executescript(f"INSERT INTO mark SELECT x'{'0' * 31}9', {columns} FROM mark WHERE seq = 2;")
    raw.close()
    database = Database(url)
    try:
        assert len(Ledger(database).all_marks()) == 3, "nothing is dropped"
        (newest, *_) = database.read(lambda session: acts(session, Asked(), 5))
        assert "1 number of tablets found on more than one mark" in newest.words and newest.outcome == "done"
    finally:
        database.close()


def test_what_0002_added_says_of_older_rows_what_was_true_of_them(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0001")
    try:
        roster = database.read(read_roster)
        assert roster is not None and roster.overall is None
        assert (roster.athletes[0].bodyweight, roster.events[0].variants, roster.heats[0].lanes[0].variant) == (None, {}, "")
        assert [device.sheet for device in database.read(welcome_devices)] == ["lane"]
        assert database.read(lambda s: find_invitation(s, "bb", 0)).sheet == "lane"
    finally:
        database.close()


def test_what_0002_added_is_read_back(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0002")
    try:
        roster = database.read(read_roster)
        assert roster is not None and roster.overall is not None
        assert (roster.overall.by, roster.overall.named) == ("linear", "evt_1")
        assert roster.athletes[0].bodyweight == Load("63.4", "kg")
        assert (roster.events[0].variants, roster.heats[0].lanes[0].variant) == ({"div_1": "chair"}, "chair")
        assert [device.sheet for device in database.read(welcome_devices)] == ["second"]
        assert database.read(lambda s: find_invitation(s, "bb", 0)).sheet == "third"
    finally:
        database.close()


def test_what_0006_added_is_read_back_and_what_belongs_to_nobody_is_left_out(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0006")
    try:
        roster = database.read(read_roster)
        assert roster is not None
        found = [(opener.key, opener.loads) for opener in roster.openers]
        assert found == [(("evt_1", "squats", "ent_1", 1), (Load("100", "kg"), Load("105", "kg")))]
    finally:
        database.close()


def test_what_0004_added_says_nothing_for_older_rows_and_is_read_back(tmp_path: Path) -> None:
    said = {}
    for revision in ("0003", "0004"):
        url = f"sqlite:///{(tmp_path / f'{revision}.sqlite3').as_posix()}"
        engine = writer_engine(url)
        database = walked_up(url, engine, revision)
        engine.dispose()
        try:
            roster = database.read(read_roster)
            assert roster is not None
            found = [one.body["right"] for one in database.read(lambda s: practices(s, "set"))]
            keyed = [one.typed for one in database.read(keyings)]
            said[revision] = (roster.competition.safety.aed, found, keyed)
        finally:
            database.close()
    assert said == {"0003": ("", [], []), "0004": ("By the north door", [19], [{"w0": "12"}])}


def test_what_0005_added_is_read_back(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0005")
    try:
        roster = database.read(read_roster)
        assert roster is not None
        assert [(j.name, j.club, j.level, j.hours[0].end, j.away) for j in roster.judges] == [
            ("Kim", "clb_1", "First year", "12:30", False)
        ]
        assert roster.heats[0].lanes[0].judge_id == "jdg_1"
    finally:
        database.close()


def test_what_the_day_plan_added_is_read_back(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0010")
    try:
        roster, change = database.read(read_roster), database.read(last_change)
        assert roster is not None and roster.day is not None and (roster.day.start, roster.day.rest) == ("08:30", 40)
        assert change is not None and change.words == "Published" and change.after[0].planned == "09:30"
    finally:
        database.close()


def test_what_was_asked_before_the_day_is_read_back(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, BEFORE_THE_DAY)
    try:
        roster = database.read(read_roster)
        assert roster is not None
        assert (roster.markings["evt_1"].unit, roster.markings["evt_1"].drop) == ("cm", Length("10", "cm"))
        assert [(one.athlete, one.reach) for one in roster.measures] == [("ath_1", Length("82.375", "in"))]
        assert database.read(imported) == {"ent_1": "M-17"}
        seen = database.read(lambda s: checkin(s, "ath_1"))
        assert (seen.present_by, seen.waiver_ms, seen.height) == ("Kim", None, Length("178", "cm"))
    finally:
        database.close()


def test_the_plates_of_lanes_are_read_back(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, PLATES)
    try:
        roster = database.read(read_roster)
        assert roster is not None
        assert [(one.name, one.plates[0].weight, one.heavy_inside) for one in roster.plate_sets] == [
            ("Yard plates", Load("45", "lb"), True)
        ]
        assert [(one.lane, one.plates) for one in roster.lane_plates] == [(3, "pls_1")]
    finally:
        database.close()


def test_a_migration_that_fails_leaves_the_database_as_it_was(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    from alembic.operations import Operations

    made: Callable[..., None] = Operations.create_table

    def fails_at_the_marks(self: Operations, name: str, *rest: object, **options: object) -> None:
        if name == "mark":
            raise OSError("the power went")
        made(self, name, *rest, **options)

    monkeypatch.setattr(Operations, "create_table", fails_at_the_marks)
    with pytest.raises(OSError, match="the power went"):
        bring_to_head(engine)
    assert inspect(engine).get_table_names() == []


def test_data_of_a_newer_version_is_refused_with_a_sentence(url: str, database: Database) -> None:
    database.write(lambda s: s.connection().exec_driver_sql("UPDATE alembic_version SET version_num = '9999'"))
    database.close()
    with pytest.raises(StoreTooNew, match="made by a newer version"):
        Database(url)


def test_alembic_is_loaded_only_when_there_is_something_to_migrate(url: str) -> None:
    start = f"import sys; from app.store.database import Database; Database({url!r}).close(); print('alembic' in sys.modules)"

    def run() -> str:
        ran = subprocess.run([sys.executable, "-c", start], cwd=CHECKOUT, capture_output=True, text=True, check=True)
        return ran.stdout.strip()

    assert [run(), run()] == ["True", "False"]


def test_the_migrations_do_not_import_the_app() -> None:
    for path in migrations_dir().rglob("*.py"):
        words = path.read_text(encoding="utf-8").split()
        assert not any(word == "app" or word.startswith("app.") for word in words), path


def test_the_migrations_also_run_on_their_own(tmp_path: Path) -> None:
    from alembic import command

    config = Config()
    config.set_main_option("script_location", str(migrations_dir()))
    config.set_main_option("sqlalchemy.url", f"sqlite:///{(tmp_path / 'alone.sqlite3').as_posix()}")
    command.upgrade(config, "head")
    alone = sqlite3.connect(tmp_path / "alone.sqlite3")
    assert alone.execute("SELECT version_num FROM alembic_version").fetchall() == [(revisions()[-1],)]
    alone.close()


def test_what_0009_added_is_read_back_and_older_competitions_have_the_half_hour(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0009")
    try:
        roster = database.read(read_roster)
        assert roster is not None and roster.competition.protest_minutes == 45
        (protest,) = roster.protests
        assert (protest.id, protest.entry, protest.event, protest.by, protest.via) == ("prt_1", "ent_1", "evt_1", "Ada", "desk")
        assert (protest.text, protest.filed_wall_ms) == ("Two squats were not counted", 1_700_000_090_000)
    finally:
        database.close()


def test_a_competition_from_before_protests_has_the_half_hour(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0008")
    try:
        roster = database.read(read_roster)
        assert roster is not None and (roster.competition.protest_minutes, roster.protests) == (30, ())
        assert (roster.competition.protest_from, roster.competition.appeal_minutes) == ("bell", 30), "as it told people then"
    finally:
        database.close()


def test_what_0026_added_is_read_back(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0026")
    try:
        roster = database.read(read_roster)
        assert roster is not None
        assert (roster.competition.protest_from, roster.competition.appeal_minutes) == ("announcement", 20)
        kept = [(one.against, one.late_why) for one in roster.protests]
        assert kept == [(None, ""), ("prt_1", "The answer was not read out")]
    finally:
        database.close()


def test_what_0025_added_is_read_back_and_older_stores_have_no_picture(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0025")
    try:
        assert database.read(digests) == {"ent_1": "ab" * 32}
        assert database.read(lambda session: picture(session, "ent_1")) == ("ab" * 32, "png", b"\x89PNG\r\n\x1a\n")
        assert not database.read(are_published)
    finally:
        database.close()


def test_what_0027_added_is_read_back_and_older_stores_are_no_headquarters(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0027")
    try:
        assert [json.loads(text)["name"] for text in database.read(round_records)] == ["Slate Barn"]
        assert database.read(round_receipts) == [b"{}\n{}\n"]
        assert list(database.files.digests()) == ["cd" * 32], "what is not what its digest says stays a row"
    finally:
        database.close()


def test_what_0030_added_is_read_back_and_contents_are_files_of_their_digest(url: str, engine: Engine) -> None:
    database = walked_up(url, engine, "0030")
    try:
        (digest,) = database.files.digests()
        assert database.files.get(digest) == b"{}" and database.read(heads) == [Head(digest, 2, 1_700_000_000_000)]
        assert database.file is not None and list(Folder(files_of(database.file)).digests()) == [digest]
    finally:
        database.close()
