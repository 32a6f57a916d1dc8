"""`python -m tests.engines.timing`: how soon each engine paints the lane screen and a tap's count, and what a lift costs in taps.

No test, and no promise: numbers of this machine, with its load beside them. What is missing here is left out of the table.
"""

import os
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from playwright.sync_api import Page, sync_playwright

from app.checks import find_browser
from app.doors.letting_in import let_in_at_once
from tests.bench.browser import COUNT, TARGET
from tests.bench.figures import percentile
from tests.bench.touch import MEASURE
from tests.browser.hall_server import HallServer, served
from tests.browser.moments import MOMENTS, a_heat_of_everything
from tests.browser.people import TABLET
from tests.conftest import CHROMIUM_FLAGS
from tests.engines.glass import ENGINES, PATIENCE_S, RHYTHM_S, Engine, a_screen

LOADS, TAPS = 9, 40
COUNTING_S = 20  # in the first window, which has nearly two minutes to go

# From the start of a load to the frame that shows the counting target; `late` where it stood there before anybody looked.
SHOWN = """
if (window.stale || !document.documentElement) return null;
const stands = () => document.querySelector(arguments[0])?.getClientRects().length;
if (!window.shown) {
  window.shown = { late: Boolean(stands()), at: null };
  const painted = new MessageChannel();
  painted.port1.onmessage = () => (window.shown.at = performance.now());
  const look = () => (stands() ? painted.port2.postMessage(null) : requestAnimationFrame(look));
  look();
}
const first = performance.getEntriesByName("first-contentful-paint")[0];
return window.shown.at === null ? null : { ...window.shown, first: first ? first.startTime : null };
"""


class Looked(Protocol):
    """A browser of any engine, as far as it is timed."""

    def open(self, url: str) -> None: ...
    def read(self, script: str, *arguments: Any) -> Any: ...
    def touch(self, selector: str) -> None: ...


@dataclass(frozen=True)
class Tab:
    """A tab of the tests' Chromium, which another driver drives."""

    page: Page

    def open(self, url: str) -> None:
        """Goes to an address."""
        self.page.goto(url)

    def read(self, script: str, *arguments: Any) -> Any:
        """What a script answers."""
        return self.page.evaluate("(given) => (function () {" + script + "}).apply(null, given)", list(arguments))

    def touch(self, selector: str) -> None:
        """A finger lands in the middle of what is seen and leaves."""
        self.page.locator(selector).locator("visible=true").first.tap()
        time.sleep(RHYTHM_S)


@dataclass(frozen=True)
class Times:
    """What was measured in an engine, in milliseconds since a load began or a touch landed."""

    engine: str
    first: list[float]
    lane: list[float]
    late: int
    touch: list[float]
    lift_taps: int

    def line(self) -> str:
        """Its line of the table."""
        first = f"{percentile(self.first, 50):.0f}" if self.first else "not told"
        late = f" ({self.late} of {LOADS} seen late)" if self.late else ""
        touch = f"{percentile(self.touch, 50):.0f}, {percentile(self.touch, 95):.0f}"
        return f"| {self.engine} | {first} | {percentile(self.lane, 50):.0f}{late} | {touch} | {self.lift_taps} |"


def until(looked: Looked, script: str, *arguments: Any) -> Any:
    """Waits until a script answers with something. Raises TimeoutError."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        try:
            if found := looked.read(script, *arguments):
                return found
        except Exception:  # between two pages there is none to ask
            time.sleep(0.005)
    raise TimeoutError(f"never came: {script} {arguments}")


def timed(name: str, looked: Looked, server: HallServer, lane: int) -> Times:
    """Pairs a browser with a lane, loads its screen again and again, counts, and judges two lifts."""
    server.run(let_in_at_once(server.hall, True))
    looked.open(f"{server.url}/pair#{server.token(lane)}")
    until(looked, "return document.querySelector('#agree')?.getClientRects().length")
    looked.touch("#agree")
    until(looked, "return document.querySelector('[data-role=strip]') !== null")
    server.go_was(COUNTING_S * 1000, lanes=[lane])
    until(looked, "return document.querySelector(arguments[0])?.getClientRects().length", TARGET)
    loads = [_load(looked) for _ in range(LOADS)]
    first = [load["first"] for load in loads if load["first"] is not None]
    touch = _touches(looked, server, lane)
    return Times(
        name, first, [load["at"] for load in loads], sum(load["late"] for load in loads), touch, _lift_taps(looked, server, lane)
    )


def _load(looked: Looked) -> dict[str, Any]:
    looked.read("window.stale = true; setTimeout(() => location.reload(), 0)")
    found: dict[str, Any] = until(looked, SHOWN, TARGET)
    time.sleep(0.5)  # what the page does after its first paint is no part of the next load
    return found


def _touches(looked: Looked, server: HallServer, lane: int) -> list[float]:
    server.go_was(COUNTING_S * 1000, lanes=[lane])
    looked.read(f"({MEASURE})(arguments[0])", [TARGET, COUNT])
    for _ in range(TAPS):
        looked.touch(TARGET)
    taps: list[float] = until(looked, f"return window.taps.length >= {TAPS} && window.taps")
    return taps


def _lift_taps(looked: Looked, server: HallServer, lane: int) -> int:
    """How many taps the second lift costs, at the load that the screen proposes after a good one."""
    server.go_was(MOMENTS["lift"] * 1000, lanes=[lane])
    for roles in (("picks-1", "load-up", *LIFT), ("picks-1", *LIFT)):
        taps = 0
        for role in roles:
            taps += _touched(looked, f"[data-role={role}]")
    return taps


LIFT = ("declare", "begun", "good-lift", "racked")


def _touched(looked: Looked, selector: str) -> int:
    """Touches what the walk asks for next; who lifts is asked once only. Returns how many taps that were."""
    ready = "const key = [...document.querySelectorAll(arguments[0])].find((one) => one.getClientRects().length); "
    if "picks" in selector:
        until(looked, "return document.querySelectorAll('[data-role=picks-1], [data-role=declare]').length")
        if not looked.read(ready + "return Boolean(key)", selector):
            return 0
    until(looked, ready + "return key && !key.disabled", selector)
    looked.touch(selector)
    return 1


@contextmanager
def _chromium() -> Iterator[tuple[str, Tab]]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_browser(), args=CHROMIUM_FLAGS)
        context = browser.new_context(viewport=TABLET, has_touch=True)  # type: ignore[arg-type]
        yield f"Chromium {browser.version}", Tab(context.new_page())
        browser.close()


@contextmanager
def _other(engine: Engine, home: Path) -> Iterator[tuple[str, Looked]]:
    with engine.glass(home) as glass:
        version = glass.driver.capabilities.get("browserVersion", "")
        yield f"{engine.name} {version}".strip(), glass


HEAD = "| engine | first paint, ms | lane screen painted, ms | touch to painted count p50, p95, ms | taps of a lift |"


def main() -> None:
    """Times each engine that is here, one after another, and prints a table."""
    print(HEAD + "\n|---|---|---|---|---|")
    competition = a_heat_of_everything().model_copy(update={"marks": ()})
    with tempfile.TemporaryDirectory() as folder, a_screen(), served(Path(folder), competition) as server:
        here = [engine for engine in ENGINES if not engine.missing()]
        browsers = [_chromium(), *(_other(engine, Path(folder) / engine.name.lower() / "home") for engine in here)]
        for lane, browser in enumerate(browsers, 1):
            with browser as (name, looked):
                print(timed(name, looked, server, lane).line(), flush=True)
    print(f"{LOADS} loads, {TAPS} taps each; load of this machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")


if __name__ == "__main__":
    main()
