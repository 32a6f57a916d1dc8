"""The desk by keys alone, in a browser: where the focus goes, what is said aloud, what never fires, what the search finds."""

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from app.rules.records.document import CompetitionFile
from app.web.keys import KEYS
from tests.browser.looking import found_on
from tests.builders.pairs import a_file

pytestmark = pytest.mark.browser
SLOW_MS = 15_000
NAMES = (("Chalk Lines", "Iron Larks", "Zoë & Łucja"), ("Slow Burn",))
SAID = """() => {
  window.heard = [];
  const region = document.getElementById('said');
  const hear = () => region.textContent && window.heard.push(region.textContent);
  new MutationObserver(hear).observe(region, { childList: true, characterData: true, subtree: true });
}"""


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return a_file(NAMES, heat_of=2, runs=0)


def listening(page: Page, path: str) -> Page:
    page.goto(path)
    page.evaluate(SAID)
    page.wait_for_timeout(400)  # from then on it is heard
    return page


def heard(page: Page, words: str) -> None:
    page.wait_for_function("(words) => window.heard.some((said) => said.includes(words))", arg=words, timeout=SLOW_MS)


def has_focus(page: Page, selector: str) -> None:
    expect(page.locator(selector)).to_be_focused(timeout=SLOW_MS)


def test_a_heat_is_run_by_keys_and_the_focus_goes_to_what_follows(page: Page) -> None:
    listening(page, "/desk?heat=heat_1")
    page.keyboard.press("g")
    has_focus(page, "#move-go button.go")
    page.keyboard.press("Enter")
    has_focus(page, "#heat")
    heard(page, "Turns, heat 1: GO is set")
    has_focus(page, "#move-hold button")
    heard(page, "Turns, heat 1: Running")
    page.wait_for_timeout(600)
    page.keyboard.press("Enter")
    has_focus(page, "#move-go-on button")
    heard(page, "Turns, heat 1: Held")
    page.keyboard.press("Enter")  # pressed twice without meaning to: the button is new under the finger
    page.wait_for_timeout(600)
    expect(page.locator("#hand")).to_have_attribute("data-state", "held")
    page.keyboard.press("Enter")
    has_focus(page, "#move-hold button")
    heard(page, "Turns, heat 1: Resuming")
    page.locator("body").press("a")
    has_focus(page, "#move-abort [name=why]")
    page.keyboard.press("Escape")
    has_focus(page, "#move-abort summary")
    page.keyboard.press("Enter")
    has_focus(page, "#move-abort [name=why]")
    page.keyboard.type("hg/?")  # letters, not keys
    page.keyboard.press("Enter")
    heard(page, "Turns, heat 1: Stopped")
    has_focus(page, "#move-go button.go")
    assert page.locator("dialog[open]").count() == 0


def test_what_is_refused_is_said_and_the_focus_stays(context: BrowserContext) -> None:
    desk = context.new_page()  # a page that stands already may send its next request before a route is laid for it
    desk.route("**/go", lambda route: route.continue_(url=route.request.url.replace("/go", "/hold")))  # pressed a moment too late
    listening(desk, "/desk?heat=heat_1")
    desk.keyboard.press("g")
    desk.keyboard.press("Enter")
    heard(desk, "there is nothing to hold")
    has_focus(desk, "#move-go button.go")
    desk.close()


def test_keys_rest_with_others_and_where_they_are_switched_off(page: Page) -> None:
    listening(page, "/desk?heat=heat_1")
    for chord in ("Control+g", "Alt+g", "Meta+g", "Shift+G"):
        page.keyboard.press(chord)
        expect(page.locator("#move-go button.go")).not_to_be_focused()
    page.keyboard.press("?")
    expect(page.locator("#keys")).to_be_visible()
    for group in KEYS:
        for one in group.keys:
            row = page.locator("#keys [data-key]").filter(has=page.get_by_text(one.words, exact=True))
            expect(row.locator("kbd")).to_have_text(one.key)
    assert found_on(page) == []
    page.get_by_label("Keys work in this browser").uncheck()
    page.keyboard.press("Escape")
    page.reload()
    page.keyboard.press("g")
    page.keyboard.press("/")
    expect(page.locator("#move-go button.go")).not_to_be_focused()
    assert page.locator("dialog[open]").count() == 0
    page.get_by_role("button", name="Keys").click()
    page.get_by_label("Keys work in this browser").check()
    page.get_by_role("button", name="Close").click()
    has_focus(page, "#keys-open")
    page.keyboard.press("j")
    has_focus(page, "#line-heat_1")
    page.keyboard.press("j")
    has_focus(page, "#line-heat_2")
    page.keyboard.press("k")
    has_focus(page, "#line-heat_1")


def test_the_search_is_opened_on_any_page_and_enter_goes_there(page: Page) -> None:
    for path in ("/desk", "/desk/setup", "/review"):
        listening(page, path)
        page.keyboard.press("/")
        expect(page.locator("#search-for")).to_be_focused()
        page.keyboard.type("lucja")
        expect(page.locator("#search-box [role=option]").first).to_contain_text("Zoë & Łucja")
        heard(page, "found")
        assert found_on(page) == []
        page.keyboard.press("Escape")
        expect(page.locator("#search-box")).to_be_hidden()
    page.get_by_role("button", name="Search").click()
    page.keyboard.type("z l")
    expect(page.locator("#search-box [role=option]").first).to_have_attribute("aria-selected", "true")
    page.keyboard.press("ArrowDown")
    expect(page.locator("#search-box [role=option]").nth(1)).to_contain_text("Lane 1")
    page.keyboard.press("Enter")
    page.wait_for_url("**/desk?heat=heat_2#lane-1")
    page.keyboard.press("/")
    page.keyboard.insert_text("slow burn")
    page.keyboard.press("Enter")  # before the answer came
    page.wait_for_url("**/desk/entries/ent_1_0")


def test_after_an_entry_the_next_one_is_written_and_what_is_wrong_is_said(page: Page) -> None:
    page.goto("/desk/entries/new")
    has_focus(page, "#name")
    page.keyboard.type("Late Comers")
    page.get_by_label("Division").select_option(index=1)
    page.get_by_label("Member A", exact=True).fill("Bo Lund")
    page.get_by_role("button", name="Save and add another").click()
    has_focus(page, "#name")
    page.evaluate(SAID)
    heard(page, "Saved.")
    page.get_by_role("button", name="Save and add another").click()
    page.wait_for_selector("#problems")
    has_focus(page, "#problems")
    page.goto("/desk/entries/ent_0_0")
    page.get_by_role("button", name="Save and go to the next").click()
    page.wait_for_url("**/desk/entries/ent_0_1")
    has_focus(page, "#name")
