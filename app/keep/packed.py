"""The program on a stick: what was packed there and when, and what a start from there finds beside it."""

import json
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from app.keep.places import places
from app.store.copies.backup import AT_THE_DESK, moment_of, newest_of_each

FOLDER = "lane-ledger"  # on the stick
SIGN = "packed.json"
BACKUPS = "backups"  # in the packed folder


@dataclass(frozen=True, slots=True)
class Packed:
    """What stands in the packed folder. moment: in ISO form, UTC. systems: those besides the kind of laptop that packed it."""

    version: str
    moment: str
    packed_on: str
    systems: tuple[str, ...]
    size: int

    def write(self, folder: Path) -> None:
        """Says it in the folder, last of all: what has no sign is half."""
        (folder / SIGN).write_text(json.dumps(asdict(self), indent=1), encoding="utf-8")


def packed_in(folder: Path) -> Packed | None:
    """What was packed into a folder; None where nothing whole was."""
    try:
        read = json.loads((folder / SIGN).read_text(encoding="utf-8"))
        datetime.fromisoformat(read["moment"])
        return Packed(**read | {"systems": tuple(read["systems"]), "size": int(read["size"])})
    except (OSError, ValueError, TypeError, KeyError):
        return None


def brought_along(program: Path) -> list[Path]:
    """The newest backup of each competition that a packed program finds, the newest first: its own, and those on the stick that
    it came from, or on any other that is plugged in. Empty for a program that was not packed."""
    if packed_in(program) is None:
        return []
    sticks = [place.folder for place in places() if place.what != "share"]
    kept = [stick / inside for stick in (program.parent, *sticks) for inside in (AT_THE_DESK, f"{FOLDER}/{BACKUPS}")]
    folders = [program / BACKUPS, program.parent, *kept]
    newest: dict[str, Path] = {}
    for found in (newest_of_each(folder) for folder in folders if folder.is_dir()):
        for ledger, file in found.items():
            if ledger not in newest or moment_of(file) > moment_of(newest[ledger]):
                newest[ledger] = file
    return sorted(newest.values(), key=moment_of, reverse=True)
