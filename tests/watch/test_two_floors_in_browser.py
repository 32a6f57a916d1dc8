"""Two platforms at work at once, in a real browser: screens that keep to one follow it live, whatever comes on the other."""

import re
from collections.abc import Iterator
from functools import partial

import pytest
from playwright.sync_api import Page, Response, expect

from app.floor import timing
from app.hall.changing import change_roster
from app.store.heats import put_heat
from tests.browser.hall_server import HallServer, served
from tests.builders.platforms import two_platforms

pytestmark = [pytest.mark.browser]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HallServer]:
    file = two_platforms(3)
    with served(tmp_path_factory.mktemp("hall"), file.model_copy(update={"heats": file.heats[:2]})) as running:
        yield running


def go(server: HallServer, heat: str) -> None:
    server.run(partial(timing.go, server.hall, heat, {"lead": "5"})())


SCREENS = {  # where each says which heat it shows, and what else is on the floor
    "board": ("#floor-head h2", "#floor-beside"),
    "wall": ("#wall-title", "#wall-next"),
    "clock": ("#hall-title", "#hall-beside"),
}


def test_a_screen_that_keeps_to_a_platform_follows_it_live(page: Page, server: HallServer) -> None:
    answers: list[Response] = []
    tabs = {name: page.context.new_page() for name in SCREENS}
    for name, tab in tabs.items():
        tab.on("response", lambda answer: answers.append(answer))
        tab.goto(f"{server.url}/{name}?lane=2")
    whole = tabs["clock"].get_by_role("link", name="Whole hall")
    expect(tabs["clock"].locator("#hall-now")).to_contain_text("Heat 1")
    expect(whole).to_be_hidden()
    second = two_platforms(3).heats[2]
    server.run(change_roster(server.hall, lambda session: put_heat(session, second)))
    expect(whole).to_be_visible()  # there are two floors by now
    go(server, "heat_1")
    for name, (heat, beside) in SCREENS.items():
        expect(tabs[name].locator(heat)).to_contain_text("Heat 1")
        expect(tabs[name].locator(beside)).not_to_contain_text("Also on the floor")
    go(server, "heat_3")
    for name, (heat, beside) in SCREENS.items():
        expect(tabs[name].locator(beside)).to_contain_text(re.compile("Also on the floor: ?\u2068?lanes 9 to 11"))
        expect(tabs[name].locator(heat)).to_contain_text("Heat 1")
    streams = {answer.url.removeprefix(server.url): answer.status for answer in answers if "/stream" in answer.url}
    assert all(status == 200 for status in streams.values()) and len(streams) == len(SCREENS), streams
    tabs["board"].get_by_role("link", name="lanes 9 to 11").click()
    expect(tabs["board"].locator("#floor-head h2")).to_contain_text("Heat 3")
    expect(tabs["board"].locator("#floor-beside")).to_contain_text("Only")
    tabs["clock"].get_by_role("link", name="lanes 9 to 11").click()
    expect(tabs["clock"].locator("#hall-title")).to_contain_text("Heat 3")
    expect(tabs["clock"].locator("#hall-beside")).to_contain_text("lanes 1 to 3")
    whole.click()
    expect(tabs["clock"]).to_have_url(f"{server.url}/clock")
    expect(tabs["clock"].locator("#hall-minutes")).not_to_be_empty()
    expect(whole).to_be_hidden()
    for tab in tabs.values():
        tab.close()
