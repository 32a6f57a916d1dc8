"""The locks, for every system and Python that they are for: by the names and hashes of the files that the index offered.

No network is used, and nothing is proven of a system but that files named for it are there: `resolving.py`.
"""

import re

import pytest

from app.first_start.packages import LOCKS
from app.first_start.pythons import NEWEST, OLDEST, OLDEST_MACOS, dotted
from tests.first_start.resolving import (
    LINUX,
    LINUX_ARM,
    POSTGRESQL,
    RUN,
    WINDOWS,
    WINDOWS_32,
    WINDOWS_ARM,
    System,
    lacking,
    mac,
    pins,
    wheels,
)

TAKEN = [dotted((3, minor)) for minor in range(OLDEST[1], NEWEST[1] + 1)]
NEXT = dotted((3, NEWEST[1] + 1))
SYSTEMS = (WINDOWS, LINUX, LINUX_ARM, mac(OLDEST_MACOS, "x86_64"), mac(OLDEST_MACOS, "arm64"), mac((26, 0), "arm64"))
LOCK_FILES = sorted({lock for locks in LOCKS.values() for lock in locks})


@pytest.mark.parametrize("python", TAKEN)
@pytest.mark.parametrize("system", SYSTEMS, ids=lambda system: system.name)
def test_every_package_is_offered_ready_made_for_every_system_and_python_that_is_taken(system: System, python: str) -> None:
    assert lacking(system, python, RUN, POSTGRESQL) == []


@pytest.mark.parametrize("system", [WINDOWS_ARM, WINDOWS_32], ids=lambda system: system.name)
def test_what_is_refused_before_anything_is_fetched_could_not_be_installed(system: System) -> None:
    assert any(pin.startswith("ortools") for pin in lacking(system, "3.13", RUN))


def test_a_newer_python_is_still_refused_with_reason_and_an_older_mac_too() -> None:
    assert lacking(WINDOWS, NEXT, RUN), f"everything is offered for Python {NEXT} now: raise NEWEST"
    assert lacking(mac((OLDEST_MACOS[0] - 1, 15), "x86_64"), "3.13", RUN)


def test_a_mac_with_an_intel_processor_is_given_nothing_that_listens_to_the_network_and_is_out_of_date() -> None:
    """The last zeroconf that is ready-made for them can be brought down by a packet (its advisories of 2026)."""
    intel = mac(OLDEST_MACOS, "x86_64").markers("3.13")
    assert [pin.name for pin, _ in pins(RUN) if pin.marker and pin.marker.evaluate(intel) and pin.name == "zeroconf"] == []


def test_the_kept_list_is_of_these_locks() -> None:
    locked = {fingerprint for lock in (RUN, POSTGRESQL) for _, hashes in pins(lock) for fingerprint in hashes}
    listed = {fingerprint for fingerprint, *_ in wheels()}
    assert listed <= locked, "written for other locks: see DEVELOPERS.md on renewing them"
    assert {pin.name.lower() for lock in (RUN, POSTGRESQL) for pin, _ in pins(lock)} <= {name for _, name, *_ in wheels()}


@pytest.mark.parametrize("lock", LOCK_FILES, ids=lambda lock: lock.name)
def test_a_lock_names_hashes_and_no_machine_or_index(lock: object) -> None:
    text = lock.read_text(encoding="utf-8")  # type: ignore[attr-defined]
    assert "://" not in text
    assert "--index" not in text and "--find-links" not in text
    pinned = [block for block in text.replace("\\\n", " ").splitlines() if "==" in block]
    assert pinned
    assert all("--hash=sha256:" in block for block in pinned)


def test_the_lock_for_testing_holds_the_others() -> None:
    held = {kind: {f"{pin}" for lock in locks for pin, _ in pins(lock)} for kind, locks in LOCKS.items()}
    assert held["run"] < held["postgresql"] < held["test"]
    assert any(re.match(r"uvloop==.*win32", pin) for pin in held["run"])
    assert not any(pin.startswith("psycopg") for pin in held["run"])
