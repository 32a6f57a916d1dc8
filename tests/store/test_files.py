"""Files by their digest: whatever is killed, flipped or full, what was put is there as it was, or is said not to be."""

import errno
import os
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing, suppress
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

import pytest

from app.store.copies import backup as backups
from app.store.copies.backup import back_up_file, backups_in, check, make_backup
from app.store.copies.carrying import back_up_server, restore_to_server
from app.store.copies.files import files_beside
from app.store.copies.restoring import restore
from app.store.database import Database
from app.store.engines import writer_engine
from app.store.files import folder as folders
from app.store.files import moving
from app.store.files.folder import Folder, files_of
from app.store.files.heads import Head, put_head
from app.store.files.verbs import NotAsStored
from app.store.roster import put_everything
from app.store.schema import bring_to_head
from app.store.writer import StoreFull, StoreReadOnly
from tests.postgres import needed_cluster
from tests.store.making import a_roster

NOON = datetime(2026, 5, 30, 12, 0, tzinfo=UTC)
BEFORE_FILES = "0028"
SOON_S, EARLIER_S = 3600.0, -3600.0


class Killed(BaseException):
    """The process ends here."""


def digest(content: bytes) -> str:
    return sha256(content).hexdigest()


def name_it(database: Database, content: bytes) -> None:
    """Writes the head of a file, as whatever it came for does."""
    database.write(lambda session: put_head(session, Head(digest(content), len(content), 1)))


def comes(database: Database, content: bytes) -> str:
    database.files.put(content)
    name_it(database, content)
    return digest(content)


def with_a_competition(database: Database, contents: list[bytes]) -> None:
    database.write(lambda session: put_everything(session, a_roster()))
    for content in contents:
        comes(database, content)


def test_the_verbs_do_as_a_table_of_bytes_does(database: Database) -> None:
    chance, there, named = Random(5), dict[str, bytes](), set[str]()
    pool = [bytes([n]) * chance.randrange(1, 5000) for n in range(12)] + [b""]
    for _ in range(60):
        content = chance.choice(pool)
        key = digest(content)
        match chance.randrange(4):
            case 0:
                assert database.files.put(content) == key
                there[key] = content
            case 1 if key in there:
                name_it(database, content)
                named.add(key)
            case 2:
                before = chance.choice((SOON_S, EARLIER_S))
                gone = set(there) - named if before > 0 else set()
                assert database.files.delete_unreferenced(time.time() + before) == len(gone)
                there = {one: data for one, data in there.items() if one not in gone}
            case _:
                assert database.files.has(key) == (key in there)
        assert list(database.files.digests()) == sorted(there)
        assert [database.files.size(digest(one)) for one in pool] == [len(one) if digest(one) in there else None for one in pool]
        if key in there:
            assert database.files.get(key) == content
        else:
            with pytest.raises(NotAsStored, match="not there any more"):
                database.files.get(key)


def dying(monkeypatch: pytest.MonkeyPatch, after: int, wrong: BaseException) -> None:
    """Lets so many steps on the disk be done, and then dies of it, once before a step and once behind it."""
    left = [after]

    def step(real: Callable[..., Any]) -> Callable[..., Any]:
        def done(*given: Any, **named: Any) -> Any:
            left[0] -= 1
            if left[0] == 0:
                raise wrong
            value = real(*given, **named)
            left[0] -= 1
            if left[0] == 0:
                raise wrong
            return value

        return done

    for where, name in ((os, "open"), (os, "fsync"), (os, "mkdir"), (os, "utime"), (folders.held, "replace")):
        monkeypatch.setattr(where, name, step(getattr(where, name)))


@pytest.mark.parametrize("there", [False, True])
def test_a_file_whose_writing_is_killed_at_any_step_is_whole_or_not_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    content, other = b"c" * 5000, b"o" * 5000
    for after in range(1, 60):
        files = Folder(tmp_path / f"{after}")
        files.put(other)
        if there:
            files.put(content)
        with monkeypatch.context() as dies:
            dying(dies, after, Killed())
            try:
                files.put(content)
            except Killed:
                ended = False
            else:
                ended = True
        assert set(files.digests()) >= {digest(other), *([digest(content)] if ended or there else [])}
        assert all(files.get(one) for one in files.digests())
        assert files.put(content) == digest(content) and files.get(digest(content)) == content
        if ended:
            break
    assert ended and after > (4 if there else 12), "every step of a whole writing was a moment to be killed at"


@pytest.mark.parametrize(("number", "told"), [(errno.ENOSPC, StoreFull), (errno.EACCES, StoreReadOnly)])
def test_a_disk_that_takes_no_file_keeps_nothing_of_it_and_is_told(
    sqlite_url: str, monkeypatch: pytest.MonkeyPatch, number: int, told: type[Exception]
) -> None:
    database = Database(sqlite_url)
    kept = comes(database, b"before")
    assert database.file is not None and database.ballast is not None
    failed = 0
    for after in range(1, 30):
        with monkeypatch.context() as fails:
            dying(fails, after, OSError(number, "no"))
            try:
                database.files.put(bytes([after]) * 4096)
            except told:
                failed += 1
    assert failed > 8
    assert database.ballast.aboard == (told is StoreReadOnly), "what a full disk needs is thrown overboard"
    parts = [one for one in files_of(database.file).rglob("*") if one.is_file() and one.name.endswith(folders.PART)]
    assert parts == [] and database.files.get(kept) == b"before"
    database.close()


def test_a_file_that_was_changed_or_removed_is_told_and_heals_when_it_comes_again(sqlite_url: str) -> None:
    database = Database(sqlite_url)
    one, two, three = (comes(database, content) for content in (b"one", b"two", b"three"))
    assert database.file is not None
    place = files_of(database.file)
    (changed,) = place.rglob(one)
    changed.write_bytes(b"eno")
    for key in (two, three):
        next(place.rglob(key)).unlink()
    next(place.rglob(f"{three[:2]}")).joinpath(three[2:4], three).write_bytes(b"thr")
    database.look_for_damage()
    assert set(database.lacking) == {two, three}, "what has its size is found by whoever reads it"
    for key in (one, two, three):
        with pytest.raises(NotAsStored):
            database.files.get(key)
    for content in (b"one", b"two", b"three"):
        assert database.files.get(database.files.put(content)) == content
    database.look_for_damage()
    assert database.lacking == ()
    database.close()


def test_what_nobody_finished_goes_and_what_is_being_written_stays(sqlite_url: str) -> None:
    database = Database(sqlite_url)
    kept = comes(database, b"kept")
    assert database.file is not None
    place = files_of(database.file)
    (file,) = place.rglob(kept)
    left = file.with_name(f".{'ab' * 32}-12345678{folders.PART}")
    left.write_bytes(b"ha")
    assert database.files.delete_unreferenced(time.time() + EARLIER_S) == 0 and left.exists()
    assert database.files.delete_unreferenced(time.time() + SOON_S) == 1 and not left.exists()
    assert (place.stat().st_mode | file.stat().st_mode) & 0o77 == 0, "they are their owner's alone"
    database.close()


@pytest.fixture
def old(tmp_path: Path) -> tuple[str, dict[str, bytes]]:
    """A store of before, with contents in its table: by digest; one row is not what its digest says."""
    url, chance = f"sqlite:///{(tmp_path / 'store.sqlite3').as_posix()}", Random(3)
    engine = writer_engine(url)
    bring_to_head(engine, BEFORE_FILES)
    contents = [chance.randbytes(chance.randrange(1, 40_000)) for _ in range(30)]
    raw = engine.raw_connection()
    for content in contents:
        raw.execute("INSERT INTO round_hand_in VALUES (?, ?, 7)", (digest(content), content)).close()
    raw.execute("INSERT INTO round_hand_in VALUES (?, ?, 7)", ("ab" * 32, b"something else")).close()
    raw.commit()
    raw.close()
    engine.dispose()
    return url, {digest(one): one for one in contents}


def test_contents_of_before_are_moved_though_the_move_is_killed_at_any_step(
    old: tuple[str, dict[str, bytes]], monkeypatch: pytest.MonkeyPatch
) -> None:
    url, contents = old
    monkeypatch.setattr(moving, "SLICE_BYTES", 100_000)
    store = Path(url.removeprefix("sqlite:///"))
    moments, kills = Random(8), 0
    while True:
        with monkeypatch.context() as dies:
            dying(dies, moments.randrange(20, 200), Killed())
            with suppress(Killed):
                database = Database(url)
                break
        kills += 1
        with closing(sqlite3.connect(store)) as raw:
            left = [row[0] for row in raw.execute("SELECT digest FROM file_content")]
        assert set(left) | set(Folder(files_of(store)).digests()) >= set(contents), "each is in one of the two, or in both"
        assert kills < 100
    assert kills > 3
    assert {one: database.files.get(one) for one in contents} == contents
    with closing(sqlite3.connect(store)) as raw:
        assert raw.execute("SELECT digest FROM file_content").fetchall() == [("ab" * 32,)], "what differs stays a row"
    assert set(database.files.digests()) == {*contents, "ab" * 32}
    database.look_for_damage()
    assert database.lacking == ()
    database.close()
    assert store.stat().st_size < sum(map(len, contents.values())), "and the disk has its room again"


def test_a_disk_without_room_for_the_move_leaves_the_contents_to_be_read_where_they_are(
    old: tuple[str, dict[str, bytes]], monkeypatch: pytest.MonkeyPatch
) -> None:
    url, contents = old
    with monkeypatch.context() as full:

        def no_room(*_: object) -> None:
            raise OSError(errno.ENOSPC, "full")

        full.setattr(Folder, "_write", no_room)
        database = Database(url)
    assert {one: database.files.get(one) for one in contents} == contents
    assert len(list(database.files.digests())) == len(contents) + 1
    assert make_backup(database, Path(database.file).parent / "stick", NOON).contents.lacking == 0  # type: ignore[arg-type]
    database.close()
    again = Database(url)
    assert {one: again.files.get(one) for one in contents} == contents
    again.close()


def test_a_backup_brings_what_its_place_lacks_and_a_restore_has_all_of_it(
    sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    database, stick = Database(sqlite_url), tmp_path / "stick"
    contents = [bytes([n]) * (1000 + n) for n in range(6)]
    with_a_competition(database, contents[:4])
    database.files.put(b"nobody named it")
    first = make_backup(database, stick, NOON)
    copied = set(files_beside(first.file, database.ledger).digests())
    assert copied == {digest(one) for one in contents[:4]}
    for content in contents[4:]:
        comes(database, content)
    put: list[str] = []
    monkeypatch.setattr(Folder, "put", _noting(put, Folder.put))
    assert database.file is not None
    second = back_up_file(database.file, stick, NOON.replace(minute=5))
    assert put == [digest(one) for one in sorted(contents[4:], key=digest)], "each is copied once"
    assert (second.contents.lacking, len(backups_in(stick))) == (0, 2)
    database.close()
    for target in (tmp_path / "other" / "store.sqlite3", Path(sqlite_url.removeprefix("sqlite:///"))):
        contents_of, aside = restore(second.file, target, NOON)
        assert contents_of.lacking == 0
        again = Database(f"sqlite:///{target.as_posix()}")
        assert [again.files.get(digest(one)) for one in contents] == contents
        again.close()
    assert aside is not None and len(list(Folder(aside / f"{target.name}.files").digests())) == 7, "what was there is kept"


def _noting(put: list[str], real: Callable[[Folder, bytes], str]) -> Callable[[Folder, bytes], str]:
    def noted(self: Folder, content: bytes) -> str:
        put.append(digest(content))
        return real(self, content)

    return noted


def test_a_backup_without_its_files_says_so_and_a_restore_takes_them_from_the_store_that_it_replaces(
    sqlite_url: str, tmp_path: Path
) -> None:
    database, stick = Database(sqlite_url), tmp_path / "stick"
    with_a_competition(database, [b"one", b"two"])
    made = make_backup(database, stick, NOON)
    database.close()
    beside = files_beside(made.file, database.ledger)
    next(beside.folder.rglob(digest(b"one"))).write_bytes(b"eno")
    next(beside.folder.rglob(digest(b"two"))).unlink()
    assert check(made.file).lacking == 1, "that it has its size is all that is looked at here"
    bare, _ = restore(made.file, tmp_path / "other" / "store.sqlite3", NOON)
    assert bare.lacking == 2
    whole, _ = restore(made.file, Path(sqlite_url.removeprefix("sqlite:///")), NOON)
    assert whole.lacking == 0
    again = Database(sqlite_url)
    assert [again.files.get(digest(one)) for one in (b"one", b"two")] == [b"one", b"two"]
    again.close()


def test_a_stick_that_gives_back_something_else_is_told(sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    database = Database(sqlite_url)
    with_a_competition(database, [b"one"])
    stick = tmp_path / "stick"
    real = Path.read_bytes

    def otherwise(file: Path) -> bytes:
        return b"" if stick in file.parents else real(file)

    monkeypatch.setattr(Path, "read_bytes", otherwise)
    with pytest.raises(backups.BackupFailed, match="What was read back"):
        make_backup(database, stick, NOON)
    assert backups_in(stick) == []
    database.close()


def test_a_server_s_files_are_rows_go_into_a_backup_s_folder_and_come_back(tmp_path: Path) -> None:
    server = Database(needed_cluster().ready_store())
    with_a_competition(server, [b"one", b"two"])
    made = back_up_server(server, tmp_path / "stick", NOON)
    server.close()
    assert made.contents.lacking == 0
    with closing(sqlite3.connect(made.file)) as raw:
        assert raw.execute("SELECT count(*) FROM file_content").fetchone() == (0,)
    laptop = tmp_path / "store.sqlite3"
    restore(made.file, laptop, NOON)
    for database, lacking in ((Database(f"sqlite:///{laptop.as_posix()}"), 0), (Database(needed_cluster().ready_store()), 0)):
        if database.file is None:
            assert restore_to_server(made.file, database).lacking == lacking
        assert [database.files.get(digest(one)) for one in (b"one", b"two")] == [b"one", b"two"]
        database.close()
