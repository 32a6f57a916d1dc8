"""Backups: the store copied while it is written to, to a second place, and read back there.

A snapshot is taken by SQLite's own backup, in steps on the writer's connection: from any other connection it would begin anew at
every write and never end. It lands beside the store first, because a slow stick must not hold up the writer.

Several ledgers may share one place: a backup's name and its contents say whose it is, and only one's own are ever let go.
"""

import hashlib
import os
import re
import shutil
import sqlite3
import sys
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from app.rules.values.words import say
from app.store.copies.bounded import read_within, too_large, uri_of
from app.store.copies.files import Get, copy_files, files_beside, heads_in, heads_of, lacking_in
from app.store.copies.held import gone_after, gone_after_error, is_removed, replace
from app.store.copies.proof import SINCE, digest_of, put_proof, real_tables, said_proof
from app.store.damage import damaged_in_file
from app.store.database import Database
from app.store.engines import LITTLE_KEPT
from app.store.files.folder import Folder, files_of
from app.store.files.verbs import NotAsStored
from app.store.full_disk import AMPLE_BYTES, has_no_room
from app.store.schema import revisions
from app.store.whose import SETTING, make_private, make_private_folder
from app.store.writer import Breathe

STEP_PAGES = 64  # 256 kB: a mark waits for one step at most
CHUNK = 1024 * 1024
KEPT = 24  # backups in one folder; with one every five minutes these are the last two hours
AT_THE_DESK = "lane-ledger-backups"  # the folder for backups in a place that was chosen at the desk
KEPT_BESIDE = 3  # on the disk of the store itself, whose space belongs to the marks
PREFIX, SUFFIX = "lane-ledger-", ".sqlite3"
NAMED = re.compile(rf"{PREFIX}(?:(?P<ledger>[0-9a-f]+)-)?(?P<moment>\d{{4}}-\d\d-\d\dT\d\d-\d\d-\d\dZ){re.escape(SUFFIX)}")
SUM = ".sha256"
NO_ROOM = "The disk that holds {} is too full for a backup. Free some space."
NEWER = "This data is of a newer version of Lane Ledger: make the backup with that version."
READ_BACK = "What was read back from {} is not what was written. Use another stick."


class BackupFailed(RuntimeError):
    """Raised when a backup could not be made or is not what it should be; its text is the sentence to show."""


class BadBackup(ValueError):
    """Raised when a file can't be restored from; its text is the sentence to show."""


class NewerBackup(BadBackup):
    """Raised for one that a newer version made: it may be whole, and this version can't tell."""


def counted(marks: int) -> str:
    """So many marks in words: `1,234 marks`."""
    return say("marks.shown", n=marks, shown=f"{marks:,}")


@dataclass(frozen=True, slots=True)
class Contents:
    """What a backup holds: the competition's name (empty before it has one), its marks, the schema's revision, the file's hash
    and size. `ledger`: whose it is, empty where it does not say. `proven`: whether the proof inside was there, and is right.
    `damaged`: how many marks in it are not as they were written, as it was in the store already. `lacking`: how many of the files
    that it names are not beside it."""

    competition: str
    marks: int
    revision: str
    digest: str
    size: int
    ledger: str
    proven: bool
    damaged: int
    lacking: int = 0


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was read back and found whole. `seconds` is how long making and reading it took; `left` how many old ones
    could not be removed, which says nothing against this one."""

    file: Path
    contents: Contents
    seconds: float
    left: int = 0


def make_backup(database: Database, folder: Path, now: datetime) -> Backup:
    """Copies the store into `folder`, reads the copy back, and lets old ones go. Not on the event loop. Raises BackupFailed.

    A store on a database server: see carrying.back_up_server.
    """
    if database.file is None:
        raise ValueError("this store is not a file")
    begun = datetime.now(UTC)
    here = database.file.with_name(database.file.name + ".copy")
    file = folder / named(database.ledger, now)
    try:
        make_private_folder(folder)
        beside = folder.stat().st_dev == database.file.parent.stat().st_dev
        _leave_room(database.file, copies=2 if beside else 1)
        with gone_after(here):
            take_snapshot(database, here)
            contents = copied(here, file, database.files.get, beside)
    except (sqlite3.Error, OSError) as wrong:
        raise _not_made(database.file, folder, wrong) from None
    left = let_old_ones_go(folder, database.ledger, KEPT_BESIDE if beside else KEPT)
    return Backup(file, contents, (datetime.now(UTC) - begun).total_seconds(), left)


def take_snapshot(database: Database, to: Path) -> None:
    """Copies the store as it stands, with all that is committed until the last step, to a file that is not there yet."""

    def steps(raw: Any, breathe: Breathe) -> None:
        with closing(sqlite3.connect(to, isolation_level=None, check_same_thread=False)) as target:
            # The copy counts only when it is whole, has been copied on and read back: it needs no journal of its own.
            target.execute("PRAGMA journal_mode=OFF")
            target.execute("PRAGMA synchronous=OFF")
            target.execute(LITTLE_KEPT)
            raw.backup(target, pages=STEP_PAGES, progress=lambda *_: breathe())

    database.submit_steps(steps).result()


def copy_of(store: Path, to: Path) -> str:
    """Copies a store from another process, whether a server writes to it or not; returns whose it is. Raises sqlite3.Error.

    In one step: in steps it would begin anew at every write. In a write-ahead log readers hold nobody up.
    """
    with (
        closing(sqlite3.connect(uri_of(store.absolute(), "mode=ro"), uri=True)) as source,
        closing(sqlite3.connect(to, isolation_level=None)) as target,
    ):
        target.execute("PRAGMA journal_mode=OFF")
        source.backup(target, pages=-1)
        return ledger_in(target)


def back_up_file(store: Path, folder: Path, now: datetime) -> Backup:
    """`make_backup` from another process than the server's. Raises BackupFailed."""
    begun = datetime.now(UTC)
    here = store.with_name(store.name + ".copy")
    try:
        make_private_folder(folder)
        with gone_after(here):
            file = folder / named(copy_of(store, here), now)
            contents = copied(here, file, Folder(files_of(store)).get)
    except (sqlite3.Error, OSError) as wrong:
        raise _not_made(store, folder, wrong) from None
    return Backup(file, contents, (datetime.now(UTC) - begun).total_seconds())


def _not_made(store: Path, folder: Path, wrong: sqlite3.Error | OSError) -> BackupFailed:
    """Why no backup was made: a full disk of the store, where a copy is made first, before all else."""
    if has_no_room(store.parent):
        return BackupFailed(NO_ROOM.format(store.parent))
    if isinstance(wrong, OSError):
        return BackupFailed(f"The backup could not be written to {folder}: {wrong.strerror or wrong}.")
    return BackupFailed(f"The backup could not be made: {wrong}.")


def named(ledger: str, now: datetime) -> str:
    """The name of a ledger's backup made at a moment."""
    return f"{PREFIX}{ledger}{'-' if ledger else ''}{now.astimezone(UTC):%Y-%m-%dT%H-%M-%SZ}{SUFFIX}"


def backups_in(folder: Path, ledger: str | None = None) -> list[Path]:
    """The backups in a folder, the oldest first: all, or by their names one ledger's. What somebody renamed comes before all."""
    found = folder.glob(f"{PREFIX}*{SUFFIX}")
    return sorted((file for file in found if ledger is None or _says(file)[1] == ledger), key=_says)


def _says(file: Path) -> tuple[str, str, str]:
    """The moment and the ledger in a backup's name, each empty where it says nothing; and the name itself."""
    match = NAMED.fullmatch(file.name)
    return (match["moment"], match["ledger"] or "", file.name) if match else ("", "", file.name)


def moment_of(file: Path) -> str:
    """The moment in a backup's name, in a form that sorts; empty where it says none."""
    return _says(file)[0]


def newest_of_each(*folders: Path) -> dict[str, Path]:
    """The newest backup of each ledger in some folders, as their names say; under the empty name those that don't say."""
    found = sorted((file for folder in folders for file in backups_in(folder)), key=_says)
    return {_says(file)[1]: file for file in found}


def beside_one_another(place: Path) -> tuple[Path, ...]:
    """Where on a stick backups may lie, by a folder that somebody names: in it, and in the one that the desk makes in what was
    chosen there. A start with --backups makes none: so the newest may lie in either."""
    root = place.parent if place.name == AT_THE_DESK else place
    return (root, root / AT_THE_DESK)


def ledger_in(store: sqlite3.Connection) -> str:
    """The id of the ledger in a store that was opened; empty for one without."""
    found = store.execute("SELECT value FROM setting WHERE name = ?", (SETTING,)).fetchone()
    return str(found[0]) if found else ""


def check(file: Path) -> Contents:
    """Reads a backup from end to end. Raises BadBackup when it is not whole, not ours, too large, or of a newer version.

    Nothing beside it is touched: it may lie on a stick that can't be written to. Nothing that it brings along is run.
    """
    if (wrong := too_large(file)) is not None:
        raise BadBackup(wrong)
    digest = _digest(file)
    if (said := _said_digest(file)) and said != digest:
        raise BadBackup(f"{file.name} is damaged: it is not what was written (its checksum differs). Take an older one.")
    try:
        with read_within(file) as store:
            return _contents(store, file, digest)
    except sqlite3.Error as wrong:
        raise BadBackup(f"{file.name} is not a readable backup: {wrong}.") from None


def _contents(store: sqlite3.Connection, file: Path, digest: str) -> Contents:
    if missing := {"alembic_version", "competition", "mark", "setting"} - real_tables(store):
        raise BadBackup(f"{file.name} is not a Lane Ledger backup: it has no table {min(missing)} in it.")
    found = store.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise BadBackup(f"{file.name} is damaged: {found}. Take an older one.")
    if store.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise BadBackup(f"{file.name} is damaged: a record in it refers to one that is not there. Take an older one.")
    revision = str(store.execute("SELECT version_num FROM alembic_version").fetchone()[0])
    if revision not in revisions():
        raise NewerBackup(f"{file.name} was made by a newer version of Lane Ledger. Use it with that version or a later one.")
    proven = _is_proven(store, file, revision)
    damaged = len(damaged_in_file(store))
    competition = store.execute("SELECT name FROM competition").fetchone()
    marks = int(store.execute("SELECT count(*) FROM mark").fetchone()[0])
    name = str(competition[0]) if competition else ""
    ledger = ledger_in(store)
    lacking = lacking_in(files_beside(file, ledger), heads_in(store))
    return Contents(name, marks, revision, digest, file.stat().st_size, ledger, proven, damaged, lacking)


def _is_proven(store: sqlite3.Connection, file: Path, revision: str) -> bool:
    """Whether the proof inside is right; False where backups did not have one yet. Raises BadBackup."""
    said = said_proof(store)
    if said is None and revision >= SINCE:
        raise BadBackup(f"{file.name} is damaged or was changed: the checksum inside it is missing. Take an older one.")
    if said is not None and said != digest_of(store):
        raise BadBackup(f"{file.name} is damaged: its content is not what was written. Take an older one.")
    return said is not None


def copied(here: Path, file: Path, get: Get, beside: bool = False) -> Contents:
    """Puts the proof into a finished snapshot, copies it to its place and reads it back from there; before it the files that it
    names, from `get`. `beside`: the place is on the disk of the store."""
    put_proof(here)
    part = file.with_name(file.name + ".part")
    with gone_after_error(part):
        try:
            copy_files(heads_of(here), get, files_beside(file, _says(file)[1]), room=beside)
        except NotAsStored:
            raise BackupFailed(READ_BACK.format(file.parent)) from None
        digest = copy_to_disk(here, part)
        try:
            contents = check(part)
        except NewerBackup:
            raise BackupFailed(NEWER) from None
        except BadBackup as wrong:
            raise BackupFailed(f"The backup was read back and is incomplete. {wrong}") from None
        if contents.digest != digest:
            raise BackupFailed(READ_BACK.format(file.parent))
        replace(part, file)
    # In the form that `sha256sum -c` reads.
    file.with_name(file.name + SUM).write_text(f"{digest}  {file.name}\n", encoding="ascii")
    return contents


def copy_to_disk(here: Path, there: Path) -> str:
    """Copies a file until it is on the disk itself, and returns the hash of what was written."""
    seen = hashlib.sha256()
    make_private(there)
    with here.open("rb") as source, there.open("wb") as target:
        while piece := source.read(CHUNK):
            seen.update(piece)
            target.write(piece)
        target.flush()
        os.fsync(target.fileno())
        if sys.platform == "linux":
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
    try:
        size = store.stat().st_size
    except FileNotFoundError:  # removed under the running server: what it still holds open is to be saved above all
        size = 0
    if shutil.disk_usage(store.parent).free < copies * size + AMPLE_BYTES:
        raise BackupFailed(NO_ROOM.format(store.parent))


def let_old_ones_go(folder: Path, ledger: str, kept: int) -> int:
    """Removes all backups of one ledger in a folder but the newest; whose names don't say whose they are stay.

    Returns how many could not be removed, such as one that a scanner or a sync holds open: the next backup tries again.
    """
    try:
        old_ones = backups_in(folder, ledger)[:-kept]
    except OSError:  # the stick was pulled out in this moment; what was made was read back before
        return 0
    return sum(not (is_removed(old) and is_removed(old.with_name(old.name + SUM))) for old in old_ones)
