"""Finding things on the composer's page."""

from playwright.sync_api import Locator, Page


def bar(page: Page, window: int) -> Locator:
    return page.locator(f"#strip .timeline-bar[data-window='{window}'] > rect").first


def number(page: Page, window: int, what: str) -> Locator:
    """A field of a window, which is chosen first if it is not in sight."""
    open_part(page, f"tr[data-window='{window}']")
    return page.locator(f"[name='window-{window}-{what}']")


def open_part(page: Page, part: str) -> None:
    """Opens a part of the form, and the section that it is in, if there is only a line of them."""
    if page.locator(part).is_hidden():
        press_line(page, f"[data-fold]:has({part})")
    if page.locator(f"{part} .fold-line").is_visible():
        press_line(page, part)


def open_section(page: Page, name: str) -> None:
    """Opens a section of the form, if there is only its line."""
    press_line(page, f"#{name} >")


def press_line(page: Page, part: str) -> None:
    """Presses the line of a part or a section that is not open."""
    line = page.locator(f"{part} .fold-line").first
    if line.get_attribute("aria-expanded") == "false":
        line.click()
