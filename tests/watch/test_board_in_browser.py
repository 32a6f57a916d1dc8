"""The board in a real browser: one stream for all tabs, no reload, across a restart; tabs that turn and can be held."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.live.servertime import this_machine
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import broken_rules
from tests.builders.pairs import FORMAT, TAPS, a_file, a_mark

pytestmark = pytest.mark.browser

WALL = {"width": 1920, "height": 1080}
PHONE = {"width": 390, "height": 844}
LONG = "The Sixty Letter Chalk Dust Sisterhood of the Lower Harbours"
NAMES = (("Chalk Lines", "Iron Larks", LONG), ("Slow Burn", "Low Tide", "Two Left"))
DONE = ((6, 9, 95), (6, 9, 95), (5, 5, 70))
# Where Web Locks are missing, as on plain HTTP in a LAN, the tabs agree by messages.
WITHOUT_LOCKS = "delete Navigator.prototype.locks"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[HallServer]:
    now = this_machine()
    file = a_file(NAMES, DONE, heat_of=6, go_server_ms=now.server_ms() - 30_000, boot=now.boot)
    with served(tmp_path, file) as running:
        yield running


@pytest.fixture(params=["locks", "messages"])
def context(browser: Browser, request: pytest.FixtureRequest) -> Iterator[BrowserContext]:
    opened = browser.new_context(viewport=WALL)
    if request.param == "messages":
        opened.add_init_script(WITHOUT_LOCKS)
    yield opened
    opened.close()


def a_board(context: BrowserContext, server: HallServer) -> Page:
    page = context.new_page()
    page.goto(server.url)
    page.evaluate("window.neverReloaded = true")
    return page


def taps(lane: int, count: int, first: int = 500) -> list[dict[str, Any]]:
    return [a_mark(f"asg_{lane}", first + n, "rep", 10_000 + n * 700, TAPS[0]) for n in range(count)]


def waits_for(page: Page, holds: Callable[[], bool], what: str, seconds: float = 10) -> None:
    """Waits while the browser goes on."""
    until = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < until, what
        page.wait_for_timeout(30)


def score(page: Page, entry: str) -> Any:
    return page.locator("tbody tr", has=page.locator(".entry", has_text=entry)).locator(".score")


def hide(page: Page, hidden: bool) -> None:
    """What a tab sees when another is brought before it."""
    page.evaluate(
        "hidden => { Object.defineProperty(document, 'hidden', { value: hidden, configurable: true });"
        " document.dispatchEvent(new Event('visibilitychange')); }",
        hidden,
    )


def test_all_tabs_of_a_browser_share_one_stream(context: BrowserContext, server: HallServer) -> None:
    pages = [a_board(context, server) for _ in range(3)]
    waits_for(pages[0], lambda: server.watchers() == 1, "one stream")
    server.mark(taps(0, 3))
    for page in pages:
        expect(score(page, "Chalk Lines")).to_contain_text("168")
    pages[0].wait_for_timeout(500)
    assert server.watchers() == 1


def test_when_the_leading_tab_closes_or_hides_another_leads(context: BrowserContext, server: HallServer) -> None:
    first, second, third = (a_board(context, server) for _ in range(3))
    waits_for(first, lambda: server.watchers() == 1, "one stream")
    first.close()
    server.mark(taps(0, 1, 500))
    expect(score(second, "Chalk Lines")).to_contain_text("166", timeout=10_000)
    hide(second, True)
    server.mark(taps(0, 1, 501))
    expect(score(third, "Chalk Lines")).to_contain_text("167", timeout=10_000)
    hide(third, True)
    waits_for(third, lambda: server.watchers() == 0, "no stream while all are hidden")
    server.mark(taps(0, 1, 502))
    hide(second, False)
    expect(score(second, "Chalk Lines")).to_contain_text("168", timeout=10_000)
    waits_for(second, lambda: server.watchers() == 1, "one stream again")


def test_the_board_survives_a_restart_of_the_server_without_a_reload(context: BrowserContext, server: HallServer) -> None:
    page = a_board(context, server)
    waits_for(page, lambda: server.watchers() == 1, "a stream")
    server.stop()
    expect(page.locator("#board-line")).to_contain_text("No line to the desk", timeout=10_000)
    server.start()
    server.mark(taps(0, 4))
    expect(score(page, "Chalk Lines")).to_contain_text("169", timeout=10_000)
    expect(page.locator("#board-line")).to_be_hidden()
    assert page.evaluate("window.neverReloaded") is True


def test_a_board_without_a_place_asks_instead_and_says_nothing(browser: Browser, server: HallServer) -> None:
    """All tabs hear of what one asked for; when a place is free, there is a stream again."""
    server.fill(0)
    context = browser.new_context(viewport=WALL)
    first, second = a_board(context, server), a_board(context, server)
    for count in (166, 167):
        server.mark(taps(0, 1, 500 + count))
        for page in (first, second):
            expect(score(page, "Chalk Lines")).to_contain_text(str(count), timeout=10_000)
            expect(page.locator("#board-line")).to_be_hidden()
    assert server.watchers() == 0
    with context.new_page() as clock:
        with clock.expect_response("**/clock/now") as asked:
            clock.goto(f"{server.url}/clock")
        assert asked.value.status == 200
        first.wait_for_timeout(3500)  # longer than a page waits before it says that there is no line
        expect(clock.locator("#hall-line")).to_be_hidden()
    server.fill(2)
    waits_for(first, lambda: server.watchers() == 1, "a stream once there is a place", 45)
    server.mark(taps(0, 1, 900))
    expect(score(second, "Chalk Lines")).to_contain_text("168")
    context.close()


def test_a_first_connection_that_fails_is_tried_again(context: BrowserContext, server: HallServer) -> None:
    tries: list[str] = []

    def fail_twice(route: Any) -> None:
        tries.append(route.request.url)
        if len(tries) == 1:
            route.abort("connectionrefused")
        elif len(tries) == 2:
            route.fulfill(status=503, body="<p>not now</p>")
        else:
            route.continue_()

    context.route("**/board/stream*", fail_twice)
    page = a_board(context, server)
    server.mark(taps(0, 3))
    expect(score(page, "Chalk Lines")).to_contain_text("168", timeout=10_000)
    waits_for(page, lambda: len(tries) >= 3 and server.watchers() == 1, "a stream in the end")
    assert "not now" not in page.content()


@pytest.fixture
def wall(browser: Browser, server: HallServer) -> Iterator[Page]:
    """A board on a wall, with its errors gathered."""
    context = browser.new_context(viewport=WALL)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda said: errors.append(said.text) if said.type in ("error", "warning") else None)
    page.goto(server.url)
    yield page
    context.close()
    assert errors == []


def test_places_move_and_ties_are_shared(wall: Page, server: HallServer) -> None:
    places = wall.locator(".panel:not([hidden]) tbody tr .place span[aria-hidden]:first-child")
    expect(places).to_have_text(["=1", "=1", "3"])
    server.mark(taps(2, 120))
    expect(places).to_have_text(["1", "=2", "=2"])
    expect(wall.locator(".panel:not([hidden]) tbody tr .entry").first).to_have_text(LONG)
    expect(wall.locator(".panel:not([hidden]) .moved").first).to_have_text("▲2")


def test_the_floor_counts_and_tells_whose_turn_it_is(wall: Page, server: HallServer) -> None:
    server.mark(taps(3, 7))
    lane = wall.locator(".lane").nth(3)
    expect(lane.locator(".lane-now")).to_have_text("7")
    expect(lane.locator(".member[data-now]")).to_have_count(1)
    expect(wall.locator("#floor-now")).to_contain_text("A: Handstand shoulder taps")
    minutes, seconds = wall.locator("#floor-clock").inner_text().split(":")
    bell = server.hall.projection.runs[0].go_server_ms + FORMAT.windows[0].end_ms
    assert abs(int(minutes) * 60 + int(seconds) - (bell - this_machine().server_ms()) / 1000) < 1.5


def test_tabs_turn_by_themselves_and_stay_when_held(browser: Browser, server: HallServer) -> None:
    context = browser.new_context(viewport=WALL)
    page = context.new_page()
    page.clock.install()
    page.goto(server.url)
    chosen = page.get_by_role("tab", selected=True)
    expect(chosen).to_have_text("Open pairs")
    page.clock.run_for(12_500)
    expect(chosen).to_have_text("Masters pairs")
    page.get_by_role("button", name="Stay on this page").click()
    page.clock.run_for(40_000)
    expect(chosen).to_have_text("Masters pairs")
    page.get_by_role("button", name="Staying. Turn again").click()
    page.clock.run_for(12_500)
    expect(chosen).to_have_text("Open pairs")
    context.close()


def test_tabs_obey_the_keyboard_and_keep_through_updates(wall: Page, server: HallServer) -> None:
    wall.get_by_role("tab", name="Open pairs").focus()
    wall.keyboard.press("ArrowRight")
    expect(wall.get_by_role("tab", selected=True)).to_have_text("Masters pairs")
    server.mark(taps(4, 2))
    expect(score(wall, "Low Tide")).to_contain_text("2")
    expect(wall.get_by_role("tab", selected=True)).to_have_text("Masters pairs")
    expect(wall.get_by_role("tab", selected=True)).to_be_focused()


LOOKED_AT = ((WALL, "dark"), (WALL, "light"), (PHONE, "light"), ({"width": 1024, "height": 768}, "dark"))
# On a wide screen every lane is in the window, and no name lies on the count beside it.
CUT = """() => {
  if (!matchMedia('(min-width: 64rem)').matches) return [];
  const lanes = [...document.querySelectorAll('.lane')];
  const right = (lane) => Math.max(...[...lane.querySelectorAll('.fit-words')].map((one) => one.getBoundingClientRect().right));
  const over = (lane) => right(lane) > lane.querySelector('.lane-now').getBoundingClientRect().left + 1;
  return lanes.filter((lane) => over(lane) || lane.getBoundingClientRect().bottom > innerHeight).map((lane) => lane.textContent);
}"""


def test_the_board_fits_and_is_accessible(wall: Page) -> None:
    expect(wall.locator("#floor-now")).to_contain_text("Handstand shoulder taps")
    for size, scheme in LOOKED_AT:
        wall.set_viewport_size(size)  # type: ignore[arg-type]
        wall.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        assert wall.evaluate("document.documentElement.scrollWidth <= innerWidth"), "nothing sticks out sideways"
        assert wall.evaluate(CUT) == []
        assert [(*one, size, scheme) for one in broken_rules(wall)] == []
