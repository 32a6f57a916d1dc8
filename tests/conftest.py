"""What all tests share: a free port, a browser, and how hard hypothesis tries."""

import asyncio
import functools
import gc
import os
import re
import sys
import warnings
from collections import Counter, defaultdict
from collections.abc import Generator, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, BrowserType, expect, sync_playwright
from xdist.remote import Producer
from xdist.scheduler import LoadFileScheduling

from app.checks import A_ROOM, KEEPS_TIME, LEFT, NO_BROWSER, find_browser, find_quick_browser
from app.rehearsal import serving
from tests.browser.people import PATIENCE_MS
from tests.builders.halls import House, a_house
from tests.quickly import quickly

# Where `page`, `context`, `server` … of the tests in a browser come from.
pytest_plugins = ("tests.browser.fixtures", "tests.faults.table")

expect.set_options(timeout=PATIENCE_MS)

# A developer's own database is none of the tests'.
for named in ("DATABASE_URL", "LANE_LEDGER_DATABASE_URL"):
    os.environ.pop(named, None)

# A shared or slow machine must not fail a property by the clock. Every run tries the same examples: who changed one thing is not
# told of another that was rare. `--hypothesis-profile=chance` tries others, again and again by `python3 -m tests.repeat 20
# --hypothesis-profile=chance -m hypothesis`; `deep` looks for long at one place. Both print how to see a failure again.
settings.register_profile(
    "chance", deadline=None, max_examples=30, print_blob=True, suppress_health_check=[HealthCheck.too_slow], derandomize=False
)
settings.register_profile("deep", parent=settings.get_profile("chance"), max_examples=2000)
settings.register_profile("here", parent=settings.get_profile("chance"), derandomize=True)
settings.load_profile("here")

CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--in-process-gpu",  # there is none: what stands in for it takes a tenth of the work without a process of its own
    "--disable-quic",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
    # A page fetches a hundred small files: a process of its own for the network costs a tenth more. The last such flag stands
    # for all: the other feature is Playwright's, for screenshots.
    "--enable-features=CDPScreenshotNewSurface,NetworkServiceInProcess2",
    "--font-render-hinting=none",  # without a window letters would stand on whole pixels, on paper too
]


EACH_ALONE = re.compile(r"\bmark\.apart\b")


@functools.cache
def _says(file: Path, words: re.Pattern[str]) -> bool:
    """Whether a file of tests says something of itself."""
    return words.search(file.read_text(encoding="utf-8")) is not None


class _ByFile(LoadFileScheduling):
    """A file's tests stay in one process, because they share a server; unless the file says that they share nothing."""

    def _split_scope(self, nodeid: str) -> str:
        file = str(super()._split_scope(nodeid))
        return nodeid if _says(self.config.rootpath / file, EACH_ALONE) else file


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> _ByFile | None:
    """Who gets which tests, where they are spread by file."""
    return _ByFile(config, log) if config.getvalue("dist") == "loadfile" else None


A_BROWSER = {"browser", "whole_browser"}
# What takes longest comes first, so that no worker is left with it at the end: the order of the kinds, by what a file is marked.
SLOWEST_FIRST = ("paced", "browser", "slow")
COLLECT_SELDOM = (10_000, 20, 20)  # Python 3.11 looks after 700, 10, 10
BROWSER_FILES = pytest.StashKey[set[Path]]()


def _drives_a_browser(item: pytest.Item) -> bool:
    return "browser" in item.keywords or not A_BROWSER.isdisjoint(getattr(item, "fixturenames", ()))


def _leaves_sockets(item: pytest.Item) -> bool:
    """Whether a server that is stopped under open lines may leave some sockets to the collector, in whichever test comes next."""
    return "browser" in item.keywords or "slow" in item.keywords


def must_say_that_it_keeps_time(item: pytest.Item) -> None:
    """The stages choose files by their words: a test that keeps time and does not say so in its file might give way to others."""
    if "paced" in item.keywords and not _says(item.path, KEEPS_TIME):
        raise pytest.UsageError(f"{item.nodeid} keeps time, and its file has no words for it: it might give way to others.")


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Generator[None, object, object]:
    """What collecting makes stays to the end. Python's collector of garbage is kept from looking through all of it, again and
    again beside the tests: a tenth of the processor time of those that open a house went there. What the tests make it looks
    through seldom: a test drops nearly all it made, and at Python's own thresholds looking took another tenth."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(*COLLECT_SELDOM)
        gc.enable()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The slow files first, so that no worker is left with one at the end; a file's tests stay together.

    Skips what needs a browser where there is none, saying how to get one. Where changes are checked, it fails instead.
    """
    kinds: dict[Path, set[str]] = defaultdict(set)
    for item in items:
        if _drives_a_browser(item):
            item.add_marker("browser")
        if _leaves_sockets(item):
            item.add_marker(pytest.mark.filterwarnings("default::pytest.PytestUnraisableExceptionWarning"))
        kinds[item.path].update(kind for kind in SLOWEST_FIRST if kind in item.keywords)
        must_say_that_it_keeps_time(item)
    config.stash[BROWSER_FILES] = {path for path, found in kinds.items() if "browser" in found}
    items.sort(key=lambda item: (*(kind not in kinds[item.path] for kind in SLOWEST_FIRST), str(item.path)))
    if find_browser() is None and os.environ.get("CI") != "true":
        for item in filter(_drives_a_browser, items):
            item.add_marker(pytest.mark.skip(reason=NO_BROWSER))


class LeftOut:
    """Tells which tests a room's run has left to the whole run: counted where they are collected, told where all is summed up."""

    def __init__(self) -> None:
        self.files: Counter[str] = Counter()

    def pytest_deselected(self, items: Sequence[pytest.Item]) -> None:
        self.files.update(item.nodeid.partition("::")[0] for item in items)

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        if hasattr(session.config, "workeroutput"):
            session.config.workeroutput["left"] = dict(self.files)

    @pytest.hookimpl(optionalhook=True)
    def pytest_testnodedown(self, node: Any) -> None:
        self.files = Counter(getattr(node, "workeroutput", {}).get("left", self.files))  # each process has collected the same

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        if self.files:
            named = ", ".join(f"{file} ({count})" for file, count in sorted(self.files.items()))
            terminalreporter.write_line(f"{LEFT}{self.files.total()} tests, {named}")


def pytest_configure(config: pytest.Config) -> None:
    """A room's run says what it leaves."""
    if config.getoption("markexpr") == A_ROOM:
        config.pluginmanager.register(LeftOut())


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item, nextitem: pytest.Item | None) -> Generator[None, object, object]:
    """While a file that drives no browser is tested, the event loop of the open Playwright is out of sight: it stands still
    between two calls of Playwright, but Python takes it for one that runs, and `asyncio.run` would refuse to start.

    Sockets that tests leave to the collector it has before one comes that must leave none.
    """
    loop = asyncio._get_running_loop()
    hidden = loop is not None and item.path not in item.config.stash[BROWSER_FILES]
    if hidden:
        asyncio._set_running_loop(None)
    try:
        return (yield)
    finally:
        if loop is not None and hidden and loop.is_running():
            asyncio._set_running_loop(loop)
        if _leaves_sockets(item) and (nextitem is None or not _leaves_sockets(nextitem)):
            _collect_what_is_left()


def _collect_what_is_left() -> None:
    """What can't be said where it is collected is a warning of the test that has just ended; pytest would tell the next one."""

    def warn(left: Any) -> None:
        warnings.warn(pytest.PytestUnraisableExceptionWarning(f"{left.object!r}: {left.exc_value!r}"), stacklevel=1)

    told, sys.unraisablehook = sys.unraisablehook, warn
    try:
        gc.collect()
    finally:
        sys.unraisablehook = told


@pytest.fixture(autouse=True, scope="module")
def made_quickly(request: pytest.FixtureRequest) -> Iterator[None]:
    """No test waits for what it is not about; see tests/quickly.py."""
    own = request.path.parent.name == "faults" or request.path.stem == "test_schema"
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
    return serving.free_port()


@pytest.fixture(scope="session")
def chromium() -> Iterator[BrowserType]:
    """What starts browsers, for as long as a test process lives."""
    with sync_playwright() as playwright:
        loop = asyncio._get_running_loop()
        yield playwright.chromium
        asyncio._set_running_loop(loop)  # the last file may have hidden it; see above


@contextmanager
def _started(chromium: BrowserType, found: Path | None) -> Iterator[Browser]:
    if found is None:
        pytest.fail(NO_BROWSER)
    loop = asyncio._get_running_loop()
    browser = chromium.launch(executable_path=found, args=CHROMIUM_FLAGS)
    yield browser
    asyncio._set_running_loop(loop)
    browser.close()


@pytest.fixture(scope="session")
def browser(chromium: BrowserType) -> Iterator[Browser]:
    """Chromium, started once for each test process; each test opens contexts of its own in it."""
    with _started(chromium, find_quick_browser()) as started:
        yield started


@pytest.fixture(scope="session")
def whole_browser(chromium: BrowserType) -> Iterator[Browser]:
    """The Chromium that people use, for what one without a window does not do."""
    with _started(chromium, find_browser()) as started:
        yield started
