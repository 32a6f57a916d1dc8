"""What a process uses of this machine, where the system tells."""

import os
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Self


@dataclass(frozen=True, slots=True)
class Load:
    """core: how much of one core a process used (1 is all of it). megabytes: its memory. seconds, at: to take differences.
    others: the processor time of the processes that it began and that have ended."""

    core: float
    megabytes: float
    seconds: float
    at: float
    others: float = 0.0

    def since(self, before: Self) -> "Load":
        """The use between two looks."""
        core = (self.seconds - before.seconds) / max(1e-9, self.at - before.at)
        return Load(core, self.megabytes, self.seconds, self.at, self.others)


def load_of(pid: int) -> Load | None:
    """One look at a process; None where the system keeps this in another place."""
    if sys.platform != "linux":
        return None
    try:
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
        pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
    except (OSError, ValueError, IndexError):
        return None
    own, others = ((int(fields[n]) + int(fields[n + 1])) / os.sysconf("SC_CLK_TCK") for n in (11, 13))
    return Load(0.0, pages * os.sysconf("SC_PAGE_SIZE") / 1e6, own, time.monotonic(), others)
