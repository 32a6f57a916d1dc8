"""A judge's minutes and the desk's drag in each engine that is not Chromium: the walks that the other tests make there."""

import re
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest

from app.doors.letting_in import let_in_at_once
from app.rules.records.document import CompetitionFile
from tests.browser.fixtures import desk_session
from tests.browser.hall_server import HallServer, served
from tests.browser.moments import MOMENTS, a_heat_of_everything
from tests.browser.trusting import a_secure_hall, needs_trust
from tests.engines.glass import ENGINES, PATIENCE_S, Engine, Glass, a_screen, own_file_system

pytestmark = [
    *(pytest.mark.browser, pytest.mark.slow, pytest.mark.apart, pytest.mark.timeout(120)),
    pytest.mark.filterwarnings("ignore::DeprecationWarning:selenium"),  # its drivers for WebKit warn of its own remote end
]

ALL_SAFE = "return document.querySelector('[data-role=kept]')?.textContent.startsWith('0 ')"
# How many requests with marks the page has made.
REQUESTED = "performance.getEntriesByType('resource').filter(({ name }) => new URL(name).pathname === '/marks').length"
COUNT = "return Number(document.querySelector('[data-role=count]')?.textContent)"


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return a_heat_of_everything().model_copy(update={"marks": ()})


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, competition: CompetitionFile) -> Iterator[HallServer]:
    with served(tmp_path_factory.mktemp("hall"), competition) as running, a_screen():
        yield running


@dataclass(frozen=True)
class Lane:
    """The lane that an engine counts: each its own, for two tablets on one lane are told that one of them does not count."""

    server: HallServer
    number: int

    def at(self, view: str) -> None:
        """Moves the heat's clock to a moment of a view."""
        self.server.go_was(MOMENTS[view] * 1000, lanes=[self.number])

    def window(self, win: int) -> Any:
        """What the desk has of a window."""
        return self.server.hall.projection.sheet_tally(f"asg_{self.number - 1}/1/lane").windows[win]


@pytest.mark.parametrize("engine", ENGINES, ids=lambda engine: engine.name)
def test_the_walks(engine: Engine, server: HallServer, tmp_path: Path) -> None:
    lane = Lane(server, 1 + ENGINES.index(engine))
    with engine.glass(tmp_path / "home") as glass:
        pairs_and_opens(glass, lane)
        counts(glass, lane)
        counts_on_without_the_desk(glass, lane)
        declares_and_judges_a_lift(glass, lane)
        drags_a_window(glass, server)


@needs_trust
@pytest.mark.parametrize("engine", ENGINES, ids=lambda engine: engine.name)
def test_over_https_the_page_opens_with_the_desk_dead(engine: Engine, competition: CompetitionFile, tmp_path: Path) -> None:
    if engine.name != "Firefox" and not own_file_system():
        pytest.skip("this machine lets no process have a file system of its own, in which an engine could trust our authority")
    with (
        a_screen(),
        a_secure_hall(tmp_path / "data", competition) as hall,
        engine.glass(tmp_path / "home", hall.authority) as glass,
    ):
        glass.open(f"{hall.secure}/pair")
        glass.until("return document.querySelector('#code') !== null")
        glass.read("document.querySelector('#code').value = arguments[0]", code_for(hall.laptop))
        glass.touch("#ask button")
        glass.touch("#agree")
        glass.until("return document.querySelector('[data-role=strip]') && navigator.serviceWorker.controller !== null")
        hall.server.kill()
        glass.reload()
        glass.shows("before")
        hall.server.start()
        glass.until("return document.querySelector('[data-role=line]').dataset.tone !== 'look'")


def code_for(url: str) -> str:
    """The short code of a fresh invitation for lane 1's judge, who is let in at once."""
    session = desk_session(url)
    cookies = "; ".join(f"{cookie['name']}={cookie['value']}" for cookie in session["cookies"])
    headers = {"Origin": url, "Accept": "text/html", "Cookie": cookies}
    with httpx.Client(base_url=url, headers=headers, follow_redirects=True) as desk:
        desk.post("/desk/tablets/rule", data={"at_once": "yes"})
        shown = desk.post("/desk/tablets", data={"lane": "1", "role": "lane"}).text
    found = re.search(r'class="short-code">([\d ]+)<', shown)
    assert found, shown
    return found[1]


def pairs_and_opens(glass: Glass, lane: Lane) -> None:
    server = lane.server
    server.run(let_in_at_once(server.hall, True))
    glass.open(f"{server.url}/pair#{server.token(lane.number)}")
    glass.touch("#agree")
    glass.until("return document.querySelector('[data-role=strip]') !== null")


def counts(glass: Glass, lane: Lane) -> None:
    """Taps, takes one back, gives a no-rep, loads the page anew in the middle: the count stands, and the desk has the same."""
    lane.at("count")
    glass.shows("count")
    before = glass.read(COUNT)
    for _ in range(3):
        glass.touch("[data-role=count-target]")
    glass.until(f"{COUNT} === arguments[0]", before + 3)
    glass.touch("[data-role=take-back]")
    glass.until(f"{COUNT} === arguments[0]", before + 2)
    glass.touch("[data-role=no-rep]")
    glass.until(ALL_SAFE)
    assert glass.read(f"return {REQUESTED}") == 0, "marks go on the line that the tablet holds open"
    glass.reload()
    glass.shows("count")
    glass.until(f"{COUNT} === arguments[0]", before + 2)


def counts_on_without_the_desk(glass: Glass, lane: Lane) -> None:
    """The desk's program dies: taps are kept, the page opens again where it can be kept, and all is sent later."""
    lane.at("count")
    glass.shows("count")
    before = glass.read(COUNT)
    kept = glass.read("return Boolean(navigator.serviceWorker?.controller)")
    lane.server.stop()
    try:
        for _ in range(2):
            glass.touch("[data-role=count-target]")
        glass.until(f"{COUNT} === arguments[0]", before + 2)
        if kept:
            glass.reload()
            glass.shows("count")
            glass.until(f"{COUNT} === arguments[0]", before + 2)
    finally:
        lane.server.start()
    until(lambda: lane.window(0).count == before + 2, "the marks did not come")


def declares_and_judges_a_lift(glass: Glass, lane: Lane) -> None:
    """A load is declared and the lift is good: the desk has the load."""
    lane.at("lift")
    glass.shows("lift")
    lifts = len(lane.window(3).lifts)
    glass.touch("[data-role=picks-1]")
    glass.touch("[data-role=load-up]")
    glass.touch("[data-role=declare]")
    glass.touch("[data-role=good-lift]")
    until(lambda: len(lane.window(3).lifts) == lifts + 1, "no lift came")


def drags_a_window(glass: Glass, server: HallServer) -> None:
    """The desk's composer: a bar is pulled by half a minute, and the table says so."""
    for cookie in desk_session(server.url)["cookies"]:
        glass.driver.add_cookie({key: cookie[key] for key in ("name", "value", "path", "httpOnly")})
    glass.open(f"{server.url}/desk/events/evt")
    glass.until("return document.querySelector('.timeline-tools')?.getClientRects().length")
    start = "return document.querySelector(\"[name='window-2-start']\").value"
    before = glass.read(start)
    width, scale = glass.read(
        "const plot = document.querySelector('#strip .timeline-inner'); return [plot.clientWidth, Number(plot.dataset.scale)]"
    )
    glass.drag("#strip .timeline-bar[data-window='2'] > rect", width * 30 / scale)
    assert glass.until(f"const now = ({start.removeprefix('return ')}); return now !== arguments[0] && now", before) == "3:00"


def until(holds: Callable[[], bool], words: str) -> None:
    """Waits until something holds."""
    end = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end, words
        time.sleep(0.02)
