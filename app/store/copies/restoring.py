"""Restoring a backup: checked before anything is touched, and what was there is kept."""

import dataclasses
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from app.store.copies.backup import BadBackup, Contents, check, copy_to_disk, counted, ledger_in
from app.store.copies.bounded import uri_of
from app.store.copies.files import files_beside, heads_of
from app.store.copies.held import gone_after, gone_after_error, remove, remove_folder, replace
from app.store.copies.rebuilding import Prove, Unfit, rebuild
from app.store.database import Database
from app.store.files.folder import Folder, files_of
from app.store.files.verbs import NotAsStored
from app.store.whose import make_private_folder

NAMELESS = "one without a name"
ASIDE = ("", "-wal", "-shm", ".files")  # the files that a store consists of, and the folder of those by digest


def restore(
    backup: Path,
    store: Path,
    now: datetime,
    even_if_older: bool = False,
    even_if_others: bool = False,
    prove: Prove = lambda _: None,
) -> tuple[Contents, Path | None]:
    """Puts a backup in the place of a store that no process has open. Returns what came, and where the old store is kept.

    Checked before anything is touched: its rows are put into a schema of ours, and `prove` looks at that store and raises what is
    wrong with it. What was there is moved aside, and put back if the restored store can't take its place or be opened. Raises
    BadBackup, also for a backup with fewer marks than the store holds, unless `even_if_older`, and for one of another ledger,
    unless `even_if_others`.
    """
    contents = check(backup)
    _compare(contents, store, even_if_older, even_if_others)
    try:
        make_private_folder(store.parent)
        with _made_beside(backup, contents, store, prove) as part:
            lacking = _bring_files(part, backup, contents, store)
            aside = _put_in_place(part, store, contents, now)
    except (OSError, sqlite3.Error, DBAPIError) as wrong:
        raise BadBackup(f"{_not_written(store, wrong)} Nothing was replaced.") from None
    return dataclasses.replace(contents, lacking=lacking), aside


def _put_in_place(part: Path, store: Path, contents: Contents, now: datetime) -> Path | None:
    """Puts a store that was made beside another in its place, and opens it; where the other is kept. Whatever goes wrong, the
    other is back."""
    aside = _move_aside(store, now)
    try:
        if files_of(part).exists():
            replace(files_of(part), files_of(store))
        replace(part, store)
        _open_and_count(store, contents)
    except BaseException:
        _put_back(store, aside)
        raise
    return aside


def _bring_files(part: Path, backup: Path, contents: Contents, store: Path) -> int:
    """Makes the folder of files of a new store: what it names, from the store that it replaces or from beside the backup. How
    many neither has as they came."""
    to, lacking = Folder(files_of(part)), 0
    for one in heads_of(part):
        for source in (Folder(files_of(store)), files_beside(backup, contents.ledger)):
            with suppress(NotAsStored):
                to.take_over(one.digest, source)
                break
        else:
            lacking += 1
    return lacking


def _compare(contents: Contents, store: Path, even_if_older: bool, even_if_others: bool) -> None:
    """Raises BadBackup where the store that is there must not be replaced without a word."""
    there = _there(store)
    if there.ledger and contents.ledger and there.ledger != contents.ledger and not even_if_others:
        raise BadBackup(
            f"The folder {store.parent} holds another competition, {there.competition or NAMELESS} ({counted(there.marks)}), and "
            f"the backup is of {contents.competition or NAMELESS} ({counted(contents.marks)}). Nothing was replaced. Restore "
            "into another folder (--data FOLDER), or confirm it: --even-if-others"
        )
    if there.marks > contents.marks and not even_if_older:
        raise BadBackup(
            f"The folder {store.parent} holds {counted(there.marks)} and the backup only {contents.marks:,}. Nothing was "
            "replaced. To go back to the backup anyway: --even-if-older"
        )


@contextmanager
def _made_beside(backup: Path, contents: Contents, store: Path, prove: Prove) -> Iterator[Path]:
    """A new store beside the one to be replaced, made of a backup's rows; gone afterwards, unless it was moved to its place."""
    raw, part = store.with_name(store.name + ".came"), store.with_name(store.name + ".part")
    with gone_after_error(part), gone_after(raw):
        if copy_to_disk(backup, raw) != contents.digest:
            raise BadBackup(f"{backup.name} changed while it was read. Nothing was replaced.")
        try:
            rebuild(raw, contents.revision, part, prove)
        except Unfit as wrong:
            raise BadBackup(f"{backup.name} contradicts itself: {wrong}. Nothing was replaced. Take an older one.") from None
        try:
            yield part
        finally:
            if files_of(part).exists():
                remove_folder(files_of(part))


def _open_and_count(store: Path, contents: Contents) -> None:
    """Opens the restored store as the server will (an older schema is walked up) and counts its marks."""
    database = Database(f"sqlite:///{store.absolute().as_posix()}")
    try:
        marks = database.read(lambda session: session.connection().exec_driver_sql("SELECT count(*) FROM mark").scalar_one())
    finally:
        database.close()
    if marks != contents.marks:
        raise BadBackup(f"The restored store holds {counted(marks)} instead of {contents.marks}. What was there before is back.")


@dataclass(frozen=True, slots=True)
class There:
    """What stands in the place that is restored into."""

    ledger: str = ""
    competition: str = ""
    marks: int = 0


def _there(store: Path) -> There:
    """What a store holds; nothing for one that is not there or can't be read, which is a reason to restore."""
    if not store.is_file():
        return There()
    try:
        with closing(sqlite3.connect(uri_of(store.absolute(), "mode=ro"), uri=True)) as opened:
            named = opened.execute("SELECT name FROM competition").fetchone()
            marks = int(opened.execute("SELECT count(*) FROM mark").fetchone()[0])
            return There(ledger_in(opened), str(named[0]) if named else "", marks)
    except sqlite3.Error:
        return There()


def _move_aside(store: Path, now: datetime) -> Path | None:
    files = [store.with_name(store.name + end) for end in ASIDE if store.with_name(store.name + end).exists()]
    if not files:
        return None
    aside = store.parent / f"replaced-{now.astimezone(UTC):%Y-%m-%dT%H-%M-%SZ}"
    make_private_folder(aside)
    moved: list[Path] = []
    try:
        for file in files:
            replace(file, aside / file.name)
            moved.append(file)
    except OSError:  # somebody holds one of them: a store without its log would be older than it was
        with _said_where(store, aside):
            for file in moved:
                replace(aside / file.name, file)
            aside.rmdir()
        raise
    return aside


def _put_back(store: Path, aside: Path | None) -> None:
    with _said_where(store, aside):
        for end in ASIDE:
            there = store.with_name(store.name + end)
            if there.is_dir():
                remove_folder(there)
            else:
                remove(there)
        for file in aside.iterdir() if aside else ():
            shutil.move(file, store.parent / file.name)
        if aside:
            aside.rmdir()


@contextmanager
def _said_where(store: Path, aside: Path | None) -> Iterator[None]:
    """Says where the store is that was there, if it can't be put back. Raises BadBackup."""
    try:
        yield
    except OSError as wrong:
        kept = f" What was there before is kept in {aside}: move its files back before you start." if aside else ""
        raise BadBackup(f"{_not_written(store, wrong)}{kept}") from None


def _not_written(store: Path, wrong: Exception) -> str:
    reason = wrong.strerror or wrong if isinstance(wrong, OSError) else getattr(wrong, "orig", wrong)
    return f"{store.parent} can't be written: {reason}."
