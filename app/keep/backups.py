"""Backups: where they go, making one now and every few minutes, and what the desk sees of them."""

import asyncio
import logging
import os
import sys
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlmodel import Session

from app.hall.backup_age import ago, changes, is_late, something_new
from app.hall.forms import Typed, refuse
from app.hall.hall import Hall
from app.hall.views import State
from app.keep.places import Place, is_of_this_system, places
from app.rules.values.texts import unfit
from app.rules.values.words import say
from app.store.copies.backup import AT_THE_DESK, Backup, BackupFailed, backups_in, counted, make_backup
from app.store.copies.carrying import back_up_server
from app.store.devices import get_setting, put_setting
from app.store.writer import StoreTrouble

log = logging.getLogger(__name__)

TURN = "backup-turn"  # the name under which several processes keep when one of them last took its turn
MOST_OF_A_PAUSE = 0.8
FOLDER = "backup-folder"  # the name under which the store keeps the place that the desk chose
RETRY_S = 30.0
UNNAMED_S = 3600.0  # a file that nothing has named for so long came of something that was ended in the middle
SHOWN = 5
MOST_PATH = 500
# A share in the network is a path of its own on Windows, and elsewhere the folder that it is mounted at.
EXAMPLES = {"win32": "E:\\ or \\\\COMPUTER\\SHARE", "darwin": "/Volumes/STICK"}
ELSEWHERE = "/media/anna/STICK"
INSIDE = "backups"  # the folder made in the place that was chosen


@dataclass(frozen=True, slots=True)
class BackupView:
    """The desk's section on backups, in words. `places`: what is plugged in or mounted, and what each is. `foreign`: a place that
    was named on another kind of computer and is not taken here. `left`: what is to be said of old backups that stay."""

    state: State
    folder: str
    fixed: bool
    every: str
    last: str
    checked: str
    kept: tuple[str, ...]
    places: tuple[tuple[str, str], ...]
    beside: bool
    foreign: str
    left: str


async def backup_folder(hall: Hall) -> Path:
    """Where backups go: as the command line said, else as the desk chose, else beside the data (the same disk), as a demo's."""
    if hall.settings.demo:
        return hall.settings.data / INSIDE
    if hall.settings.backups is not None:
        return hall.settings.backups
    chosen = await _chosen(hall)
    return Path(chosen) if chosen and is_of_this_system(Path(chosen)) else hall.settings.data / INSIDE


async def _chosen(hall: Hall) -> str:
    """The place that the desk chose, here or on the computer whose backup this is; empty where none was."""
    return await hall.database.aread(lambda session: get_setting(session, FOLDER)) or ""


async def back_up(hall: Hall) -> Backup:
    """Makes a backup now and reads it back. Raises BackupFailed with a sentence; the desk is shown it too."""
    state = hall.backups
    async with state.making:
        folder = await backup_folder(hall)
        commits, now = changes(hall), hall.time.wall_ms()
        make = back_up_server if hall.settings.on_server else make_backup
        try:
            await asyncio.to_thread(hall.database.look_for_damage)
            await asyncio.to_thread(_must_be_there, folder, await _chosen(hall))
            made = await asyncio.to_thread(make, hall.database, folder, _moment(now))
        except BackupFailed as wrong:
            state.since_wall_ms = state.since_wall_ms if state.failure else now
            state.failure = str(wrong)
            hall.relay.say("backup", state.plain())
            hall.hub.publish("desk", {"type": "backup"})
            raise
        state.last, state.last_wall_ms, state.commits, state.failure = made, now, commits, ""
    hall.relay.say("backup", state.plain())
    hall.hub.publish("desk", {"type": "backup"})
    return made


def _must_be_there(folder: Path, chosen: str) -> None:
    """A place that was chosen is never made: without its stick, or elsewhere, it would be a folder on this very disk."""
    if str(folder) == chosen and not folder.parent.is_dir():
        raise BackupFailed(f"The backup could not be written to {folder}: {folder.parent} is not there. Is the stick plugged in?")


async def keep_backing_up(hall: Hall) -> None:
    """Makes a backup every few minutes, as long as something has changed; for ever."""
    pause = hall.settings.backup_minutes * 60
    with suppress(StoreTrouble):  # told by /health and at the desk; looked at again with the next backup
        await asyncio.to_thread(hall.database.look_for_damage)
        await asyncio.to_thread(hall.database.files.delete_unreferenced, hall.time.wall_ms() / 1000 - UNNAMED_S)
        hall.hub.publish("desk", {"type": "backup"})
    while True:
        await asyncio.sleep(min(pause, RETRY_S) if hall.backups.failure else pause)
        try:
            if something_new(hall) and await _our_turn(hall, pause):
                await back_up(hall)
        except (BackupFailed, StoreTrouble) as wrong:
            log.warning("A backup failed: %s", wrong)
        except Exception:  # whatever it was, the next one is tried all the same
            log.exception("A backup failed")


async def _our_turn(hall: Hall, pause_s: float) -> bool:
    """Whether this process is to make the backup that is due: of several, the first that asks."""
    if not hall.settings.on_server:
        return True
    now = hall.time.wall_ms()

    def work(session: Session) -> bool:
        last = int(get_setting(session, TURN) or 0)
        if abs(now - last) < pause_s * 1000 * MOST_OF_A_PAUSE and not hall.backups.failure:
            return False
        put_setting(session, TURN, str(now))
        return True

    return await hall.database.awrite(work)


async def choose_folder(hall: Hall, typed: Typed) -> Path:
    """Sets the place for backups; an empty one goes back to the folder beside the data. Raises BadForm."""
    if hall.settings.backups is not None:
        raise refuse("folder", "The place was set when the server started (--backups). Restart it to change it.")
    if hall.settings.demo:
        raise refuse("folder", "The demo keeps its backups in its own folder.")
    said = typed.get("folder", "").strip()
    folder = Path(said)
    if unfit(said) or len(said) > MOST_PATH:
        raise refuse("folder", f"A path has at most {MOST_PATH} characters and no control characters.")
    if said:
        await asyncio.to_thread(_check_folder, folder)
    chosen = str(folder / AT_THE_DESK) if said else ""
    await hall.database.awrite(lambda session: put_setting(session, FOLDER, chosen))
    hall.backups.commits, hall.backups.last = -1, None
    return folder


def _check_folder(folder: Path) -> None:
    if not is_of_this_system(folder):
        example = EXAMPLES.get(sys.platform, ELSEWHERE)
        raise refuse("folder", f"Type the full path of the folder on this computer, such as {example}.")
    if not folder.is_dir():
        raise refuse("folder", "There is no such folder on the computer that runs the server. Is the stick plugged in?")
    if not os.access(folder, os.W_OK):
        raise refuse("folder", "The server can't write to that folder. Choose another, or unlock the stick.")


async def backup_view(hall: Hall) -> BackupView:
    """What the desk's page shows."""
    folder = await backup_folder(hall)
    there, kept, beside = await asyncio.to_thread(_look, folder, hall)
    last, chosen = hall.backups.last, await _chosen(hall)
    return BackupView(
        state=backup_state(hall),
        folder=str(folder),
        fixed=hall.settings.backups is not None or hall.settings.demo,
        every=say("minutes", n=hall.settings.backup_minutes, shown=f"{hall.settings.backup_minutes:g}"),
        last="" if last is None else f"{last.file.name}, {counted(last.contents.marks)}, {_size(last.contents.size)}",
        checked="" if last is None else f"{ago(hall, hall.backups.last_wall_ms)}, in {max(0.1, last.seconds):.1f} s",
        kept=tuple(f"{file.name} ({_size(size)})" for file, size in kept),
        places=tuple((str(place.folder), place.words) for place in there),
        beside=beside,
        foreign="" if not chosen or is_of_this_system(Path(chosen)) else chosen,
        left="" if last is None or not last.left else say("backup.left", n=last.left),
    )


def backup_state(hall: Hall) -> State:
    """How it stands with backups, as a word and a shape."""
    state = hall.backups
    if state.failure:
        return State("look", state.failure)
    if state.last is None:
        return State("kept", "None since the server started")
    if state.last.contents.damaged:
        damaged = say("backup.damaged", n=state.last.contents.damaged)
        return State("look", f"Written and read back; {damaged}. Keep the earlier ones")
    if state.last.contents.lacking:
        lacking = say("backup.lacking", n=state.last.contents.lacking)
        return State("look", f"Written and read back; {lacking}. Keep the earlier ones")
    if is_late(hall):
        return State("look", f"The last one was {ago(hall, state.last_wall_ms)}")
    return State("safe", "Written, read back and complete")


def _look(folder: Path, hall: Hall) -> tuple[list[Place], list[tuple[Path, int]], bool]:
    """Places to offer, the newest backups with their sizes, and whether they lie on the same disk as the data."""
    try:
        newest = [(file, file.stat().st_size) for file in reversed(backups_in(folder, hall.database.ledger)[-SHOWN:])]
        beside = _disk(folder) == _disk(hall.settings.data)
    except OSError:  # a stick that was pulled out while we looked
        return places(), [], False
    return places(), newest, beside


def _disk(folder: Path) -> int:
    while not folder.exists() and folder != folder.parent:
        folder = folder.parent
    return folder.stat().st_dev


def _moment(wall_ms: int) -> datetime:
    return datetime.fromtimestamp(wall_ms / 1000, UTC)


def _size(size: int) -> str:
    return f"{size / 1_000_000:,.1f} MB" if size >= 100_000 else f"{max(1, size // 1000)} kB"
