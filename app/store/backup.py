"""Backups: the store copied while it is written to, to a second place, and read back there.

A snapshot is taken by SQLite's own backup, in steps on the writer's connection: from any other connection it would begin anew at
every write and never end. It lands beside the store first, because a slow stick must not hold up the writer.
"""

import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from app.store.ballast import AMPLE_BYTES
from app.store.database import Database
from app.store.schema import revisions
from app.store.writer import Breathe

STEP_PAGES = 64  # 256 kB: a mark waits for one step at most
CHUNK = 1024 * 1024
KEPT = 24  # backups in one folder; with one every five minutes these are the last two hours
KEPT_BESIDE = 3  # on the disk of the store itself, whose space belongs to the marks
PREFIX, SUFFIX = "lane-ledger-", ".sqlite3"
SUM = ".sha256"


class BackupFailed(RuntimeError):
    """Raised when a backup could not be made or is not what it should be; its text is the sentence to show."""


class BadBackup(ValueError):
    """Raised when a file can't be restored from; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a backup holds: the competition's name (empty before it has one), its marks, the schema's revision, the file's hash
    and size."""

    competition: str
    marks: int
    revision: str
    digest: str
    size: int


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was read back and found whole. `seconds` is how long making and reading it took."""

    file: Path
    contents: Contents
    seconds: float


def make_backup(database: Database, folder: Path, now: datetime) -> Backup:
    """Copies the store into `folder`, reads the copy back, and lets old ones go. Not on the event loop. Raises BackupFailed.

    A store on a database server: see carrying.back_up_server.
    """
    if database.file is None:
        raise ValueError("this store is no file")
    begun = datetime.now(UTC)
    here = database.file.with_name(database.file.name + ".copy")
    file = folder / f"{PREFIX}{now.astimezone(UTC):%Y-%m-%dT%H-%M-%SZ}{SUFFIX}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        beside = folder.stat().st_dev == database.file.parent.stat().st_dev
        _leave_room(database.file, copies=2 if beside else 1)
        with _gone_after(here):
            take_snapshot(database, here)
            contents = copied(here, file)
    except sqlite3.Error as wrong:
        raise BackupFailed(f"The backup could not be made: {wrong}.") from None
    except OSError as wrong:
        raise BackupFailed(f"The backup could not be written to {folder}: {wrong.strerror or wrong}.") from None
    let_old_ones_go(folder, KEPT_BESIDE if beside else KEPT)
    return Backup(file, contents, (datetime.now(UTC) - begun).total_seconds())


def take_snapshot(database: Database, to: Path) -> None:
    """Copies the store as it stands, with all that is committed until the last step, to a file that is not there yet."""

    def steps(raw: Any, breathe: Breathe) -> None:
        with closing(sqlite3.connect(to, isolation_level=None, check_same_thread=False)) as target:
            # The copy counts only when it is whole, has been copied on and read back: it needs no journal of its own.
            target.execute("PRAGMA journal_mode=OFF")
            target.execute("PRAGMA synchronous=OFF")
            raw.backup(target, pages=STEP_PAGES, progress=lambda *_: breathe())

    database.submit_steps(steps).result()


def copy_of(store: Path, to: Path) -> None:
    """Copies a store from another process, whether a server writes to it or not. Raises BackupFailed.

    In one step: in steps it would begin anew at every write. In a write-ahead log readers hold nobody up.
    """
    try:
        with (
            closing(sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True)) as source,
            closing(sqlite3.connect(to, isolation_level=None)) as target,
        ):
            target.execute("PRAGMA journal_mode=OFF")
            source.backup(target, pages=-1)
    except sqlite3.Error as wrong:
        raise BackupFailed(f"The data in {store.parent} can't be copied: {wrong}.") from None


def back_up_file(store: Path, folder: Path, now: datetime) -> Backup:
    """`make_backup` from another process than the server's. Raises BackupFailed."""
    begun = datetime.now(UTC)
    file = folder / f"{PREFIX}{now.astimezone(UTC):%Y-%m-%dT%H-%M-%SZ}{SUFFIX}"
    here = store.with_name(store.name + ".copy")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with _gone_after(here):
            copy_of(store, here)
            contents = copied(here, file)
    except OSError as wrong:
        raise BackupFailed(f"The backup could not be written to {folder}: {wrong.strerror or wrong}.") from None
    return Backup(file, contents, (datetime.now(UTC) - begun).total_seconds())


def backups_in(folder: Path) -> list[Path]:
    """The backups in a folder, the oldest first."""
    return sorted(folder.glob(f"{PREFIX}*{SUFFIX}"))


def check(file: Path) -> Contents:
    """Reads a backup from end to end. Raises BadBackup when it is not whole, not ours, or of a newer version.

    Nothing beside it is touched: it may lie on a stick that can't be written to.
    """
    digest = _digest(file)
    if (said := _said_digest(file)) and said != digest:
        raise BadBackup(f"{file.name} is damaged: it is not what was written (its checksum differs). Take an older one.")
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as store:
            return _contents(store, file, digest)
    except sqlite3.Error as wrong:
        raise BadBackup(f"{file.name} is no backup that can be read: {wrong}.") from None


def _contents(store: sqlite3.Connection, file: Path, digest: str) -> Contents:
    found = store.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise BadBackup(f"{file.name} is damaged: {found}. Take an older one.")
    if store.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise BadBackup(f"{file.name} is damaged: a record in it refers to one that is not there. Take an older one.")
    revision = str(store.execute("SELECT version_num FROM alembic_version").fetchone()[0])
    if revision not in revisions():
        raise BadBackup(f"{file.name} was made by a newer version of Lane Ledger. Install that version first.")
    named = store.execute("SELECT name FROM competition").fetchone()
    marks = int(store.execute("SELECT count(*) FROM mark").fetchone()[0])
    return Contents(named[0] if named else "", marks, revision, digest, file.stat().st_size)


def copied(here: Path, file: Path) -> Contents:
    """Copies a finished snapshot to its place and reads it back from there."""
    part = file.with_name(file.name + ".part")
    with gone_after_error(part):
        digest = copy_to_disk(here, part)
        try:
            contents = check(part)
        except BadBackup as wrong:
            raise BackupFailed(f"The backup was read back and is not whole. {wrong}") from None
        if contents.digest != digest:
            raise BackupFailed(f"What was read back from {file.parent} is not what was written. Use another stick.")
        part.replace(file)
    # In the form that `sha256sum -c` reads.
    file.with_name(file.name + SUM).write_text(f"{digest}  {file.name}\n", encoding="ascii")
    return contents


def copy_to_disk(here: Path, there: Path) -> str:
    """Copies a file until it is on the disk itself, and returns the hash of what was written."""
    seen = hashlib.sha256()
    with here.open("rb") as source, there.open("wb") as target:
        while piece := source.read(CHUNK):
            seen.update(piece)
            target.write(piece)
        target.flush()
        os.fsync(target.fileno())
        if hasattr(os, "posix_fadvise"):
            # Else reading it back would only read this computer's memory.
            os.posix_fadvise(target.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
    return seen.hexdigest()


def _digest(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            return hashlib.file_digest(opened, "sha256").hexdigest()
    except OSError as wrong:
        raise BadBackup(f"The backup {file} can't be read: {wrong.strerror}.") from None


def _said_digest(file: Path) -> str:
    try:
        return file.with_name(file.name + SUM).read_text(encoding="ascii").split()[0]
    except (OSError, ValueError, IndexError):
        return ""


def _leave_room(store: Path, copies: int) -> None:
    """A copy must not take the space that the next marks need. Raises BackupFailed."""
    size = store.stat().st_size
    if shutil.disk_usage(store.parent).free < copies * size + AMPLE_BYTES:
        raise BackupFailed(f"The disk that holds {store.parent} is too full for a backup. Free some space.")


def let_old_ones_go(folder: Path, kept: int) -> None:
    """Removes all backups of a folder but the newest."""
    for old in backups_in(folder)[:-kept]:
        old.unlink(missing_ok=True)
        old.with_name(old.name + SUM).unlink(missing_ok=True)


@contextmanager
def _gone_after(file: Path) -> Iterator[None]:
    file.unlink(missing_ok=True)
    try:
        yield
    finally:
        file.unlink(missing_ok=True)


@contextmanager
def gone_after_error(file: Path) -> Iterator[None]:
    file.unlink(missing_ok=True)
    try:
        yield
    except BaseException:
        file.unlink(missing_ok=True)
        raise
