"""Files on the command line: the competition file out of a data folder and into an empty one; backups made and restored."""

import asyncio
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from app.hall.doing import note_at_terminal
from app.hall.hall import Hall
from app.live.servertime import this_machine
from app.results.pages.copy import copy_files
from app.results.publishing import export_file, import_file
from app.rules.records.document import CompetitionFile
from app.server import open_hall
from app.serving import hold_folder, kept_in, prepare_folder, told
from app.settings import Settings
from app.store.backup import back_up_file, backups_in
from app.store.carrying import back_up_server, restore_to_server
from app.store.database import Database
from app.store.restoring import restore


class FileRefused(Exception):
    """Raised when a file can't be written or read; its text is the sentence to show."""


def export_to(settings: Settings, file: Path) -> str:
    """Write everything in the data folder to a new file, and say so. Raises FileRefused, NothingThere."""
    if not settings.on_server and not settings.store_file.is_file():
        raise FileRefused(f"There is no competition in the folder {settings.data}. Name the folder: --data FOLDER")
    if file.exists():
        raise FileRefused(f"{file} is already there. Choose another name, so that nothing is written over.")
    hall = _open(settings)
    try:
        written = export_file(hall)
        note_at_terminal(hall.database, "Take the competition file along", file.name)
    finally:
        hall.database.close()
    _write_whole(file, written)
    return f"Written: {file} ({len(written):,} bytes)."


def publish_to(settings: Settings, folder: Path, initials: bool) -> str:
    """Write the results as a folder for any web space, and say so. Raises FileRefused, NothingThere."""
    if not settings.on_server and not settings.store_file.is_file():
        raise FileRefused(f"There is no competition in the folder {settings.data}. Name the folder: --data FOLDER")
    if folder.exists() and any(folder.iterdir() if folder.is_dir() else [folder]):
        raise FileRefused(f"{folder} is not an empty folder. Choose another, so that nothing is written over.")
    hall = _open(settings)
    try:
        files = copy_files(hall, initials=initials)
        note_at_terminal(hall.database, "Take the results along for a web space", folder.name)
    finally:
        hall.database.close()
    for path, content in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        _write_whole(folder / path, content)
    return f"Written: {len(files)} files in {folder}. Open index.html there, or put the folder on any web space."


def import_from(settings: Settings, file: Path) -> str:
    """Restore a competition file into an empty data folder, and say what came. Raises FileRefused, BadFile, NotEmpty."""
    try:
        data = file.read_bytes()
    except OSError as wrong:
        raise FileRefused(f"The file {file} can't be read: {wrong.strerror}.") from None
    prepare_folder(settings)
    with hold_folder(settings.data):
        came = asyncio.run(_import(settings, data))
    counts = f"{len(came.entries)} entries, {len(came.heats)} heats, {len(came.marks)} marks"
    return f"Restored {came.competition.name} into {kept_in(settings) if settings.on_server else settings.data}: {counts}."


def backup_to(settings: Settings, folder: Path) -> str:
    """Copy the store to a second place and read it back there. Raises FileRefused, BackupFailed."""
    if settings.on_server:
        with _database(settings) as database:
            made = back_up_server(database, folder, datetime.now(UTC))
    elif not settings.store_file.is_file():
        raise FileRefused(f"There is no competition in the folder {settings.data}. Name the folder: --data FOLDER")
    else:
        made = back_up_file(settings.store_file, folder, datetime.now(UTC))
    found = f"{made.contents.competition or 'no competition yet'}, {made.contents.marks:,} marks"
    return f"Written, read back and found whole: {made.file} ({found}, {made.contents.size:,} bytes)."


def restore_from(settings: Settings, place: Path, even_if_older: bool) -> str:
    """Put a backup, or the newest in a folder, in the place of the data folder's store, or into an empty database.

    Raises FileRefused, BadBackup.
    """
    found = backups_in(place)[-1:] if place.is_dir() else [place]
    if not found:
        raise FileRefused(f"There is no backup in {place}: its files begin with lane-ledger- and end in .sqlite3.")
    if settings.on_server:
        with _database(settings) as database:
            contents = restore_to_server(found[0], database)
            note_at_terminal(database, "Restore a backup", found[0].name)
        return f"Restored {contents.competition} from {found[0].name} into {kept_in(settings)}: {contents.marks:,} marks."
    settings.data.mkdir(parents=True, exist_ok=True)
    with hold_folder(settings.data):
        contents, aside = restore(found[0], settings.store_file, datetime.now(UTC), even_if_older)
        with _database(settings) as database:
            note_at_terminal(database, "Restore a backup", found[0].name)
    kept = f" What was there before is kept in {aside}." if aside else ""
    return f"Restored {contents.competition} from {found[0].name} into {settings.data}: {contents.marks:,} marks.{kept}"


async def _import(settings: Settings, data: bytes) -> CompetitionFile:
    hall = _open(settings)
    try:
        came = await import_file(hall, data)
        note_at_terminal(hall.database, "Import a competition file", came.competition.name)
        return came
    finally:
        hall.hub.close()
        hall.database.close()


@contextmanager
def _database(settings: Settings) -> Iterator[Database]:
    try:
        database = Database(settings.database())
    except Exception as wrong:
        raise told(wrong, settings) from wrong
    try:
        yield database
    finally:
        database.close()


def _open(settings: Settings) -> Hall:
    try:
        return open_hall(settings, this_machine())
    except Exception as wrong:
        raise told(wrong, settings) from wrong


def _write_whole(file: Path, content: bytes) -> None:
    """Write a file so that it is there whole or not at all."""
    beside = file.with_name(file.name + ".part")
    try:
        with beside.open("wb") as part:
            part.write(content)
            part.flush()
            os.fsync(part.fileno())
        beside.replace(file)
    except OSError as wrong:
        beside.unlink(missing_ok=True)
        raise FileRefused(f"{file} can't be written: {wrong.strerror}.") from None
