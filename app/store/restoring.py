"""Restoring a backup: checked before anything is touched, and what was there is kept."""

import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from app.store.backup import BadBackup, Contents, check, copy_to_disk, gone_after_error
from app.store.database import Database

ASIDE = ("", "-wal", "-shm")  # the files that a store consists of


def restore(backup: Path, store: Path, now: datetime, even_if_older: bool = False) -> tuple[Contents, Path | None]:
    """Puts a backup in the place of a store that no process has open. Returns what came, and where the old store is kept.

    Checked before anything is touched; what was there is moved aside, and put back if the restored store can't be opened. Raises
    BadBackup, also for a backup with fewer marks than the store holds, unless `even_if_older`.
    """
    contents = check(backup)
    there = _marks_there(store)
    if there > contents.marks and not even_if_older:
        raise BadBackup(
            f"The folder {store.parent} holds {there:,} marks and the backup only {contents.marks:,}. Nothing was replaced. "
            "To go back to the backup all the same: --even-if-older"
        )
    part = store.with_name(store.name + ".part")
    with gone_after_error(part):
        store.parent.mkdir(parents=True, exist_ok=True)
        if copy_to_disk(backup, part) != contents.digest:
            raise BadBackup(f"{backup.name} changed while it was read. Nothing was replaced.")
        aside = _move_aside(store, now)
        part.replace(store)
    try:
        _open_and_count(store, contents)
    except BaseException:
        _put_back(store, aside)
        raise
    return contents, aside


def _open_and_count(store: Path, contents: Contents) -> None:
    """Opens the restored store as the server will (an older schema is walked up) and counts its marks."""
    database = Database(f"sqlite:///{store.absolute().as_posix()}")
    try:
        marks = database.read(lambda session: session.connection().exec_driver_sql("SELECT count(*) FROM mark").scalar())
    finally:
        database.close()
    if marks != contents.marks:
        raise BadBackup(f"The restored store holds {marks} marks instead of {contents.marks}. What was there before is back.")


def _marks_there(store: Path) -> int:
    """How many marks a store holds; 0 for one that is not there or can't be read, which is a reason to restore."""
    if not store.is_file():
        return 0
    try:
        with closing(sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True)) as opened:
            return int(opened.execute("SELECT count(*) FROM mark").fetchone()[0])
    except sqlite3.Error:
        return 0


def _move_aside(store: Path, now: datetime) -> Path | None:
    files = [store.with_name(store.name + end) for end in ASIDE if store.with_name(store.name + end).exists()]
    if not files:
        return None
    aside = store.parent / f"replaced-{now.astimezone(UTC):%Y-%m-%dT%H-%M-%SZ}"
    aside.mkdir()
    for file in files:
        file.replace(aside / file.name)
    return aside


def _put_back(store: Path, aside: Path | None) -> None:
    for end in ASIDE:
        store.with_name(store.name + end).unlink(missing_ok=True)
    for file in aside.iterdir() if aside else ():
        shutil.move(file, store.parent / file.name)
    if aside:
        aside.rmdir()
