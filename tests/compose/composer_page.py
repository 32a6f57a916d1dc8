"""Finding things on the composer's page."""

from playwright.sync_api import Locator, Page


def bar(page: Page, window: int) -> Locator:
    return page.locator(f"#strip .timeline-bar[data-window='{window}'] > rect").first


def number(page: Page, window: int, what: str) -> Locator:
    return page.locator(f"[name='window-{window}-{what}']")
