"""The server's timeline: the clock that all tablets synchronise to.

It is the machine's monotonic clock, so a step of the wall clock or a restart of the server does not move a heat that runs. Only a
reboot begins a new timeline; the wall clock then carries a GO across.
"""

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from app.rules.records.document import Run

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


@dataclass(frozen=True, slots=True)
class ServerTime:
    """`boot` names the timeline, `server_ms` reads it in whole milliseconds, `wall_ms` reads the wall (Unix time, ms).

    `exact_ms` reads the timeline with its fractions, for synchronising; without it whole milliseconds do.
    """

    boot: str
    server_ms: Callable[[], int]
    wall_ms: Callable[[], int]
    exact_ms: Callable[[], float] | None = None

    def fine_ms(self) -> float:
        """The timeline in milliseconds with fractions, as `pong` messages carry it."""
        return self.exact_ms() if self.exact_ms is not None else float(self.server_ms())


def this_machine() -> ServerTime:
    """The time of this machine and this boot."""
    nanoseconds = _steady_clock()
    return ServerTime(
        boot=_boot_name(nanoseconds),
        server_ms=lambda: nanoseconds() // 1_000_000,
        wall_ms=_wall_ms,
        exact_ms=lambda: nanoseconds() / 1e6,
    )


def go_on_this_timeline(run: Run, now: ServerTime) -> int:
    """The run's GO in milliseconds of the present timeline; after a reboot it is found through the wall clock."""
    if run.boot == now.boot:
        return run.go_server_ms
    return now.server_ms() + run.go_wall_ms - now.wall_ms()


def _wall_ms() -> int:
    return time.time_ns() // 1_000_000


def _steady_clock() -> Callable[[], int]:
    """A clock in nanoseconds that goes on while the machine sleeps and is shared by all processes of this boot."""
    # Linux has both, and only the first counts sleep; macOS has the second, and counts it there.
    for name in ("CLOCK_BOOTTIME", "CLOCK_MONOTONIC"):
        clock: int | None = getattr(time, name, None)
        if clock is not None:
            return partial(time.clock_gettime_ns, clock)
    return time.perf_counter_ns  # Windows: the performance counter, which starts at boot and is finer than its tick count


def _boot_name(nanoseconds: Callable[[], int]) -> str:
    try:
        if sys.platform == "darwin":
            asked = ["/usr/sbin/sysctl", "-n", "kern.bootsessionuuid"]
            return subprocess.run(asked, capture_output=True, encoding="ascii", check=True, timeout=5).stdout.strip()
        return BOOT_ID.read_text(encoding="ascii").strip()
    except (OSError, subprocess.SubprocessError):
        # A minute's rounding can give one boot two names; that costs a mapping through the wall clock, no more.
        return f"since-{(_wall_ms() - nanoseconds() // 1_000_000) // 60_000}"
