"""Files on the command line: the competition file out of a data folder and into an empty one; backups made and restored."""

import asyncio
import os
import sys
import time
from collections.abc import Awaitable, Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import TypeVar

from sqlmodel import Session

from app.data_folder import CannotStart, folder_for
from app.hall.doing import note_at_terminal
from app.hall.hall import Hall
from app.live.servertime import this_machine
from app.results.competition_file import BadFile, make_file, read_file, write_file
from app.results.file_texts import check_texts
from app.results.publishing import NotAsSealed, export_file, fill, import_words, read_whole, start_file
from app.rules.records.numbers import find_doubles
from app.rules.values.words import say
from app.server import open_hall
from app.serving import kept_in, told
from app.settings import Settings
from app.store.copies import held
from app.store.copies.backup import BadBackup, Contents, back_up_file, beside_one_another, check, counted, newest_of_each
from app.store.copies.carrying import back_up_server, restore_to_server
from app.store.copies.restoring import restore
from app.store.damage import Damaged
from app.store.database import Database
from app.store.kinds import RULINGS, RUNS
from app.store.ledger import marks_in
from app.store.refusals import NotThere
from app.store.roster import read_roster
from app.store.writer import StoreTrouble

Ask = Callable[[str], str]
T = TypeVar("T")
ITS_OWN = "It is this hall's own: keep it as safe as the backups. For another hall use export FILE --to-begin."
LEAST_S = 5  # between two turns of what is kept written
BEHIND = 10  # how much such a process stands behind a server on the same computer: judges go first
MARKS_AT_ONCE = 50_000  # so that a day of a million marks is looked at in bounded memory


class FileRefused(Exception):
    """Raised when a file can't be written or read; its text is the sentence to show."""


def keep_writing(
    write: Callable[[], str],
    every_s: int,
    tell: Callable[[str], None] = print,
    wait: Callable[[float], None] = time.sleep,
    behind: int = BEHIND,
) -> None:
    """Writes what changed, so often, until it is stopped; `write` says what that was. Raises FileRefused for a time too short.

    A store that is away, a full disk, something that is not there yet are told once, and tried again the next time.
    """
    if every_s < LEAST_S:
        raise FileRefused(
            f"Every {LEAST_S} seconds is the most often that the pages can be written. Say --every {LEAST_S} or more."
        )
    if sys.platform != "win32":  # which has nothing of the kind
        with suppress(OSError):
            os.nice(behind)
    trouble = ""
    for turn in count():
        try:
            told, trouble = write(), ""
        except (NotThere, StoreTrouble, FileRefused, CannotStart) as wrong:
            if turn == 0 and isinstance(wrong, CannotStart):  # what was never open is named wrong
                raise
            told = "" if str(wrong) == trouble else f"{wrong} Trying again every {every_s} seconds."
            trouble = str(wrong)
        if told or turn == 0:
            tell(f"{datetime.now(UTC).astimezone():%H:%M:%S}  {told or 'Nothing has changed since the folder was written.'}")
        wait(every_s)


def export_to(settings: Settings, file: Path) -> str:
    """Write everything in the data folder to a new file, and say so. Raises FileRefused, NothingThere."""
    with _to_write(settings, file) as hall:
        written = export_file(hall)
        hall.database.look_for_damage()
        damaged = hall.database.damaged
        write_whole(file, written)
        note_at_terminal(hall.database, "Download the competition file", file.name)
    return f"Written: {file} ({len(written):,} bytes). {ITS_OWN}{_told_damage(damaged)}"


def start_to(settings: Settings, file: Path, entries: bool = True) -> str:
    """Write the file that another hall begins from, and say so. Raises FileRefused, NothingThere."""
    with _to_write(settings, file) as hall:
        written = start_file(hall, entries=entries)
        write_whole(file, written)
        note_at_terminal(hall.database, "Download the start file for another hall", file.name)
    return f"Written: {file} ({len(written):,} bytes), for another hall to begin from."


@contextmanager
def _to_write(settings: Settings, file: Path) -> Iterator[Hall]:
    """The hall of a data folder, while a new file is made of it. Raises FileRefused."""
    look_for_store(settings)
    look_for_place(file)
    with opened(settings) as hall:
        yield hall


def look_for_store(settings: Settings) -> None:
    """Raises FileRefused where the data folder holds no competition."""
    if not settings.on_server and not settings.store_file.is_file():
        raise FileRefused(f"There is no competition in the folder {settings.data}. Give the folder: --data FOLDER")


def _told_damage(damaged: Sequence[Damaged]) -> str:
    """The marks that are not as they were written, in words; empty where there are none."""
    if not damaged:
        return ""
    listed = "".join(f"\n  Damaged: number {one.seq} of {one.device}, in its life {one.epoch}" for one in damaged)
    return f"\n{say('file.damaged', n=len(damaged))}{listed}"


def import_from(settings: Settings, file: Path, another_hall: bool = False, even_if_changed: bool = False) -> str:
    """Restore a competition file into an empty data folder, and say what came, and what of it is not as it was sealed. Raises
    FileRefused, BadFile, NotEmpty."""
    try:
        data = file.read_bytes()
    except OSError as wrong:
        raise FileRefused(f"The file {file} can't be read: {wrong.strerror}.") from None
    try:
        came, faults = read_whole(data, even_if_changed)  # first: a file that is refused leaves no folder behind, and no store
    except NotAsSealed as wrong:
        raise FileRefused(f"{wrong}\nIf it is all you have: import {file} --even-if-changed") from None

    async def read_in(hall: Hall) -> None:
        await fill(hall, came, faults, another_hall)
        note_at_terminal(hall.database, "Import a competition file", import_words(came, faults))

    in_hall(settings, read_in)
    counted = (("list.entries", came.entries), ("list.heats", came.heats), ("marks", came.marks))
    counts = ", ".join(say(row, n=len(found)) for row, found in counted)
    return f"Restored {came.competition.name} into {_into(settings)}: {counts}.{_told_faults(faults)}"


def _told_faults(faults: Sequence[str]) -> str:
    """What is not as it was sealed, in words; empty where all is."""
    listed = "".join(f"\n  {fault}" for fault in faults)
    return f"\nIt is not what was sealed when the file was written:{listed}" if faults else ""


def backup_to(settings: Settings, folder: Path) -> str:
    """Copy the store to a second place and read it back there. Raises FileRefused, BackupFailed."""
    if settings.on_server:
        with open_database(settings) as database:
            made = back_up_server(database, folder, datetime.now(UTC))
    else:
        look_for_store(settings)
        made = back_up_file(settings.store_file, folder, datetime.now(UTC))
    found = f"{made.contents.competition or 'no competition yet'}, {counted(made.contents.marks)}"
    return f"Written, read back and complete: {made.file} ({found}, {made.contents.size:,} bytes)."


def restore_from(
    settings: Settings, place: Path, even_if_older: bool = False, even_if_others: bool = False, ask: Ask | None = None
) -> str:
    """Put a backup, or the newest in a folder, in the place of the data folder's store, or into an empty database.

    `ask` puts a question to the person and brings the answer; without it nobody is there to be asked, and what is in doubt is
    refused. Raises FileRefused, BadBackup.
    """
    file = _which(place, settings, ask)
    contents = check(file)
    if (
        ask is not None
        and ask(f"{_whose(file, contents)}\nRestore it into {_into(settings)}? Type yes: ").strip().lower() != "yes"
    ):
        raise FileRefused("Nothing was restored.")
    if settings.on_server:
        with open_database(settings) as database:
            contents = restore_to_server(file, database, as_on_import)
            note_at_terminal(database, "Restore a backup", file.name)
        return f"Restored into {_into(settings)}. {_whose(file, contents)}"
    with folder_for(settings):
        contents, aside = restore(file, settings.store_file, datetime.now(UTC), even_if_older, even_if_others, prove=as_on_import)
        with open_database(settings) as database:
            note_at_terminal(database, "Restore a backup", file.name)
    kept = f" What was there before is kept in {aside}." if aside else ""
    return (
        f"Restored into {_into(settings)}. {_whose(file, contents)} Log in at the desk again; tablets carry "
        f"on as they were.{kept}"
    )


def _into(settings: Settings) -> str:
    return kept_in(settings) if settings.on_server else str(settings.data)


def _whose(file: Path, contents: Contents) -> str:
    """Whose a backup is and what is known of it, in words."""
    proven = "intact by its checksum" if contents.proven else "from a version that put no checksum inside, so it can't be checked"
    damaged = f" {say('backup.of_them_damaged', n=contents.damaged, shown=f'{contents.damaged:,}')}" if contents.damaged else ""
    lacking = f" {say('backup.lacking', n=contents.lacking)}." if contents.lacking else ""
    competition = contents.competition or "a competition without a name"
    return f"{file.name} is of {competition}: {counted(contents.marks)}, {proven}.{damaged}{lacking}"


def _which(place: Path, settings: Settings, ask: Ask | None) -> Path:
    """The file that is meant by a file or a folder; of several ledgers in it the person says which. Raises FileRefused."""
    if not place.is_dir():
        return place
    newest = newest_of_each(*beside_one_another(place))
    if not newest:
        raise FileRefused(f"There is no backup in {place}: its files begin with lane-ledger- and end in .sqlite3.")
    if len(newest) == 1:
        return next(iter(newest.values()))
    files = sorted(newest.values())
    listed = "\n".join(f"  {number}  {told_of(file)}" for number, file in enumerate(files, start=1))
    said = f"{place} holds the backups of {len(files)} competitions. The newest of each:\n{listed}\n"
    if ask is None:
        raise FileRefused(f"{said}Give the one you want: restore {files[0]} --data FOLDER")
    answer = ask(f"{said}Which one, 1 to {len(files)}? ").strip()
    if not (answer.isdecimal() and 1 <= int(answer) <= len(files)):
        raise FileRefused("Nothing was restored.")
    return files[int(answer) - 1]


def told_of(file: Path) -> str:
    """What a backup is of, or why it can't be restored from."""
    try:
        return _whose(file, check(file))
    except BadBackup as wrong:
        return str(wrong)


def as_on_import(session: Session) -> None:
    """Looks at a store as at a competition file that is read in. Raises BadBackup for what no such file may hold."""
    try:
        _read_through(session)
    except BadFile as wrong:
        raise BadBackup(f"The backup contradicts itself: {wrong} Nothing was restored. Take an older one.") from None
    except (ValueError, TypeError, KeyError):
        raise BadBackup("A record in the backup can't be read. Nothing was restored. Take an older one.") from None


def _read_through(session: Session) -> None:
    roster, runs, rulings = read_roster(session), RUNS.all(session), RULINGS.all(session)
    if roster is None:
        return
    marks = marks_in(session)
    doubled = [mark for one in find_doubles(marks) for mark in one.marks.values()]  # a ruling names one of several: all at once
    for start in range(0, max(1, len(marks)), MARKS_AT_ONCE):
        some = {id(mark): mark for mark in (*marks[start : start + MARKS_AT_ONCE], *doubled)}
        check_texts(read_file(write_file(make_file(roster, runs, rulings, some.values(), 0))))


def in_hall(settings: Settings, do: Callable[[Hall], Awaitable[T]]) -> T:
    """What is done in the hall of a data folder, which is made unless it is there, and which no server runs meanwhile.

    Raises what `do` raises, and what `told` makes of what goes wrong."""
    with folder_for(settings):
        return asyncio.run(_done_in(settings, do))


async def _done_in(settings: Settings, do: Callable[[Hall], Awaitable[T]]) -> T:
    hall = _open(settings)
    try:
        return await do(hall)
    finally:
        hall.hub.close()
        hall.database.close()


@contextmanager
def open_database(settings: Settings) -> Iterator[Database]:
    """The store alone, closed afterwards. Raises what `told` makes of what goes wrong."""
    try:
        database = Database(settings.database())
    except Exception as wrong:
        raise told(wrong, settings) from wrong
    try:
        yield database
    finally:
        database.close()


@contextmanager
def opened(settings: Settings) -> Iterator[Hall]:
    """The hall of a data folder or of a server's store, closed afterwards. Raises what `told` makes of what goes wrong."""
    hall = _open(settings)
    try:
        yield hall
    finally:
        hall.database.close()


def _open(settings: Settings) -> Hall:
    try:
        return open_hall(settings, this_machine())
    except Exception as wrong:
        raise told(wrong, settings) from wrong


def look_for_place(file: Path) -> None:
    """Looks whether a new file can be made there, before anything is done of which it is to tell. Raises FileRefused."""
    try:
        if file.exists():
            raise FileRefused(f"{file} is already there. Choose another name, so that nothing is overwritten.")
        _beside(file).open("wb").close()
    except OSError as wrong:
        raise _not_written(file, wrong) from None
    held.is_removed(_beside(file))


def write_whole(file: Path, content: bytes) -> None:
    """Write a file so that it is there whole or not at all. Raises FileRefused."""
    beside = _beside(file)
    try:
        with beside.open("wb") as part:
            part.write(content)
            part.flush()
            os.fsync(part.fileno())
        held.replace(beside, file)
    except OSError as wrong:
        held.is_removed(beside)
        raise _not_written(file, wrong) from None


def write_in_folder(file: Path, content: bytes) -> None:
    """The same, and its folder is made if it is not there."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise _not_written(file, wrong) from None
    write_whole(file, content)


def _beside(file: Path) -> Path:
    return file.with_name(file.name + ".part")


def _not_written(file: Path, wrong: OSError) -> FileRefused:
    return FileRefused(f"{file} can't be written: {wrong.strerror}.")
