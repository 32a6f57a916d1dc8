"""The server's timeline: the clock that all tablets synchronise to.

It is the machine's monotonic clock, so a step of the wall clock or a restart of the server does not move a heat that runs. Only a
reboot, or another laptop, begins a new timeline; a GO is then carried across, see app/floor/carrying.py.
"""

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Literal

from app.rules.records.document import Run

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


RunKey = tuple[str, int]  # a heat's id and the number of its run


@dataclass(frozen=True, slots=True)
class Carried:
    """A GO of another timeline on the present one. `bound_ms`: how far it may be off; None: nobody knows. `by`: who says so.
    `apart_ms`: how much later the wall clock had it than the tablets. `holds`: how many the run had then, `standing`: the last of
    them was open."""

    go_ms: int
    bound_ms: int | None
    by: Literal["wall", "tablets", "desk"]
    apart_ms: int = 0
    holds: int = 0
    standing: bool = False


@dataclass(frozen=True, slots=True)
class ServerTime:
    """`boot` names the timeline, `server_ms` reads it in whole milliseconds, `wall_ms` reads the wall (Unix time, ms).

    `exact_ms` reads the timeline with its fractions, for synchronising; without it whole milliseconds do. `carried`: the GOs of
    other timelines on this one.
    """

    boot: str
    server_ms: Callable[[], int]
    wall_ms: Callable[[], int]
    exact_ms: Callable[[], float] | None = None
    carried: dict[RunKey, Carried] = field(default_factory=dict)

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
    """The run's GO in milliseconds of the present timeline."""
    return run.go_server_ms if run.boot == now.boot else _carried(run, now).go_ms


def go_bound_ms(run: Run, now: ServerTime) -> int | None:
    """How far that may be off, in milliseconds; None: nobody knows."""
    return 0 if run.boot == now.boot else _carried(run, now).bound_ms


def _carried(run: Run, now: ServerTime) -> Carried:
    """One that came while the server ran (another hall's) is found through the wall clock once, when it is first asked for."""
    go_ms = now.server_ms() + run.go_wall_ms - now.wall_ms()
    return now.carried.setdefault((run.heat, run.number), guessed(run, go_ms))


def guessed(run: Run, go_ms: int) -> Carried:
    """A GO that was found through the wall clock: nobody knows how far it is off."""
    return Carried(go_ms, None, "wall", 0, len(run.holds), bool(run.holds) and run.holds[-1].for_ms is None)


def _wall_ms() -> int:
    return time.time_ns() // 1_000_000


def _steady_clock() -> Callable[[], int]:
    """A clock in nanoseconds that goes on while the machine sleeps and is shared by all processes of this boot."""
    if sys.platform == "win32":
        return time.perf_counter_ns  # the performance counter, which starts at boot and is finer than the tick count
    # Linux has both, and only the first counts sleep; macOS has the second, and counts it there.
    return partial(time.clock_gettime_ns, getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC))


def _boot_name(nanoseconds: Callable[[], int]) -> str:
    try:
        if sys.platform == "darwin":
            asked = ["/usr/sbin/sysctl", "-n", "kern.bootsessionuuid"]
            return subprocess.run(asked, capture_output=True, encoding="ascii", check=True, timeout=5).stdout.strip()
        return BOOT_ID.read_text(encoding="ascii").strip()
    except (OSError, subprocess.SubprocessError):
        # A minute's rounding can give one boot two names; that costs a mapping through the wall clock, no more.
        return f"since-{(_wall_ms() - nanoseconds() // 1_000_000) // 60_000}"
