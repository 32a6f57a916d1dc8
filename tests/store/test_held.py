"""Files that a scanner or a sync holds: a whole backup is not called none because of an old one, and a moment is waited for."""

import errno
import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest

from app.store.copies import held
from app.store.copies.backup import KEPT_BESIDE, BackupFailed, backups_in, check, make_backup
from app.store.copies.bounded import uri_of
from app.store.copies.held import remove_folder
from app.store.database import Database
from tests.store.test_backup import NOON, filled


@pytest.fixture
def url(sqlite_url: str) -> str:
    """What is tried here is about files."""
    return sqlite_url


class Held:
    """Stands before `unlink` and `replace` and refuses them, as Windows does for a file that somebody has open."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.by: dict[str, int] = {}  # a part of a name, and how often it is still refused
        self._unlink, self._replace = Path.unlink, Path.replace
        monkeypatch.setattr(Path, "unlink", lambda path, missing_ok=False: self._try(path) or self._unlink(path, missing_ok))
        monkeypatch.setattr(Path, "replace", lambda path, to: self._try(path) or self._replace(path, to))
        monkeypatch.setattr(held, "AGAIN_S", 0.01)

    def _try(self, path: Path) -> None:
        for part in self.by:
            if part in path.name and path.exists() and self.by[part] > 0:
                self.by[part] -= 1
                raise PermissionError(13, "The process cannot access the file because it is being used by another process")


@pytest.fixture
def holds(monkeypatch: pytest.MonkeyPatch) -> Held:
    """Nothing is held yet."""
    return Held(monkeypatch)


def test_an_old_backup_that_cant_be_removed_leaves_the_new_one_whole(database: Database, tmp_path: Path, holds: Held) -> None:
    filled(database, 20)
    folder = tmp_path / "backups"
    for minute in range(KEPT_BESIDE + 1):
        assert make_backup(database, folder, NOON + timedelta(minutes=minute)).left == 0
    oldest = backups_in(folder)[0].name
    holds.by[oldest] = 1_000_000
    for minute in (10, 11):
        made = make_backup(database, folder, NOON + timedelta(minutes=minute))
        assert made.left == 1 and check(made.file).marks == 20
    assert len(backups_in(folder)) == KEPT_BESIDE + 1 and backups_in(folder)[0].name == oldest
    del holds.by[oldest]
    assert make_backup(database, folder, NOON + timedelta(minutes=12)).left == 0
    assert len(backups_in(folder)) == KEPT_BESIDE


@pytest.mark.parametrize("part", [".part", ".copy"])
def test_what_a_scanner_looks_into_is_put_in_its_place_a_moment_later(
    database: Database, tmp_path: Path, holds: Held, part: str
) -> None:
    filled(database, 5)
    holds.by[part] = 3
    assert check(make_backup(database, tmp_path / "backups", NOON).file).marks == 5 and holds.by[part] == 0


def test_what_is_held_for_ever_is_told_and_half_a_backup_is_not_called_one(
    database: Database, tmp_path: Path, holds: Held, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(database, 5)
    monkeypatch.setattr(held, "TRY_S", 0.05)
    monkeypatch.setattr(held._patiently, "__defaults__", (0.05,))
    holds.by[".part"] = 1_000_000
    with pytest.raises(BackupFailed, match="being used by another process"):
        make_backup(database, tmp_path / "backups", NOON)
    assert backups_in(tmp_path / "backups") == []


def test_a_folder_goes_when_its_files_are_let_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder, tries = tmp_path / "laptop", []
    folder.mkdir()
    (folder / "store").write_bytes(b"marks")
    whole = held.shutil.rmtree

    def rmtree(path: Path) -> None:
        tries.append(path)
        if len(tries) < 3:
            raise [PermissionError(13, "in use"), OSError(errno.ENOTEMPTY, "not empty")][len(tries) - 1]
        whole(path)

    monkeypatch.setattr(held.shutil, "rmtree", rmtree)
    monkeypatch.setattr(held, "AGAIN_S", 0.01)
    remove_folder(folder)
    assert not folder.exists() and len(tries) == 3
    with pytest.raises(FileNotFoundError):
        remove_folder(folder)


def test_a_share_in_the_network_is_named_as_sqlite_takes_it(tmp_path: Path) -> None:
    assert uri_of(PureWindowsPath("\\\\nas\\the hall\\a.sqlite3"), "mode=ro") == "file:////nas/the%20hall/a.sqlite3?mode=ro"
    assert uri_of(PureWindowsPath("E:\\a b.sqlite3"), "mode=ro") == "file:///E:/a%20b.sqlite3?mode=ro"
    assert uri_of(PurePosixPath("/media/STICK/a?.sqlite3"), "mode=ro") == "file:///media/STICK/a%3F.sqlite3?mode=ro"
    with closing(sqlite3.connect(tmp_path / "a.sqlite3")) as made:
        made.execute("CREATE TABLE one (n)")
    # Here two strokes at the beginning are one: what SQLite makes of the form of a share can be seen on any system.
    with closing(sqlite3.connect(f"file:///{tmp_path.as_uri().removeprefix('file://')}/a.sqlite3?mode=ro", uri=True)) as opened:
        assert opened.execute("SELECT name FROM sqlite_master").fetchone() == ("one",)
    with pytest.raises(sqlite3.Error, match="invalid uri authority"):
        sqlite3.connect(f"{PureWindowsPath('//nas/hall/a.sqlite3').as_uri()}?mode=ro", uri=True).execute("SELECT 1")
