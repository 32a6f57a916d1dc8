"""What the tests in a real browser share; and for those of the composer and the dry run, a hall and a desk that is logged in."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.hall_server import HallServer, served
from tests.browser.people import PASSWORD, TABLET
from tests.builders.pairs import a_file


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HallServer]:
    with served(tmp_path_factory.mktemp("hall"), a_file((("Chalk Lines", "Iron Larks"),), runs=0)) as running:
        yield running


@pytest.fixture(scope="module")
def session(browser: Browser, server: HallServer) -> Any:
    """What a browser holds that is logged in as the desk."""
    context = browser.new_context(base_url=server.url)
    page = context.new_page()
    page.goto("/desk/enter")
    page.fill("[name=password]", PASSWORD)
    page.fill("[name=again]", PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url("**/desk")
    state = context.storage_state()
    context.close()
    return state


@pytest.fixture
def context(browser: Browser, server: HallServer, session: Any) -> Iterator[BrowserContext]:
    opened = browser.new_context(viewport=TABLET, base_url=server.url, storage_state=session, has_touch=True)  # type: ignore[arg-type]
    yield opened
    opened.close()


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    """A page whose errors are errors of the test."""
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    opened.on("console", lambda said: troubles.append(said.text) if said.type == "error" and "422" not in said.text else None)
    yield opened
    assert troubles == []


@pytest.fixture
def editor(page: Page, server: HallServer) -> Page:
    """The composer with the mirrored pair of the competition, never stored."""
    page.goto("/desk/events/evt")
    page.evaluate("window.neverReloaded = true")
    expect(page.locator(".timeline-tools")).to_be_visible()
    return page
