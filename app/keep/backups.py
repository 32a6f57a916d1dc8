"""Backups: where they go, making one now and every few minutes, and what the desk sees of them."""

import asyncio
import logging
import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlmodel import Session

from app.hall.backup_age import ago, changes, is_late, something_new
from app.hall.forms import Typed, refuse
from app.hall.hall import Hall
from app.hall.views import State
from app.rules.values.texts import unfit
from app.rules.values.words import say
from app.store.copies.backup import Backup, BackupFailed, backups_in, make_backup
from app.store.copies.carrying import back_up_server
from app.store.devices import get_setting, put_setting
from app.store.writer import StoreTrouble

log = logging.getLogger(__name__)

TURN = "backup-turn"  # the name under which several processes keep when one of them last took its turn
MOST_OF_A_PAUSE = 0.8
FOLDER = "backup-folder"  # the name under which the store keeps the place that the desk chose
RETRY_S = 30.0
SHOWN = 5
MOST_PATH = 500
INSIDE = "backups"  # the folder made in the place that was chosen


@dataclass(frozen=True, slots=True)
class BackupView:
    """The desk's section on backups, in words. `places` are folders of sticks that are plugged in."""

    state: State
    folder: str
    fixed: bool
    every: str
    last: str
    checked: str
    kept: tuple[str, ...]
    places: tuple[str, ...]
    beside: bool


async def backup_folder(hall: Hall) -> Path:
    """Where backups go: as the command line said, else as the desk chose, else beside the data (the same disk), as a demo's."""
    if hall.settings.demo:
        return hall.settings.data / INSIDE
    if hall.settings.backups is not None:
        return hall.settings.backups
    chosen = await hall.database.aread(lambda session: get_setting(session, FOLDER))
    return Path(chosen) if chosen else hall.settings.data / INSIDE


async def back_up(hall: Hall) -> Backup:
    """Makes a backup now and reads it back. Raises BackupFailed with a sentence; the desk is shown it too."""
    state = hall.backups
    async with state.making:
        folder = await backup_folder(hall)
        commits, now = changes(hall), hall.time.wall_ms()
        make = back_up_server if hall.settings.on_server else make_backup
        try:
            await asyncio.to_thread(hall.database.look_for_damage)
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


async def keep_backing_up(hall: Hall) -> None:
    """Makes a backup every few minutes, as long as something has changed; for ever."""
    pause = hall.settings.backup_minutes * 60
    with suppress(StoreTrouble):  # told by /health and at the desk; looked at again with the next backup
        await asyncio.to_thread(hall.database.look_for_damage)
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
        raise refuse("folder", "The place was given when the server was started (--backups). Start it again to change it.")
    if hall.settings.demo:
        raise refuse("folder", "The demo keeps its backups in its own folder, beside nobody else's.")
    said = typed.get("folder", "").strip()
    folder = Path(said)
    if unfit(said) or len(said) > MOST_PATH:
        raise refuse("folder", f"A path has at most {MOST_PATH} characters, and no control character among them.")
    if said:
        await asyncio.to_thread(_check_folder, folder)
    chosen = str(folder / "lane-ledger-backups") if said else ""
    await hall.database.awrite(lambda session: put_setting(session, FOLDER, chosen))
    hall.backups.commits, hall.backups.last = -1, None
    return folder


def _check_folder(folder: Path) -> None:
    if not folder.is_absolute():
        raise refuse("folder", "Give the whole path of the folder, such as /media/anna/STICK or E:\\.")
    if not folder.is_dir():
        raise refuse("folder", "There is no such folder on the computer that runs the server. Is the stick plugged in?")
    if not os.access(folder, os.W_OK):
        raise refuse("folder", "The server may not write into that folder. Choose another, or unlock the stick.")


async def backup_view(hall: Hall) -> BackupView:
    """What the desk's page shows."""
    folder = await backup_folder(hall)
    places, kept, beside = await asyncio.to_thread(_look, folder, hall)
    last = hall.backups.last
    return BackupView(
        state=backup_state(hall),
        folder=str(folder),
        fixed=hall.settings.backups is not None or hall.settings.demo,
        every=f"{hall.settings.backup_minutes:g} minutes",
        last="" if last is None else f"{last.file.name}, {last.contents.marks:,} marks, {_size(last.contents.size)}",
        checked="" if last is None else f"{ago(hall, hall.backups.last_wall_ms)}, in {max(0.1, last.seconds):.1f} s",
        kept=tuple(f"{file.name} ({_size(size)})" for file, size in kept),
        places=tuple(map(str, places)),
        beside=beside,
    )


def backup_state(hall: Hall) -> State:
    """How it stands with backups, as a word and a shape."""
    state = hall.backups
    if state.failure:
        return State("look", state.failure)
    if state.last is None:
        return State("kept", "None made yet since the server was started")
    if state.last.contents.damaged:
        damaged = say("backup.damaged", n=state.last.contents.damaged)
        return State("look", f"Written and read back; {damaged}. Keep the ones from before")
    if is_late(hall):
        return State("look", f"The last one was {ago(hall, state.last_wall_ms)}")
    return State("safe", "Written, read back and found whole")


def _look(folder: Path, hall: Hall) -> tuple[list[Path], list[tuple[Path, int]], bool]:
    """Places to offer, the newest backups with their sizes, and whether they lie on the same disk as the data."""
    try:
        newest = [(file, file.stat().st_size) for file in reversed(backups_in(folder, hall.database.ledger)[-SHOWN:])]
        beside = _disk(folder) == _disk(hall.settings.data)
    except OSError:  # a stick that was pulled out while we looked
        return sorted(_sticks()), [], False
    return sorted(_sticks()), newest, beside


def _disk(folder: Path) -> int:
    while not folder.exists() and folder != folder.parent:
        folder = folder.parent
    return folder.stat().st_dev


def _sticks() -> Iterator[Path]:
    """Where systems put what is plugged in."""
    patterns = ("media/*/*", "run/media/*/*", "Volumes/*")
    for found in (place for pattern in patterns for place in Path("/").glob(pattern)):
        if found.is_mount() and os.access(found, os.W_OK) and found.resolve() != Path("/"):
            yield found
    if sys.platform == "win32":
        yield from (drive for letter in "DEFGHIJ" if (drive := Path(f"{letter}:\\")).exists())


def _moment(wall_ms: int) -> datetime:
    return datetime.fromtimestamp(wall_ms / 1000, UTC)


def _size(size: int) -> str:
    return f"{size / 1_000_000:,.1f} MB" if size >= 100_000 else f"{max(1, size // 1000)} kB"
