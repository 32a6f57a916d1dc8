"""Backups are whole, are made beside running writes without holding them up, and are checked before they replace anything."""

import asyncio
import hashlib
import sqlite3
import threading
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from app.files import as_on_import
from app.store.copies import backup as backups
from app.store.copies import bounded
from app.store.copies.backup import BackupFailed, BadBackup, back_up_file, backups_in, check, make_backup, newest_of_each
from app.store.copies.proof import SINCE, digest_of, put_proof
from app.store.copies.restoring import restore
from app.store.database import Database
from app.store.devices import put_setting, welcome_devices
from app.store.engines import writer_engine
from app.store.ledger import Ledger
from app.store.markrows import insert_new
from app.store.roster import put_everything, read_roster
from app.store.schema import bring_to_head
from app.store.writer import StoreClosed
from tests.store.making import a_mark, a_roster, append, stored_ids

NOON = datetime(2026, 5, 30, 12, 0, tzinfo=UTC)
LONG = {"text": "x" * 400}
WORST_WRITE_S = 0.5  # beside whatever else this machine does; tests/bench holds it to 50 ms


@pytest.fixture
def url(sqlite_url: str) -> str:
    """What is tried here is about a file."""
    return sqlite_url


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """The second place, which is not there yet."""
    return tmp_path / "stick" / "lane ledger"


def filled(database: Database, marks: int) -> None:
    """Puts a competition and many marks into a store, quickly."""
    rows = [(a_mark(seq, kind="note", body=LONG), 1) for seq in range(1, marks + 1)]

    def work(session: object) -> None:
        put_everything(session, a_roster())  # type: ignore[arg-type]
        insert_new(session.connection(), rows)  # type: ignore[attr-defined]

    database.write(work)


def test_a_backup_holds_everything_and_says_so(database: Database, stick: Path) -> None:
    filled(database, 300)
    made = make_backup(database, stick, NOON)
    assert made.file == stick / f"lane-ledger-{database.ledger}-2026-05-30T12-00-00Z.sqlite3"
    assert made.contents.ledger == database.ledger and made.contents.proven
    assert (made.contents.competition, made.contents.marks) == ("Chalk Cup", 300)
    assert check(made.file) == made.contents
    with closing(sqlite3.connect(made.file)) as copy:
        assert {row[0].hex() for row in copy.execute("SELECT id FROM mark")} == stored_ids(database)
    assert [file.name for file in stick.iterdir() if file.suffix not in (".sqlite3", ".sha256")] == [], "nothing is left lying"
    assert not list(stick.parent.parent.glob("*.copy*"))


def test_the_checksum_beside_a_backup_is_one_that_other_programs_read(database: Database, stick: Path) -> None:
    made = make_backup(database, stick, NOON)
    digest, name = (stick / f"{made.file.name}.sha256").read_text().split()
    assert (digest, name) == (hashlib.sha256(made.file.read_bytes()).hexdigest(), made.file.name)


@pytest.mark.paced
def test_marks_are_stored_while_a_backup_is_made_and_none_waits_long(database: Database, ledger: Ledger, stick: Path) -> None:
    filled(database, 20_000)
    waits: list[float] = []
    over = threading.Event()

    async def count() -> None:
        seq = 20_000
        while not over.is_set():
            seq += 1
            begun = time.perf_counter()
            await ledger.append([a_mark(seq)], 1)
            waits.append(time.perf_counter() - begun)

    judging = threading.Thread(target=asyncio.run, args=(count(),))
    judging.start()
    try:
        made = [make_backup(database, stick, NOON + timedelta(seconds=n)) for n in range(3)]
    finally:
        over.set()
        judging.join()
    assert len(waits) > 20 and max(waits) < WORST_WRITE_S
    counts = [one.contents.marks for one in made]
    assert counts == sorted(counts) and 20_000 < counts[0] < counts[-1] <= ledger.count()


def test_a_backup_never_begins_anew_because_of_a_write(database: Database, ledger: Ledger, tmp_path: Path) -> None:
    filled(database, 20_000)
    left: list[int] = []

    def steps(raw: sqlite3.Connection, breathe: object) -> None:
        def step(_: int, remaining: int, __: int) -> None:
            left.append(remaining)
            waiting = database.submit(lambda s: insert_new(s.connection(), [(a_mark(30_000 + len(left)), 1)]))
            breathe()  # type: ignore[operator]
            assert waiting.done()

        with closing(sqlite3.connect(tmp_path / "copy")) as target:
            raw.backup(target, pages=64, progress=step)

    database.submit_steps(steps).result(20)
    grown = [later - earlier for earlier, later in pairwise(left)]
    assert len(left) > 20 and max(grown) < 0
    with closing(sqlite3.connect(tmp_path / "copy")) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert copy.execute("SELECT count(*) FROM mark").fetchone()[0] == 20_000 + len(left) - 1


def test_closing_the_store_ends_a_backup_and_finishes_what_was_queued(url: str, tmp_path: Path) -> None:
    database = Database(url)
    filled(database, 20_000)
    in_steps = threading.Event()

    def steps(raw: sqlite3.Connection, breathe: object) -> None:
        while True:
            in_steps.set()
            breathe()  # type: ignore[operator]

    endless = database.submit_steps(steps)
    assert in_steps.wait(10)
    queued = database.submit(lambda s: put_setting(s, "tone", "low"))
    after = database.submit_steps(steps)
    database.close()
    assert queued.result(1) is None
    for job in (endless, after):
        with pytest.raises(StoreClosed):
            job.result(1)


def test_old_backups_go_and_the_newest_stay(database: Database, stick: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backups, "KEPT_BESIDE", 2)
    (stick).mkdir(parents=True)
    (stick / "holiday.jpg").write_bytes(b"not ours")
    for minute in range(4):
        make_backup(database, stick, NOON + timedelta(minutes=minute))
    assert [file.name[-17:-12] for file in backups_in(stick)] == ["12-02", "12-03"]
    assert len(list(stick.glob("*.sha256"))) == 2 and (stick / "holiday.jpg").exists()


def test_a_place_that_can_not_be_written_is_named(database: Database, tmp_path: Path) -> None:
    (tmp_path / "stick").write_text("a file, not a folder")
    with pytest.raises(BackupFailed, match="could not be written to"):
        make_backup(database, tmp_path / "stick", NOON)
    assert not list(tmp_path.glob("*.copy"))


def test_a_backup_leaves_the_next_marks_their_space(database: Database, stick: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backups, "AMPLE_BYTES", 2**62)
    with pytest.raises(BackupFailed, match="too full for a backup"):
        make_backup(database, stick, NOON)
    assert backups_in(stick) == []


def test_what_is_read_back_differently_is_no_backup(database: Database, stick: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    filled(database, 50)
    writing = backups.copy_to_disk

    def worn_out(here: Path, there: Path) -> str:
        written = writing(here, there)
        with there.open("r+b") as stick:
            stick.seek(3000)
            stick.write(b"\1" * 40)
        return written

    monkeypatch.setattr(backups, "copy_to_disk", worn_out)
    with pytest.raises(BackupFailed, match="read back"):
        make_backup(database, stick, NOON)
    assert list(stick.iterdir()) == []


def test_another_process_makes_a_backup_of_a_store_that_is_open(database: Database, ledger: Ledger, stick: Path) -> None:
    filled(database, 300)
    assert database.file is not None
    made = back_up_file(database.file, stick, NOON)
    assert made.contents.marks == 300
    append(ledger, a_mark(301))
    assert ledger.count() == 301


def test_a_restored_store_is_the_one_that_was_backed_up(database: Database, ledger: Ledger, stick: Path, tmp_path: Path) -> None:
    filled(database, 300)
    made = make_backup(database, stick, NOON)
    store = tmp_path / "other laptop" / "lane-ledger.sqlite3"
    contents, aside = restore(made.file, store, NOON)
    assert (contents.marks, aside) == (300, None)
    again = Database(f"sqlite:///{store}")
    try:
        assert again.read(read_roster) == database.read(read_roster)
        assert Ledger(again).all_marks() == ledger.all_marks()
        append(Ledger(again), a_mark(301))
    finally:
        again.close()


def a_backup_and_a_newer_store(url: str, stick: Path, marks_after: int) -> tuple[Path, Path]:
    database = Database(url)
    filled(database, 10)
    made = make_backup(database, stick, NOON)
    append(Ledger(database), *(a_mark(seq) for seq in range(11, 11 + marks_after)))
    assert database.file is not None
    file = database.file
    database.close()
    return made.file, file


def test_what_was_there_before_a_restore_is_kept(url: str, stick: Path) -> None:
    backup, store = a_backup_and_a_newer_store(url, stick, 0)
    before = store.read_bytes()
    _, aside = restore(backup, store, NOON)
    assert aside is not None and (aside / store.name).read_bytes() == before


def test_a_backup_with_fewer_marks_replaces_nothing_unless_told_to(url: str, stick: Path) -> None:
    backup, store = a_backup_and_a_newer_store(url, stick, 5)
    before = store.read_bytes()
    with pytest.raises(BadBackup, match="15 marks and the backup only 10"):
        restore(backup, store, NOON)
    assert store.read_bytes() == before
    contents, aside = restore(backup, store, NOON, even_if_older=True)
    assert contents.marks == 10 and aside is not None and (aside / store.name).read_bytes() == before


def test_a_store_that_is_broken_may_always_be_replaced(url: str, stick: Path) -> None:
    backup, store = a_backup_and_a_newer_store(url, stick, 5)
    store.write_bytes(b"SQLite format 3\0" + b"\xff" * 5000)
    contents, _ = restore(backup, store, NOON)
    assert contents.marks == 10


@pytest.mark.parametrize(
    "harm",
    [
        lambda data: data[:-5000],
        lambda data: data.replace(b"x" * 400, b"x" * 399 + b"y", 1),
        lambda data: data.replace(b"Chalk Cup", b"Chalk Cap"),
        lambda data: b"",
    ],
)
@pytest.mark.parametrize("beside", [True, False])
def test_a_damaged_backup_replaces_nothing(url: str, stick: Path, harm: Callable[[bytes], bytes], beside: bool) -> None:
    backup, store = a_backup_and_a_newer_store(url, stick, 0)
    before = store.read_bytes()
    backup.write_bytes(harm(backup.read_bytes()))
    if not beside:
        backup.with_name(backup.name + ".sha256").unlink()
    with pytest.raises(BadBackup, match="checksum differs" if beside else "damaged|is not a (readable|Lane Ledger) backup"):
        restore(backup, store, NOON)
    assert store.read_bytes() == before and [file for file in store.parent.iterdir() if "replaced" in file.name] == []


def planted(backup: Path, *statements: str) -> None:
    """Somebody writes into a backup, and makes both checksums anew."""
    with closing(sqlite3.connect(backup, isolation_level=None)) as store:
        for statement in statements:
            store.execute(statement)
        store.execute("UPDATE backup_proof SET digest = ?", (digest_of(store),))
    backup.with_name(backup.name + ".sha256").unlink()


def test_nothing_that_a_backup_brings_along_beside_its_rows_comes_in(url: str, stick: Path) -> None:
    backup, store = a_backup_and_a_newer_store(url, stick, 0)
    planted(
        backup,
        "CREATE TRIGGER planted AFTER INSERT ON mark BEGIN UPDATE competition SET name = 'bent'; END",
        "CREATE VIEW planted_view AS SELECT * FROM mark",
        "CREATE TABLE planted_table (x)",
        "INSERT INTO device (id, role, lane, name, token_hash, paired_wall_ms, sheet, address, browser) VALUES"
        " ('dev_desk', 'desk', NULL, '', 'a', 0, 'lane', '', ''), ('dev_lane', 'lane', 1, '', 'b', 0, 'lane', '', '')",
    )
    restore(backup, store, NOON)
    database = Database(url)
    try:
        append(Ledger(database), a_mark(11))
        assert [device.role for device in database.read(welcome_devices)] == ["lane"]
        roster = database.read(read_roster)
        assert roster is not None and roster.competition.name == "Chalk Cup"
    finally:
        database.close()
    with closing(sqlite3.connect(store)) as opened:
        assert opened.execute("SELECT count(*) FROM sqlite_master WHERE name LIKE 'planted%'").fetchone() == (0,)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE competition SET unit = 'stone'",
        "UPDATE division SET name = 'x' || char(7)",
        "UPDATE event SET format = '{}'",
        "UPDATE athlete SET bodyweight = 7",
    ],
)
def test_rows_that_no_competition_file_may_hold_are_not_restored(url: str, stick: Path, statement: str) -> None:
    backup, store = a_backup_and_a_newer_store(url, stick, 0)
    before = store.read_bytes()
    planted(backup, statement)
    with pytest.raises(BadBackup, match="Nothing was restored"):
        restore(backup, store, NOON, prove=as_on_import)
    assert store.read_bytes() == before and not list(store.parent.glob("*.part*"))


ENDLESS = "CREATE VIEW mark AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x FROM n) SELECT x AS id FROM n"


def test_a_table_that_is_a_view_without_an_end_is_no_backup(url: str, stick: Path) -> None:
    backup, _ = a_backup_and_a_newer_store(url, stick, 0)
    planted(backup, "ALTER TABLE mark RENAME TO hidden", ENDLESS)
    with pytest.raises(BadBackup, match="no table mark"):
        check(backup)


def test_a_backup_that_takes_too_long_to_read_is_given_up(url: str, stick: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    backup, _ = a_backup_and_a_newer_store(url, stick, 0)
    monkeypatch.setattr(bounded, "LEAST_S", -10.0)
    monkeypatch.setattr(bounded, "LOOK_EVERY", 1)
    with pytest.raises(BadBackup, match="interrupted"):
        check(backup)
    monkeypatch.setattr(bounded, "MOST_BYTES", 1000)
    with pytest.raises(BadBackup, match="larger than any backup"):
        check(backup)


OLD = sorted((Path(__file__).with_name("old")).glob("*.sql"))


@pytest.mark.parametrize("dump", [OLD[0], *OLD[-2:]], ids=lambda dump: str(dump.stem))
def test_a_backup_of_every_version_is_restored_and_called_unproved_where_it_is(dump: Path, tmp_path: Path) -> None:
    backup = tmp_path / "lane-ledger-2026-05-30T12-00-00Z.sqlite3"
    engine = writer_engine(f"sqlite:///{backup}")
    bring_to_head(engine, dump.stem)
    engine.dispose()
    with closing(sqlite3.connect(backup)) as old:
        old.executescript(f"{dump.read_text(encoding='utf-8')}; PRAGMA wal_checkpoint(TRUNCATE); PRAGMA journal_mode=DELETE")
    if dump.stem >= SINCE:
        with pytest.raises(BadBackup, match="checksum inside it is missing"):
            check(backup)
        put_proof(backup)
    contents, _ = restore(backup, tmp_path / "new.sqlite3", NOON, prove=as_on_import)
    assert contents.proven == (dump.stem >= SINCE) and contents.ledger == ""
    assert {contents.revision, *backups_in(tmp_path)} == {dump.stem, backup}


def test_two_ledgers_in_one_place_let_only_their_own_backups_go(tmp_path: Path, stick: Path) -> None:
    ours, theirs = (Database(f"sqlite:///{tmp_path / name}.sqlite3") for name in ("ours", "theirs"))
    try:
        filled(ours, 3)
        for minute in range(backups.KEPT_BESIDE + 2):
            make_backup(ours, stick, NOON + timedelta(minutes=minute))
            make_backup(theirs, stick, NOON + timedelta(minutes=minute, seconds=1))
        for one in (ours, theirs):
            kept = backups_in(stick, one.ledger)
            assert len(kept) == backups.KEPT_BESIDE and {check(file).ledger for file in kept} == {one.ledger}
        assert len(newest_of_each(stick)) == 2
        newest = newest_of_each(stick)[theirs.ledger]
    finally:
        ours.close()
        theirs.close()
    with pytest.raises(BadBackup, match=r"another competition, Chalk Cup \(3 marks\).*--even-if-others"):
        restore(newest, tmp_path / "ours.sqlite3", NOON)
    assert restore(newest, tmp_path / "ours.sqlite3", NOON, even_if_older=True, even_if_others=True)[0].marks == 0


def test_the_store_and_its_backups_are_for_their_owner_alone(database: Database, stick: Path) -> None:
    made = make_backup(database, stick, NOON)
    assert database.file is not None
    assert {oct(file.stat().st_mode)[-3:] for file in (database.file, made.file)} == {"600"}
    assert oct(database.file.parent.joinpath(stick).stat().st_mode)[-3:] == "700"


def test_a_file_that_is_no_store_and_one_of_a_newer_version_are_told(url: str, stick: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.sqlite3"
    other.write_bytes(b"a text file, really " * 100)
    with pytest.raises(BadBackup, match="not a readable backup"):
        check(other)
    with pytest.raises(BadBackup, match="can't be read: No such file"):
        check(tmp_path / "none.sqlite3")
    backup, kept = a_backup_and_a_newer_store(url, stick, 0)
    for file in (backup, kept):
        with closing(sqlite3.connect(file)) as store, store:
            store.execute("UPDATE alembic_version SET version_num = '9999'")
    backup.with_name(backup.name + ".sha256").unlink()
    with pytest.raises(BadBackup, match=r"newer version of Lane Ledger\. Use it with that version or a later one"):
        check(backup)
    with pytest.raises(BackupFailed, match=r"^This data is of a newer version of Lane Ledger: make the backup with that"):
        back_up_file(kept, tmp_path / "second", NOON)
    assert list((tmp_path / "second").iterdir()) == []


def test_a_restore_that_can_not_be_opened_puts_everything_back(url: str, stick: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    backup, store = a_backup_and_a_newer_store(url, stick, 0)
    before = store.read_bytes()
    monkeypatch.setattr("app.store.copies.restoring.Database", lambda url: (_ for _ in ()).throw(OSError("the disk gave out")))
    with pytest.raises(BadBackup, match=r"can't be written: the disk gave out\. Nothing was replaced\."):
        restore(backup, store, NOON)
    assert store.read_bytes() == before and not list(store.parent.glob("replaced-*"))
