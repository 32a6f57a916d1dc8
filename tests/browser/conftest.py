"""What the tests in a real browser share."""

from playwright.sync_api import expect

from tests.browser.people import PATIENCE_MS

expect.set_options(timeout=PATIENCE_MS)
