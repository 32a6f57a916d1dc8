"""What all tests share: a free port, a browser, and how hard hypothesis tries."""

import os
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, expect, sync_playwright

from app.checks import NO_BROWSER, find_browser
from tests.browser.people import PATIENCE_MS
from tests.builders.halls import House, a_house
from tests.quickly import quickly

expect.set_options(timeout=PATIENCE_MS)

# A developer's own database is none of the tests'.
for named in ("DATABASE_URL", "LANE_LEDGER_DATABASE_URL"):
    os.environ.pop(named, None)

# A shared or slow machine must not fail a property by the clock; where changes are checked, a failure prints how to see it again.
settings.register_profile("here", deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", parent=settings.get_profile("here"), print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")

# The rooms whose tests wait longest come first; those that are not named come last.
ROOMS = {room: place for place, room in enumerate(("browser", "device", "faults", "floor", "tests", "web", "store"))}

# Tests that play along with a clock that goes on, as judges do: few others may run beside them. See app/checks.py.
PACED_ROOM = "faults"
PACED = {
    *("test_whole_job", "test_faults_in_hall", "test_clock_in_browser", "test_handover_in_browser", "test_signals_in_browser"),
    *("test_calling_in_browser", "test_shadow_in_browser", "test_loaders_in_browser", "test_lifting_in_browser"),
    *("test_train_in_browser", "test_worker", "test_https_in_browser", "test_rehearsal"),
}

SECOND_TRY = "second try"

CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
]


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The slow rooms first, so that no worker is left with one at the end; those that play along with a clock are marked.

    Skips what needs a browser where there is none, saying how to get one. Where changes are checked, it fails instead.
    """
    items.sort(key=lambda item: ROOMS.get(item.path.parent.name, len(ROOMS)))
    for item in items:
        if item.path.parent.name == PACED_ROOM or item.path.stem in PACED:
            item.add_marker(pytest.mark.paced)
    if find_browser() is None and os.environ.get("CI") != "true":
        for item in items:
            if "browser" in item.keywords or "browser" in getattr(item, "fixturenames", ()):
                item.add_marker(pytest.mark.skip(reason=NO_BROWSER))


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item, nextitem: pytest.Item | None) -> bool | None:
    """Where changes are checked, a browser test that fails is tried once more, and the summary names it.

    A busy machine makes a browser late in ways that no wait for a state foresees; what is really broken fails twice.
    """
    if os.environ.get("CI") != "true" or "browser" not in item.keywords:
        return None
    item.ihook.pytest_runtest_logstart(nodeid=item.nodeid, location=item.location)
    reports = runtestprotocol(item, nextitem=nextitem, log=False)
    if any(report.failed for report in reports):
        why = next(report.longreprtext.strip().splitlines()[-1:] for report in reports if report.failed)
        item._initrequest()  # type: ignore[attr-defined]
        reports = runtestprotocol(item, nextitem=nextitem, log=False)
        for report in reports:
            report.user_properties.append((SECOND_TRY, " ".join(why)[:200]))
    for report in reports:
        item.ihook.pytest_runtest_logreport(report=report)
    item.ihook.pytest_runtest_logfinish(nodeid=item.nodeid, location=item.location)
    return True


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Names the tests that held at the second try only."""
    late = [
        (report.nodeid, dict(report.user_properties)[SECOND_TRY])
        for report in terminalreporter.stats.get("passed", [])
        if report.when == "call" and SECOND_TRY in dict(report.user_properties)
    ]
    for name, why in late:
        terminalreporter.write_line(f"HELD AT THE SECOND TRY {name}: {why}")


@pytest.fixture(autouse=True, scope="module")
def made_quickly(request: pytest.FixtureRequest) -> Iterator[None]:
    """No test waits for what it is not about; see tests/quickly.py."""
    own = request.path.parent.name in ("store", "faults")
    with quickly(stores=not own):
        yield


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """A running application over an invented competition, with no password set yet."""
    with a_house(tmp_path) as opened:
        yield opened


@pytest.fixture
def empty_house(tmp_path: Path) -> Iterator[House]:
    """A running application before anybody has named a competition."""
    with a_house(tmp_path, competition=False) as opened:
        yield opened


@pytest.fixture
def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium, started once for each test file.

    Not once for all: while Playwright is open it holds an event loop, and `asyncio.run` of other files would refuse to start.
    """
    found = find_browser()
    if found is None:
        pytest.fail(NO_BROWSER)
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=found, args=CHROMIUM_FLAGS)
        yield chromium
        chromium.close()
