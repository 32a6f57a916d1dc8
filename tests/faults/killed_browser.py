"""A tablet whose browser is killed right after taps, and whose IndexedDB is wiped as Chromium wipes a broken one."""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import BrowserType, Page

from app.checks import find_browser
from app.live.servertime import this_machine
from app.rehearsal.hall import make_hall
from app.rehearsal.serving import ServerProcess, free_port
from app.rehearsal.tablet import Seat
from app.rehearsal.turns import turn_about
from tests.conftest import CHROMIUM_FLAGS

PATIENCE_S = 30.0
OF_SOCKETS = ("org.chromium.Chromium.", ".org.chromium.Chromium.")  # so Chromium names the folder of its socket
LONG_S = 3000  # a window that no test outlasts
SHOWN = """() => ['safe', 'kept'].map((role) => parseInt(document.querySelector(`[data-role="${role}"]`).textContent) || 0)"""


@dataclass
class Kills:
    """What was shown and what was there. shown: marks on the screen (safe and kept) just before the last kill. tapped: how often
    a finger landed; the last one may not be shown yet. unsent: how many taps the ledger had not when the store was wiped, None
    before.
    gone: how many of those no store has any more."""

    kills: int = 0
    wipes: int = 0
    shown: int = 0
    in_ledger: int = 0
    lost: list[str] = field(default_factory=list)
    restored: int = 0
    tapped: int = 0
    gone: int = 0
    unsent: int | None = None


Listens = Callable[[Page, Kills, int, str], None]  # to a tablet's page and, by its port and a desk's token, to the server
NO_SECOND_STORE = "delete window.Worker;"  # which writes it


def kill_browsers(
    chromium: BrowserType,
    folder: Path,
    kills: int,
    wipes: int,
    seed: int = 20,
    spoilt: str = "",
    listens: Listens = lambda page, found, port, token: None,
    emptied: int = 0,
) -> Kills:
    """Counts on one tablet through so many kills, then so many kills with a wipe; lets it send all, and compares.

    `spoilt` is a script that breaks something in every page: the proof must find it out. `listens` is called in each life, when
    what was shown before is shown again, and in the end. `emptied`: so many lives more, after which nothing is left on the tablet
    but what the browser wrote beside its stores; what the desk had not is gone then.
    """
    seats, token = make_hall(folder / "data", 1, this_machine(), turn_about(work_seconds=LONG_S))
    server = ServerProcess(folder / "data", free_port(), "localhost")
    server.start()
    chance, found = random.Random(seed), Kills()
    try:
        tablet = Browsers(chromium, folder / "profile", server.url, seats[0], spoilt)
        for number in range(kills + wipes + emptied):
            wipe = number >= kills
            _one_life(tablet, chance, found, wipe or chance.random() < 0.5, lambda page: listens(page, found, server.port, token))
            found.kills += 1
            if wipe:
                found.unsent = found.tapped - _in_ledger(folder / "data")
                shutil.rmtree(folder / "profile" / "Default" / "IndexedDB")
                found.wipes += 1
            if number >= kills + wipes:
                shutil.rmtree(folder / "profile" / "Default" / "File System")
                found.gone, found.shown = found.unsent or 0, _in_ledger(folder / "data")
        with tablet.alive() as page:
            _wait_until_all_is_safe(page, found)
            listens(page, found, server.port, token)
    finally:
        server.kill()
    found.in_ledger = _in_ledger(folder / "data")
    if found.in_ledger < found.shown:
        found.lost.append(f"{found.shown} were shown in the end and {found.in_ledger} are in the ledger")
    return found


def _one_life(tablet: "Browsers", chance: random.Random, found: Kills, offline: bool, listen: Callable[[Page], None]) -> None:
    """A browser from its start to its kill: what the life before showed must be shown again, then some taps."""
    with tablet.alive() as page:
        _expect_all_back(page, found)
        listen(page)
        page.context.set_offline(offline)
        box = page.locator("[data-role=count-target]").bounding_box()
        assert box is not None
        fingers = page.context.new_cdp_session(page)
        for _ in range(chance.randint(2, 5)):
            point = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
            fingers.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
            fingers.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
            found.tapped += 1
            time.sleep(chance.uniform(0.0, 0.05))
        page.evaluate("() => new Promise(requestAnimationFrame)")
        found.shown = sum(page.evaluate(SHOWN))
    # The browser is dead now: leaving the block killed it.


def _expect_all_back(page: Page, found: Kills) -> None:
    """A mark that was shown must be shown again, from the disk, the second store or the desk."""
    until = time.monotonic() + PATIENCE_S
    while (now := sum(page.evaluate(SHOWN))) < found.shown and time.monotonic() < until:
        time.sleep(0.05)
    if now < found.shown:
        found.lost.append(f"after kill {found.kills}: {found.shown} were shown before and {now} after")
    found.restored += "came back" in page.locator("[data-role=line]").inner_text()


def _wait_until_all_is_safe(page: Page, found: Kills) -> None:
    _expect_all_back(page, found)
    page.wait_for_function(
        "() => parseInt(document.querySelector('[data-role=\"kept\"]').textContent) === 0", timeout=PATIENCE_S * 1000
    )
    found.shown = max(found.shown, sum(page.evaluate(SHOWN)))


@dataclass(frozen=True)
class Browsers:
    """The lives of one tablet's browser: one profile, started again and again."""

    chromium: BrowserType
    profile: Path
    url: str
    seat: Seat
    spoilt: str

    @contextmanager
    def alive(self) -> Iterator[Page]:
        """A Chromium on the lane screen. It is killed in the end, whatever it was doing."""
        (self.profile / "DevToolsActivePort").unlink(missing_ok=True)
        flags = [*CHROMIUM_FLAGS, "--headless=new", "--remote-debugging-port=0", f"--user-data-dir={self.profile}", "about:blank"]
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        process = subprocess.Popen([str(find_browser()), *flags], start_new_session=True, **quiet)  # type: ignore[call-overload]
        try:
            browser = self.chromium.connect_over_cdp(f"http://127.0.0.1:{_port(self.profile)}")
            context = browser.contexts[0]
            context.add_cookies([{"name": "ll_device", "value": self.seat.token, "url": self.url}])
            context.add_init_script(self.spoilt)
            page = context.new_page()
            page.goto(f"{self.url}/lane")
            page.wait_for_selector('[data-role="screen"][data-view="count"]', timeout=PATIENCE_S * 1000)
            yield page
        finally:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
            _remove_socket(self.profile)


def _remove_socket(profile: Path) -> None:
    """Removes the folder of a killed Chromium's socket: outside the profile, for its name must be short. There is none where it
    did not come that far."""
    with suppress(OSError):
        folder = (profile / "SingletonSocket").readlink().parent
        if folder.is_absolute() and folder.name.startswith(OF_SOCKETS):
            shutil.rmtree(folder)


def _port(profile: Path) -> int:
    until = time.monotonic() + PATIENCE_S
    file = profile / "DevToolsActivePort"
    while time.monotonic() < until:
        if file.exists() and (lines := file.read_text().splitlines()):
            return int(lines[0])
        time.sleep(0.02)
    raise TimeoutError("Chromium did not start.")


def _in_ledger(data: Path) -> int:
    with closing(sqlite3.connect(data / "lane-ledger.sqlite3")) as store:
        rows, different = store.execute(
            "SELECT count(*), count(DISTINCT device || '/' || epoch || '/' || seq) FROM mark"
        ).fetchone()
    assert rows == different, "a mark is there twice"
    return int(rows)
