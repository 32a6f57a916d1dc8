"""What one process knows of its backups: whether one is being made, the last that was found whole, why the last one failed."""

import asyncio
from dataclasses import dataclass, field

from app.store.backup import Backup


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
