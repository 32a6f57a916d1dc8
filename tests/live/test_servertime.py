"""The server's timeline: it outlives a restart, ignores the wall clock's steps, and is bridged across a reboot."""

import subprocess
import sys
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from app.live.servertime import ServerTime, go_on_this_timeline, this_machine
from app.rules.records.document import Run

CHECKOUT = Path(__file__).parents[2]
milliseconds = st.integers(0, 2**50)


def at(boot: str, server_ms: int, wall_ms: int) -> ServerTime:
    """A time that stands still."""
    return ServerTime(boot, lambda: server_ms, lambda: wall_ms)


GO = Run(heat="het_1", number=1, go_server_ms=60_000, go_wall_ms=1_700_000_000_000, boot="monday")


def test_within_one_boot_the_wall_clock_does_not_matter() -> None:
    an_hour_back = at("monday", 90_000, GO.go_wall_ms - 3_600_000)
    assert go_on_this_timeline(GO, an_hour_back) == 60_000


def test_after_a_reboot_go_is_found_through_the_wall_clock() -> None:
    two_minutes_after_go = at("tuesday", 15_000, GO.go_wall_ms + 120_000)
    assert go_on_this_timeline(GO, two_minutes_after_go) == 15_000 - 120_000


def test_a_go_still_ahead_stays_ahead_across_a_reboot() -> None:
    assert go_on_this_timeline(GO, at("tuesday", 15_000, GO.go_wall_ms - 4_000)) == 19_000


@given(milliseconds, milliseconds, milliseconds)
def test_time_since_go_is_the_same_on_the_new_timeline(server_ms: int, wall_ms: int, go_wall_ms: int) -> None:
    run = GO.model_copy(update={"go_wall_ms": go_wall_ms})
    now = at("tuesday", server_ms, wall_ms)
    assert now.server_ms() - go_on_this_timeline(run, now) == wall_ms - go_wall_ms


def test_fine_time_falls_back_to_whole_milliseconds() -> None:
    assert at("monday", 7, 0).fine_ms() == 7.0
    assert ServerTime("monday", lambda: 7, lambda: 0, lambda: 7.25).fine_ms() == 7.25


def test_another_process_of_this_boot_reads_the_same_timeline() -> None:
    ask = "from app.live.servertime import this_machine; t = this_machine(); print(t.boot, t.server_ms())"
    before = this_machine()
    earliest = before.server_ms()
    told = subprocess.run([sys.executable, "-c", ask], cwd=CHECKOUT, capture_output=True, text=True, check=True)
    boot, reading = told.stdout.split()
    assert boot == before.boot
    assert earliest <= int(reading) <= before.server_ms()


def test_the_timeline_only_goes_forward_and_its_two_readings_agree() -> None:
    now = this_machine()
    readings = [now.fine_ms() for _ in range(100)]
    assert readings == sorted(readings)
    assert abs(now.server_ms() - now.fine_ms()) < 1_000
