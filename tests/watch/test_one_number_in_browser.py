"""For time, the clock counts up to a named cap, and every screen of the hall shows the same number."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from app.rules.records.roster import Event
from app.rules.workout.formats import Window
from tests.browser.hall_server import HallServer, served
from tests.browser.people import PHONE, WALL, a_hall
from tests.builders.meets import errands
from tests.builders.pairs import a_file

pytestmark = [pytest.mark.browser, pytest.mark.timeout(120)]

PASSED_MS, CAP_S = 65_000, 600
RUNNING = re.compile(r"\d:\s*\d\d")
NEAR_S = 2  # from the first screen that is read to the last, on a busy machine


@pytest.fixture
def server(tmp_path: Path) -> Iterator[HallServer]:
    """A heat of a list for time."""
    timed = errands().model_copy(update={"members": 2, "windows": (Window(start=0, seconds=CAP_S, task="errands"),)})
    file = a_file((("Chalk Lines", "Iron Larks"),), runs=0)
    events = (Event(id="evt", name="Errands", format=timed),)
    with served(tmp_path / "data", file.model_copy(update={"events": events, "markings": {}})) as running:
        yield running


def test_what_is_scored_by_time_counts_up_alike_on_every_screen(browser: Browser, server: HallServer) -> None:
    with a_hall(browser, server.url) as hall:
        desk = hall.desk()
        judge = hall.tablet(desk, 1)
        desk.open("/desk?heat=heat_1")
        board, wall, clock = hall.watch(PHONE), hall.come(WALL, touch=False).page, hall.come(WALL, touch=False).page
        wall.goto(f"{server.url}/wall")
        clock.goto(f"{server.url}/clock")
        server.go_was(PASSED_MS)
        judge.shows("list")
        cap = "Time cap 10:00"
        expect(judge.page.locator(".head-of")).to_have_text(cap)
        expect(wall.locator("#wall-label")).to_have_text(cap)
        expect(clock.locator("#hall-label")).to_have_text(cap)
        expect(board.locator("#floor-next")).to_contain_text(cap)
        places = (
            (judge.page, '[data-role="clock"]'),
            (wall, ".wall-big"),
            (clock, "#hall-big"),
            (board, "#floor-clock"),
            (desk.page, "#desk-clock"),
        )
        for page, place in places:
            expect(page.locator(place)).to_have_text(RUNNING)
        read = [page.locator(place).inner_text().replace("\n", "") for page, place in places]
        seconds = [int(minutes) * 60 + int(rest) for minutes, rest in (one.split(":") for one in read)]
        assert max(seconds) - min(seconds) <= NEAR_S and min(seconds) >= PASSED_MS // 1000, read
