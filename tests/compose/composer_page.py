"""Finding things on the composer's page."""

from playwright.sync_api import Locator, Page


def bar(page: Page, window: int) -> Locator:
    return page.locator(f"#strip .timeline-bar[data-window='{window}'] > rect").first


def number(page: Page, window: int, what: str) -> Locator:
    """A field of a window, which is opened first if it is only a line."""
    open_part(page, f"tr[data-window='{window}']")
    return page.locator(f"[name='window-{window}-{what}']")


def open_part(page: Page, part: str) -> None:
    """Presses the line of a part of the form, if there is only its line."""
    line = page.locator(f"{part} .fold-line")
    if line.get_attribute("aria-expanded") == "false":
        line.click()
