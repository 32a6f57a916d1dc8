"""The browser of the benches: a real Chromium, touched through its own protocol as a finger would touch it."""

import random
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, BrowserContext, CDPSession, Page, sync_playwright

from app.checks import NO_BROWSER, find_browser
from app.rehearsal.tablet import Seat
from tests.conftest import CHROMIUM_FLAGS

TABLET_SCREEN = {"width": 1024, "height": 768}
TARGET = "[data-role=count-target]"
COUNT = "[data-role=count]"
FINGER_DOWN_MS = 30


class NoBrowser(Exception):
    """Raised when there is no Chromium; its text is the sentence to show."""


@contextmanager
def chromium() -> Iterator[Browser]:
    """A started browser. Raises NoBrowser."""
    found = find_browser()
    if found is None:
        raise NoBrowser(NO_BROWSER)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=CHROMIUM_FLAGS)
        try:
            yield browser
        finally:
            browser.close()


def tablet_context(browser: Browser, url: str, tablet: Seat, service_workers: bool = True) -> BrowserContext:
    """The browser of a paired tablet, new: nothing cached, nothing stored."""
    context = browser.new_context(viewport=TABLET_SCREEN, has_touch=True, service_workers="allow" if service_workers else "block")
    context.add_cookies([{"name": "ll_device", "value": tablet.token, "url": url}])
    return context


class Finger:
    """Touches the counting target of a page, at a random place of it and in its own time, never in step with the frames."""

    def __init__(self, page: Page, cdp: CDPSession, chance: random.Random) -> None:
        self._page, self._cdp, self._chance = page, cdp, chance

    def tap(self, least_ms: float, most_ms: float) -> None:
        """Lands and leaves, then waits as long as a counting hand."""
        x, y = self._place
        self._cdp.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        self._page.wait_for_timeout(FINGER_DOWN_MS)
        self._cdp.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        self._page.wait_for_timeout(self._chance.uniform(least_ms, most_ms) - FINGER_DOWN_MS)

    def find(self) -> None:
        """Looks where the target is; once for each page, so that asking never disturbs a measurement."""
        box = self._page.locator(TARGET).bounding_box()
        if box is None:
            raise RuntimeError("The page shows no target to touch.")
        self._place = (box["x"] + box["width"] * self._chance.uniform(0.2, 0.8), box["y"] + box["height"] / 2)
