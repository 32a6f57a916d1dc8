"""The dry run in a real browser: the judge's own screen, faster than life, nothing kept; and the composer's pages for all."""

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.browser.hall_server import HallServer
from tests.browser.looking import broken_rules
from tests.compose.composer_page import bar, number, open_part, open_section

pytestmark = pytest.mark.browser

SIZES = ({"width": 1024, "height": 768}, {"width": 390, "height": 844}, {"width": 1440, "height": 900})


def screen(page: Page) -> Locator:
    return page.locator("[data-role=screen]")


def test_a_dry_run_at_twenty_times_shows_the_count_then_the_rest_and_keeps_nothing(page: Page, server: HallServer) -> None:
    page.goto("/desk/events/evt/dry-run")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if "/static/" not in request.url else None)
    expect(page.locator("#dry")).to_contain_text("Dry run: nothing is saved")
    expect(page.get_by_label("20×")).to_be_checked()
    expect(screen(page)).to_have_attribute("data-view", "count")
    expect(screen(page).locator("[data-role=count]")).not_to_have_text("0")
    expect(screen(page)).to_have_attribute("data-view", "rest", timeout=12_000)
    expect(screen(page).locator("[data-role=who]")).to_have_text("Rest")
    assert asked == [] and server.hall.ledger.all_marks() == []
    assert page.evaluate("indexedDB.databases().then((found) => found.length)") == 0


def test_a_dry_run_goes_where_the_strip_is_touched_and_belongs_to_who_taps(page: Page) -> None:
    page.goto("/desk/events/evt/dry-run")
    page.get_by_label("1×", exact=True).check(force=True)
    page.locator("#dry .timeline-bar[data-window='4'] > rect").first.click()
    expect(screen(page)).to_have_attribute("data-view", "lift")
    page.locator("#dry .timeline-bar[data-window='2'] > rect").first.click()
    expect(screen(page)).to_have_attribute("data-view", "count")
    screen(page).locator("[data-role=count-target]").tap()
    expect(page.get_by_label("Automatic taps")).not_to_be_checked()
    expect(screen(page).locator("[data-role=count]")).to_have_text("1")
    page.wait_for_timeout(2500)
    expect(screen(page).locator("[data-role=count]")).to_have_text("1")
    page.locator("#time").focus()
    page.keyboard.press("Home")
    expect(screen(page).locator("[data-role=task]")).to_have_text("Handstand shoulder taps")
    page.get_by_role("button", name="Before GO").click()
    expect(screen(page)).to_have_attribute("data-view", "before")
    page.get_by_role("button", name="The next window").click()
    page.get_by_label("60×").check(force=True)
    page.locator("#time").focus()
    page.keyboard.press("End")
    expect(screen(page)).to_have_attribute("data-view", "after", timeout=12_000)


def test_what_is_on_the_page_can_be_played_before_it_is_stored(editor: Page, context: BrowserContext) -> None:
    number(editor, 0, "seconds").fill("5:00")
    with context.expect_page() as opened:
        editor.get_by_role("button", name="Dry run").click()
    expect(opened.value.locator("#dry .timeline-bar[data-window='0'] title").first).to_contain_text("0:00 to 5:00")
    assert editor.evaluate("window.neverReloaded")


# Those that open further than the pages that test_accessibility_in_browser.py looks at.
PAGES = ("/desk/events/new/for_time_list", "/desk/events/evt")


@pytest.mark.parametrize("path", PAGES)
def test_pages_fit_every_screen_and_are_for_everybody(page: Page, path: str) -> None:
    page.goto(path)
    if path.endswith("evt"):
        bar(page, 2).click()
        open_section(page, "variants")
        page.get_by_role("button", name="Add a variant").click()
        page.get_by_role("button", name="Change this task").click()
        open_part(page, "#score-0")
        page.get_by_role("button", name="Add a tie-break").click()
        expect(page.locator("#vtask-0")).to_be_visible()
        page.evaluate("for (const part of document.querySelectorAll('details')) part.open = true")
    for size in SIZES:
        page.set_viewport_size(size)  # type: ignore[arg-type]
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), size
    for size, scheme in ((SIZES[0], "dark"), (SIZES[1], "light")):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        assert [(*one, size) for one in broken_rules(page)] == []
