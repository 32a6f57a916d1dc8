"""A screen that does not open says why in three seconds: a browser too old, by its name, a part missing, a slow laptop."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, Route, expect

from tests.browser.hall_server import HallServer
from tests.browser.people import PHONE

pytestmark = pytest.mark.browser

AN_OLD_BROWSER = "Mozilla/5.0 (Linux; Android 7.0) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/80.0.3987.99 Safari/537.36"
A_PART = re.compile(r"/screens/floor/lane\.js")
SCREENS = ("/lane", "/call", "/clock")


@pytest.fixture
def stranger(browser: Browser, server: HallServer) -> Iterator[Page]:
    """A phone that has never been here."""
    context = browser.new_context(viewport=PHONE, base_url=server.url, user_agent=AN_OLD_BROWSER)  # type: ignore[arg-type]
    yield context.new_page()
    context.close()


def line(page: Page, why: str) -> Locator:
    return page.locator(f'[data-role="needs"] [data-why="{why}"]:visible')


@pytest.mark.parametrize("screen", SCREENS)
def test_an_old_browser_is_told_by_its_name_what_the_screen_takes(stranger: Page, screen: str) -> None:
    stranger.add_init_script("delete Object.hasOwn")
    stranger.goto(screen)
    expect(line(stranger, "old")).to_contain_text("This is Chrome 80", timeout=3000)
    expect(line(stranger, "old")).to_contain_text("at least iPadOS 15.6, Chrome 106 or Firefox 102")


def test_a_part_that_does_not_come_is_told(stranger: Page) -> None:
    stranger.route(A_PART, lambda route: route.abort())
    stranger.goto("/lane")
    expect(line(stranger, "part")).to_be_visible(timeout=3000)


def test_a_slow_laptop_is_told_until_the_screen_opens(stranger: Page) -> None:
    held: list[Route] = []
    stranger.route(A_PART, lambda route: held.append(route))
    stranger.goto("/lane", wait_until="commit")
    expect(line(stranger, "slow")).to_be_visible(timeout=6000)
    held[0].continue_()
    expect(stranger.locator('[data-role="opening"]')).to_have_count(0)
    expect(line(stranger, "slow")).to_be_hidden()
