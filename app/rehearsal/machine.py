"""What a process uses of this machine, where the system tells."""

import os
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Self


@dataclass(frozen=True, slots=True)
class Load:
    """core: how much of one core a process used (1 is all of it). megabytes: its memory. seconds, at: to take differences."""

    core: float
    megabytes: float
    seconds: float
    at: float

    def since(self, before: Self) -> "Load":
        """The use between two looks."""
        return Load((self.seconds - before.seconds) / max(1e-9, self.at - before.at), self.megabytes, self.seconds, self.at)


def load_of(pid: int) -> Load | None:
    """One look at a process; None where the system keeps this in another place."""
    if sys.platform != "linux":
        return None
    try:
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
        pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
    except (OSError, ValueError, IndexError):
        return None
    seconds = (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    return Load(0.0, pages * os.sysconf("SC_PAGE_SIZE") / 1e6, seconds, time.monotonic())
