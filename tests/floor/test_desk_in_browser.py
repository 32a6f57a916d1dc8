"""The desk in a real browser: live without a reload, by keyboard, over a restart."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.fixtures import desk_session
from tests.browser.hall_server import HallServer, served
from tests.builders.pairs import TAPS, a_file, a_mark
from tests.compose.composer_page import open_part, open_section

pytestmark = pytest.mark.browser

LAPTOP = {"width": 1024, "height": 768}
LONG = "The Sixty Letter Chalk Dust Sisterhood of the Lower Harbours"
NAMES = ((LONG, *(f"Team {n}" for n in range(2, 13))), ("Slow Burn",))
SLOW_MS = 15_000


@pytest.fixture
def server(tmp_path: Path) -> Iterator[HallServer]:
    with served(tmp_path, a_file(NAMES, heat_of=12, runs=0)) as running:
        yield running


@pytest.fixture
def context(browser: Browser, server: HallServer) -> Iterator[BrowserContext]:
    """A browser that is logged in as the desk."""
    opened = browser.new_context(viewport=LAPTOP, base_url=server.url, storage_state=desk_session(server.url))  # type: ignore[arg-type]
    yield opened
    opened.close()


def a_desk(context: BrowserContext, path: str = "/desk?heat=heat_1") -> Page:
    page = context.new_page()
    page.goto(path)
    page.evaluate("window.neverReloaded = true")
    return page


def state(page: Page) -> str:
    return page.locator("#hand").get_attribute("data-state") or ""


def expect_state(page: Page, wanted: str) -> None:
    expect(page.locator("#hand")).to_have_attribute("data-state", wanted, timeout=SLOW_MS)


def test_a_heat_goes_by_keyboard_and_the_other_desk_sees_it(context: BrowserContext) -> None:
    desk, other = a_desk(context), a_desk(context)
    desk.get_by_label("Countdown").focus()
    desk.keyboard.press("5")
    desk.keyboard.press("Shift+Tab")
    desk.keyboard.press("Enter")
    expect_state(desk, "set")
    expect_state(other, "set")
    for page in (desk, other):
        expect(page.locator("#desk-clock")).to_have_text(re.compile(r"^[1-5]$"))
        expect(page.locator("#desk-window")).to_have_text("to GO, then A: Handstand shoulder taps")
    expect_state(other, "running")  # nobody tells it: it looks when its own clock passes GO
    expect(other.locator("#desk-clock")).to_have_text(re.compile(r"^2:5\d"))
    expect(other.locator("#desk-window")).to_have_text("left · A: Handstand shoulder taps, then Rest")
    assert desk.evaluate("window.neverReloaded") and other.evaluate("window.neverReloaded")


def test_a_page_that_nobody_touched_asks_once_by_the_heats_name(context: BrowserContext) -> None:
    desk = a_desk(context)
    go, ask = desk.get_by_role("button", name="GO", exact=True), desk.locator("#start-ask")
    desk.evaluate("document.getElementById('floor').dataset.asksAfter = '200'")
    desk.wait_for_timeout(300)
    desk.locator(".day-head").click()  # a touch of something else does not make it safe
    go.click()
    expect(ask.get_by_role("heading")).to_have_text("Start heat 1, Open pairs, Turns?")
    desk.locator("#start-no").click()
    assert state(desk) == "planned"
    desk.reload()
    go.click()
    desk.locator("#start-yes").click()
    expect_state(desk, "set")
    expect(ask).to_be_hidden()


def test_a_reason_under_way_is_not_swept_away_by_what_happens_on_the_floor(context: BrowserContext, server: HallServer) -> None:
    desk = a_desk(context)
    desk.get_by_role("button", name="GO", exact=True).click()
    expect_state(desk, "set")
    desk.locator("#move-abort summary").click()
    why = desk.locator("#move-abort [name=why]")
    why.focus()
    desk.keyboard.type("The music ")
    server.mark([a_mark("asg_0", n, "rep", n * 900, TAPS[0]) for n in range(1, 6)])
    expect(desk.locator("#lane-1 .lane-last")).to_contain_text("Rep at 0:04", timeout=SLOW_MS)
    desk.keyboard.type("stopped")
    expect(why).to_have_value("The music stopped")
    desk.keyboard.press("Enter")
    expect_state(desk, "stopped")
    assert [run.why for run in server.hall.projection.runs] == ["The music stopped"]
    expect(desk.get_by_role("button", name="GO", exact=True)).to_be_visible()


# What htmx does when a piece of the floor has come: with another page of it, as it was so many milliseconds before or after.
COMES = """async ([words, by]) => {
  const asked = await fetch("/desk/floor?heat=heat_1", { headers: { "HX-Request": "true" } });
  const told = JSON.parse(asked.headers.get("Ledger-Told"));
  const raw = { headers: new Headers({ "Ledger-Told": JSON.stringify({ ...told, at: told.at + by }) }) };
  const floor = document.getElementById("floor");
  const text = `<p id="came">${words}</p>` + (await asked.text());
  const answer = { request: { method: "GET" }, response: { raw }, text };
  await htmx.swap({ ...answer, sourceElement: floor, target: floor, swap: "innerMorph" });
}"""


def test_an_older_answer_is_not_drawn_over_a_newer_one(context: BrowserContext) -> None:
    desk = a_desk(context)
    desk.evaluate("document.body.addEventListener('ledger:desk', (event) => event.stopImmediatePropagation(), { capture: true })")
    hour = 3_600_000
    desk.evaluate(COMES, ["newer", hour])
    expect(desk.locator("#came")).to_have_text("newer")
    desk.evaluate(COMES, ["older", -hour])
    expect(desk.locator("#came")).to_have_text("newer")
    desk.evaluate(COMES, ["newest", 2 * hour])
    expect(desk.locator("#came")).to_have_text("newest")


def test_the_desk_finds_its_line_again_when_the_server_comes_back(context: BrowserContext, server: HallServer) -> None:
    desk = a_desk(context)
    server.stop()
    expect(desk.locator("#desk-line")).to_be_visible(timeout=SLOW_MS)
    server.start()
    expect(desk.locator("#desk-line")).to_be_hidden(timeout=SLOW_MS)
    desk.get_by_role("button", name="GO", exact=True).click()
    expect_state(desk, "set")
    assert desk.evaluate("window.neverReloaded")


def test_a_desk_that_was_logged_out_is_led_to_the_door(context: BrowserContext) -> None:
    desk = a_desk(context)
    context.clear_cookies()
    desk.wait_for_url("**/desk/enter**", timeout=SLOW_MS)
    assert desk.locator("#floor").count() == 0


def test_rows_of_the_event_form_change_in_place(context: BrowserContext) -> None:
    page = a_desk(context, "/desk/events/evt")
    rows = page.locator(".edit-table tbody tr")
    before = rows.count()
    page.fill("#window-0-seconds", "3:30")
    open_section(page, "windows")
    page.get_by_role("button", name="Add a window").click()
    expect(rows).to_have_count(before + 1)
    expect(page.locator("#window-0-seconds")).to_have_value("3:30")
    expect(page.locator(f"#window-{before}-start")).to_be_focused()
    movements = page.locator(".movement")
    known = movements.count()
    open_section(page, "movements")
    page.get_by_role("button", name="Add a movement").click()
    expect(movements).to_have_count(known + 1)
    movements.last.get_by_label("Movement", exact=True).fill("Sled pulls")
    expect(page.locator("#task-0-movement")).to_contain_text("Sled pulls")
    assert page.evaluate("window.neverReloaded")
    open_part(page, "#task-0")
    page.locator("#task-0-kind").select_option("list")
    expect(page.locator("#task-0-list-items")).to_be_visible()
    expect(page.locator("#task-0-movement")).to_be_hidden()


def test_enter_in_a_form_stores_it(context: BrowserContext, server: HallServer) -> None:
    page = a_desk(context, "/desk/heats/heat_1/lanes")
    page.fill("#planned", "11:15")
    page.keyboard.press("Enter")
    page.wait_for_url("**/desk/heats")
    roster = server.hall.projection.roster
    assert roster is not None and roster.heats[0].planned == "11:15"
