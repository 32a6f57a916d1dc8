"""The competition file on the command line: out of a data folder, and back into an empty one."""

import asyncio
import os
from pathlib import Path

from app.actions.hall import Hall
from app.actions.publishing import export_file, import_file
from app.live.servertime import this_machine
from app.rules.document import CompetitionFile
from app.server import open_hall
from app.serving import hold_folder, prepare_folder, told
from app.settings import Settings


class FileRefused(Exception):
    """Raised when a file can't be written or read; its text is the sentence to show."""


def export_to(settings: Settings, file: Path) -> str:
    """Write everything in the data folder to a new file, and say so. Raises FileRefused, NothingThere."""
    if not settings.database_url and not settings.store_file.is_file():
        raise FileRefused(f"There is no competition in the folder {settings.data}. Name the folder: --data FOLDER")
    if file.exists():
        raise FileRefused(f"{file} is already there. Choose another name, so that nothing is written over.")
    hall = _open(settings)
    try:
        written = export_file(hall)
    finally:
        hall.database.close()
    _write_whole(file, written)
    return f"Written: {file} ({len(written):,} bytes)."


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
    return f"Restored {came.competition.name} into {settings.data}: {counts}."


async def _import(settings: Settings, data: bytes) -> CompetitionFile:
    hall = _open(settings)
    try:
        return await import_file(hall, data)
    finally:
        hall.hub.close()
        hall.database.close()


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
