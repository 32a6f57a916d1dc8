"""What the tests of the composer share in a real browser."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hall_server import HallServer


@pytest.fixture
def editor(page: Page, server: HallServer) -> Page:
    """The composer with the event of the competition, never stored."""
    page.goto("/desk/events/evt")
    page.evaluate("window.neverReloaded = true")
    expect(page.locator(".timeline-tools")).to_be_visible()
    return page
