"""A disk that loses power: what SQLite writes is recorded, and any moment of it can be played back as a power cut leaves it.

What was synced is there. Of what was written since, each sector is there or not, by chance, and one may be torn in its middle; a
cut of a file may have happened or not. (SQLite's own tests assume the same of disks.)
"""

import random
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import apsw

SECTOR = 512


@dataclass
class Record:
    """What happened on the disk, in order: (file, what, where or how long, bytes). Acknowledgements are noted among it."""

    steps: list[tuple[str, str, int, bytes]] = field(default_factory=list)

    def acknowledged(self, mark: str) -> None:
        """Somebody was told that this mark is safe."""
        self.steps.append((mark, "told", 0, b""))


class Disk(apsw.VFS):
    """The machine's own file system, with every change recorded."""

    def __init__(self, name: str, record: Record) -> None:
        self.record = record
        super().__init__(name, "")

    def xOpen(self, name: Any, flags: list[int]) -> "File":
        return File(name, flags, self.record)

    def xDelete(self, name: str, sync: bool) -> None:
        self.record.steps.append((Path(name).name, "gone", 0, b""))
        super().xDelete(name, sync)


class File(apsw.VFSFile):
    """One open file."""

    def __init__(self, name: Any, flags: list[int], record: Record) -> None:
        super().__init__("", name, flags)
        self._name = Path(name.filename() if hasattr(name, "filename") else str(name)).name
        self._record = record

    def xWrite(self, data: bytes, offset: int) -> None:
        super().xWrite(data, offset)
        self._record.steps.append((self._name, "write", offset, bytes(data)))

    def xTruncate(self, size: int) -> None:
        super().xTruncate(size)
        self._record.steps.append((self._name, "cut", size, b""))

    def xSync(self, flags: int) -> None:
        super().xSync(flags)
        self._record.steps.append((self._name, "sync", 0, b""))


class Playback:
    """The disk as it was after so many steps, with what is certain and what is not."""

    def __init__(self, record: Record) -> None:
        self._steps = record.steps
        self._at = 0
        self._certain: dict[str, bytearray] = {}
        self._doubtful: dict[str, list[tuple[str, int, bytes]]] = {}
        self.told: list[str] = []

    def go_on(self, to: int) -> None:
        """Plays up to a step."""
        for name, what, number, data in self._steps[self._at : to]:
            if what == "told":
                self.told.append(name)
            elif what == "gone":
                self._certain.pop(name, None)
                self._doubtful.pop(name, None)
            elif what == "sync":
                self._certain[name] = self._with(name, self._doubtful.pop(name, []))
            else:
                self._certain.setdefault(name, bytearray())
                self._doubtful.setdefault(name, []).append((what, number, data))
        self._at = to

    def cut_power(self, folder: Path, chance: random.Random) -> None:
        """Writes into a folder what the power cut leaves of every file."""
        for old in folder.iterdir():
            old.unlink()
        for name in self._certain:
            kept = [part for step in self._doubtful.get(name, []) for part in _sectors(step, chance)]
            (folder / name).write_bytes(self._with(name, kept))

    def _with(self, name: str, steps: list[tuple[str, int, bytes]]) -> bytearray:
        image = bytearray(self._certain.get(name, bytearray()))
        for what, number, data in steps:
            if what == "cut":
                del image[number:]
            else:
                image.extend(b"\0" * max(0, number - len(image)))
                image[number : number + len(data)] = data
        return image


def _sectors(step: tuple[str, int, bytes], chance: random.Random) -> list[tuple[str, int, bytes]]:
    """What of a change that was not synced has reached the disk."""
    what, number, data = step
    if what == "cut":
        return [step] if chance.random() < 0.5 else []
    kept = []
    for start in range(0, len(data), SECTOR):
        piece = data[start : start + SECTOR]
        dice = chance.random()
        if dice < 0.05:
            piece = piece[: chance.randrange(len(piece))]
        if dice < 0.5:
            kept.append((what, number + start, piece))
    return kept
