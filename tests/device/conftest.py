"""What the tests of the tablet's own part share: a desk that a test scripts, and a browser that has never been here."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext

from tests.browser.fake_desk import FakeDesk, open_desk


@pytest.fixture
def desk() -> Iterator[FakeDesk]:
    """A desk that stores marks as the ledger does, and loses, hangs or refuses when told to."""
    desk = FakeDesk()
    with open_desk(desk):
        yield desk


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """The tablet's browser, which has never been here."""
    context = browser.new_context()
    yield context
    context.close()
