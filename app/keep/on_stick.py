"""The program on the stick, at the desk: how old it is, and packing it anew while the server goes on."""

import asyncio
import logging
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from app import __version__
from app.hall.forms import refuse
from app.hall.hall import Hall
from app.hall.views import State
from app.keep.backups import INSIDE, back_up, backup_folder
from app.keep.packed import FOLDER, Packed, packed_in
from app.keep.packing import copied_from, pack
from app.keep.wheels import ABOUT_MB, HERE_MB, SYSTEMS, NotPacked
from app.rules.values.words import say
from app.store.copies.backup import AT_THE_DESK, Backup

log = logging.getLogger(__name__)

CALLED = {"windows": "Windows", "macos": "Macs", "linux": "Linux"}
DAY_S = 24 * 3600


@dataclass(frozen=True, slots=True)
class StickView:
    """The desk's section on the program on the stick. `place`: the stick, empty where backups lie beside the data. `now`: what
    the packing is at, empty while there is none."""

    place: str
    state: State
    now: str
    about_mb: int
    systems: tuple[tuple[str, str, int], ...]


async def stick_view(hall: Hall) -> StickView:
    """The section as it stands."""
    place = await stick(hall)
    found = None if place is None else await asyncio.to_thread(packed_in, place / FOLDER)
    systems = tuple((system, CALLED[system], ABOUT_MB[system]) for system in SYSTEMS)
    return StickView("" if place is None else str(place), _state(hall, found), hall.packing.now, HERE_MB, systems)


async def stick(hall: Hall) -> Path | None:
    """Where the program goes: beside the backups, if these have a place of their own."""
    folder = await backup_folder(hall)
    if hall.settings.demo or folder == hall.settings.data / INSIDE:
        return None
    return folder.parent if folder.name == AT_THE_DESK else folder


async def pack_now(hall: Hall, systems: Sequence[str]) -> None:
    """Begins to pack, with a backup made now. Raises BadForm, BackupFailed."""
    place = await stick(hall)
    if place is None:
        raise refuse("", "Choose a stick for the backups first: the program goes onto the same one.")
    if hall.packing.now:
        raise refuse("", "It is already being packed.")
    hall.packing.now, hall.packing.failure = "A backup", ""
    try:
        made = await back_up(hall)
    except BaseException:
        hall.packing.now = ""
        raise
    # A thread that the end of the server does not wait for: half a stick has no sign and is not taken for a whole one.
    threading.Thread(target=_pack, args=(hall, place, tuple(systems), made), daemon=True, name="packing").start()


def _pack(hall: Hall, place: Path, systems: Sequence[str], made: Backup) -> None:
    def tell(words: str) -> None:
        hall.packing.now = words

    try:
        pack(place, systems, copied_from(made), tell)
    except NotPacked as wrong:
        hall.packing.failure = str(wrong)
    except Exception:
        log.exception("Packing failed")
        hall.packing.failure = "Packing failed. The reason is in lane-ledger.log, in the data folder."
    finally:
        hall.packing.now = ""


def _state(hall: Hall, found: Packed | None) -> State:
    if hall.packing.failure:
        return State("look", hall.packing.failure)
    if found is None:
        return State("kept", "Not on the stick yet")
    moment = datetime.fromisoformat(found.moment)
    days = max(0, int(hall.time.wall_ms() / 1000 - moment.astimezone(UTC).timestamp())) // DAY_S
    also = ", ".join([found.packed_on, *(CALLED.get(system, system) for system in found.systems)])
    words = f"Packed {say('days_ago', n=days)} for {also}"
    if found.version != __version__:
        return State("look", f"{words}, by another version ({found.version}): pack it again")
    return State("safe", words)
