"""What one process knows of what leaves this laptop: whether a backup is being made, the last that was found whole, why it failed
since; and how the packing of the program on a stick goes."""

import asyncio
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from app.store.copies.backup import Backup, Contents


@dataclass(slots=True)
class BackupState:
    """Changed on the event loop only. Times are Unix time in milliseconds.

    commits: how many transactions the store had seen when the last backup began. failure: a sentence, or empty; since: when it
    first failed so.
    """

    making: asyncio.Lock = field(default_factory=asyncio.Lock)
    last: Backup | None = None
    last_wall_ms: int = 0
    commits: int = -1
    failure: str = ""
    since_wall_ms: int = 0

    def plain(self) -> list[Any]:
        """All of it as JSON, for the other processes of a server."""
        last = self.last and [str(self.last.file), *asdict(self.last.contents).values(), self.last.seconds, self.last.left]
        return [last, self.last_wall_ms, self.commits, self.failure, self.since_wall_ms]

    def take(self, plain: Sequence[Any]) -> None:
        """Takes over what another process says."""
        last, self.last_wall_ms, self.commits, self.failure, self.since_wall_ms = plain
        self.last = None if last is None else Backup(Path(last[0]), Contents(*last[1:-2]), *last[-2:])


@dataclass(slots=True)
class Packing:
    """now: what it is at, empty while nothing is packed. failure: why the last one failed, a sentence, or empty."""

    now: str = ""
    failure: str = ""
