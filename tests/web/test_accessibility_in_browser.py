"""Every page, in every state it has: it fits every screen, and on both grounds there is nothing that axe-core calls grave.

The lane and call screens are looked at in test_screens_fit_in_browser.py, at every moment of a heat.
"""

from pathlib import Path

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.live.servertime import this_machine
from app.rules.records.document import CompetitionFile
from app.server import create_app
from app.settings import Settings
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import found_on, sideways_at
from tests.browser.moments import a_heat_of_everything
from tests.browser.people import PHONE, WALL, Desk, Hall, a_hall
from tests.web.ways import whole_pages

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(180)]

DESK_PAGES = (
    *(
        "/desk",
        "/desk/setup",
        "/desk/competition",
        "/desk/divisions",
        "/desk/classes",
        "/desk/people",
        "/desk/entries",
        "/desk/entries/new",
    ),
    *("/desk/entries/ent_0_0", "/desk/entries/paste", "/desk/events", "/desk/events/new", "/desk/events/evt", "/desk/heats"),
    *("/desk/events/blank", "/desk/events/new/mirrored_pair", "/desk/events/evt/dry-run", "/desk/events/evt/variants"),
    *(
        "/desk/heats/new",
        "/desk/heats/heat_1/lanes",
        "/desk/overall",
        "/desk/cut",
        "/desk/tablets",
        "/desk/tablets/coach",
        "/desk/way-in",
    ),
    *("/desk/walls", "/desk/round/kit"),
    *("/desk/password", "/desk/done", "/desk/workout", "/desk/events/evt/text"),
    *("/desk/backups", "/desk/backups/totals?lane=asg_0"),
    *("/desk/plates", "/desk/plates/set_1?load=226", "/desk/plates/set_1?load=226.5"),
    *("/desk/events/evt/openers", "/desk/judges", "/desk/judges/paste", "/desk/plan", "/desk/plan/late", "/desk/plan/rules"),
    *("/desk/lanes/asg_0/calls", "/desk/halls", "/review", "/review/enter", "/review/judges", "/review/lanes/asg_0"),
    *("/review/links", "/review/password", "/review/results", "/review/trail"),
)
# Pages of everybody, looked at from the desk's browser.
PUBLIC_PAGES = (
    *(
        "/wall",
        "/follow",
        "/follow/ent_0_0",
        "/announcer",
        "/warm-up",
        "/announcer/evt/sheet",
        "/halls",
        "/podium",
        "/results/evt",
        "/pictures/evt",
        "/pictures/evt/heat_1",
        "/timetable",
    ),
    "/timetable/hall",
)
# Pages that between them hold every part and every tone that the others are made of.
ON_LIGHT_TOO = {
    *("/desk", "/desk/setup", "/desk/entries", "/desk/events/evt", "/desk/plates/set_1?load=226.5", "/desk/plan", "/desk/halls"),
    *("/review", "/review/lanes/asg_0", "/results/evt", "/pictures/evt", "/podium", "/timetable"),
}
RESULTS = {"/results", "/results/{event}/{score}/{entry}", "/overall/{division}/{entry}"}  # test_standings looks at them
COMPARED = {  # test_video looks at them
    *("/review/video", "/review/compare", "/review/compare/{assignment}", "/review/compare/judges", "/review/compare/judges/one"),
}
ON_PAPER = {  # test_paper looks at them
    *("/brief", "/brief/{event}", "/brief/{event}/{variant}", "/desk/paper", "/desk/paper/key", "/desk/paper/key/{assignment}"),
    *("/desk/paper/{event}/sheets", "/desk/paper/{event}/heats"),
}
PRACTICE = {"/train", "/train/set", "/train/result/{key}", "/ten", "/desk/practice"}  # test_train looks at them
# Looked at by test_entering_in_browser.py.
ENTERING = {
    *("/desk/checkin", "/desk/checkin/{key}", "/desk/entries/file"),
    *("/desk/events/{key}/markings", "/desk/events/{key}/markings/sheets"),
}
# test_disputes, test_plan and test_first_heat look at these, which need a token, a plan of their own or an empty hall; a judge's
# form is that of a new one.
WITH_A_KEY = {
    "/desk/begin/{key}",
    "/protest/{token}",
    "/review/protests/{protest}",
    "/desk/plan/heats/{event}/{group}",
    "/desk/judges/{key}",
    "/desk/tablets/{device_id}/lifters",
}
ROUND = {
    "/demo/round",
    "/round",
    "/desk/round",
    "/desk/round/kit",
    "/look/{token}",
    "/claim/{token}",
}
GYM = {"/desk/round/gym", "/desk/round/gym/hand-in"}  # test_round_in_browser looks at them
SEEN_ELSEWHERE = (
    ENTERING
    | GYM
    | ROUND
    | WITH_A_KEY
    | {
        "/",
        "/trust",
        "/board",
        "/clock",
        "/pair",
        "/lane",
        "/call",
        "/coach",
        "/platform",
        "/platform/call",
        "/desk/enter",
        "/demo",
    }
    | {"/entries/{entry}/picture"}  # an image
    | RESULTS
    | COMPARED
    | ON_PAPER
    | PRACTICE
)


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return a_heat_of_everything()


@pytest.fixture(scope="module")
def tab(context: BrowserContext) -> Page:
    """Into this tab axe-core is not sent page by page: it is there when a page begins."""
    page = context.new_page()
    page.add_init_script(AXE_SCRIPT)
    return page


def test_every_page_that_the_server_has_is_looked_at_here(tmp_path: Path) -> None:
    app = create_app(Settings(data=tmp_path, demo=True, open_browser=False), this_machine())
    keys = {"ent_0_0": "{key}", "evt": "{key}", "heat_1": "{key}", "set_1": "{key}", "mirrored_pair": "{preset}"}
    keys["asg_0"] = "{assignment}"
    paths = {path.partition("?")[0] for path in (*DESK_PAGES, *PUBLIC_PAGES)}
    looked_at = {"/".join(keys.get(part, part) for part in path.split("/")) for path in paths}
    named = {"/results/{key}": "/results/{event}", "/follow/{key}": "/follow/{entry}"}
    named |= {"/announcer/{key}/sheet": "/announcer/{event}/sheet"}
    named |= {"/pictures/{key}": "/pictures/{event}", "/pictures/{key}/{key}": "/pictures/{event}/{heat}"}
    looked_at = {named.get(path, path) for path in looked_at}
    assert set(whole_pages(app)) == looked_at | SEEN_ELSEWHERE


@pytest.mark.parametrize("path", [*DESK_PAGES, *PUBLIC_PAGES])
def test_the_pages_of_the_desk_fit_every_screen_and_are_for_everybody(page: Page, path: str) -> None:
    answer = page.goto(path)
    assert answer is not None and answer.status == 200
    assert page.title() and page.locator("h1").count() == 1
    assert sideways_at(page) == []
    assert found_on(page, light=path in ON_LIGHT_TOO) == []


def test_a_page_that_is_not_there(desk: Desk) -> None:
    page = desk.open("/no/such/page")
    assert page.locator("h1").count() == 1 and sideways_at(page) == []
    assert found_on(page, light=False) == []


def test_an_announcers_sheet_is_no_wider_than_a_phone(page: Page) -> None:
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    page.goto("/announcer/evt/sheet")
    assert page.locator(".paper-pages").evaluate("(one) => one.scrollWidth - one.clientWidth") <= 0


def test_the_lanes_of_the_desk_are_whole_between_the_day_and_what_needs_a_person(desk: Desk) -> None:
    page = desk.open("/desk")
    page.set_viewport_size({"width": 1280, "height": 800})
    # As full as a heat of lifts has them.
    said = {"judge": "Rafe Underhill-Castellanos", "now": "137.5 kg", "score": "412.5 kg", "last": "No lift 137.5 kg at 3:17"}
    for cell, words in said.items():
        page.locator(f".lanes .lane-{cell}").evaluate_all(
            "(cells, words) => cells.forEach((one) => (one.textContent = words))", words
        )
    lanes = page.locator(".lanes-scroll")
    assert lanes.evaluate("(one) => one.scrollWidth - one.clientWidth") <= 0


def test_forms_that_were_filled_wrongly(desk: Desk) -> None:
    page = desk.open("/desk/competition")
    page.get_by_label("Name", exact=True).fill("")
    desk.press("Save")
    expect(page.locator("#problems")).to_be_visible()
    assert found_on(page) == []
    page = desk.open("/desk/events/new/for_time")
    page.get_by_label("The time cap").fill("ten")
    desk.press("Make this event")
    expect(page.locator("#problems")).to_be_visible()
    assert found_on(page) == []
    page = desk.open("/desk/events/evt")
    page.get_by_label("Window 1 length").fill("0:01")
    desk.press("Save the event")
    expect(page.locator("#recount")).to_be_visible()
    assert found_on(page) == []
    page = desk.open("/desk/entries/paste")
    page.get_by_label("Lines").fill("No such division; Somebody")
    desk.press("Preview")
    expect(page.get_by_text("To fix", exact=True)).to_be_visible()
    assert found_on(page) == []


def test_an_invitation_and_the_page_that_takes_it(hall: Hall, desk: Desk) -> None:
    invited = desk.invite(2)
    assert found_on(desk.page) == []
    page = hall.come(PHONE).page
    page.goto(f"{hall.url}/pair")
    page.get_by_label("The code on the desk's screen").fill("000 000")
    page.get_by_role("button", name="Continue").click()
    expect(page.get_by_role("alert")).to_be_visible()
    assert found_on(page) == []
    page.get_by_label("The code on the desk's screen").fill(invited.code)
    page.get_by_role("button", name="Continue").click()
    expect(page.get_by_role("button", name="Pair it")).to_be_visible()
    assert found_on(page) == []


def test_the_desks_door_before_and_after_it_has_a_password(browser: Browser, tmp_path: Path) -> None:
    with served(tmp_path / "empty", None) as server, a_hall(browser, server.url) as hall:
        board = hall.watch()
        assert found_on(board) == [], "a board of nothing yet"
        visitor = hall.come().page
        visitor.goto(f"{server.url}/desk/enter")
        assert found_on(visitor) == []
        desk = hall.desk()
        assert found_on(desk.open("/desk")) == [], "the first thing to do"
        assert found_on(desk.open("/desk/setup")) == []
        visitor.goto(f"{server.url}/desk/enter")
        visitor.get_by_label("Password").fill("not the password")
        visitor.get_by_role("button", name="Log in").click()
        expect(visitor.get_by_role("alert")).to_be_visible()
        assert found_on(visitor) == []


def test_the_pages_of_the_demo(browser: Browser, tmp_path: Path) -> None:
    with served(tmp_path / "demo", None, demo=True) as server, a_hall(browser, server.url) as hall:
        page = hall.watch()
        expect(page.locator(".demo-banner")).to_be_visible()
        assert found_on(page) == []
        page.goto(f"{server.url}/demo")
        assert found_on(page) == []
        the_pages_of_a_round(page, server.url)


def the_pages_of_a_round(page: Page, url: str) -> None:
    """The demo's round: its seats, a look at a film of the drawn figure, headquarters, and what everybody sees."""
    page.goto(f"{url}/demo/round")
    page.get_by_role("button", name="Begin the round").click()
    expect(page.get_by_text("Next at headquarters")).to_be_visible()
    assert found_on(page) == []
    password = page.locator("strong.said").inner_text()
    page.get_by_role("link", name="Athlete").click()
    expect(page.get_by_text("Claimed: 26.")).to_be_visible()
    assert found_on(page) == []
    page.go_back()
    page.get_by_role("link", name="Reviewer Ansel Poole").click()
    page.get_by_role("button", name="Next film").click()
    press, picture = page.locator("[data-role=look-rep]"), page.locator("[data-role=film-picture]")
    expect(press).to_be_enabled()
    expect(page.locator("[data-role=same-film]")).to_contain_text("the film that was handed in")
    for at in (9.0, 10.5, 12.5):  # GO, and two moments after it
        picture.evaluate("(film, at) => (film.currentTime = at)", at)
        page.get_by_role("button", name="GO is here").click() if at == 9.0 else press.press("Enter")
    expect(page.get_by_label("Repetitions that count").first).to_have_value("2")
    assert page.locator("[name=reps-0]").input_value() == "10500 12500"
    assert found_on(page) == []
    page.reload()
    expect(page.locator("[data-role=look-count]")).to_have_text("2")
    page.get_by_label("Repetitions that count").nth(1).fill("3")
    page.get_by_label("This is what I saw").check()
    page.get_by_role("button", name="Seal this look").click()
    expect(page.get_by_text("Sealed by you so far: 1.")).to_be_visible()
    assert found_on(page) == []
    page.goto(f"{url}/desk/enter?next=/desk/round")
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", name="Films to look at")).to_be_visible()
    assert found_on(page) == []
    for path in ("/desk/round/kit", "/round"):
        page.goto(f"{url}{path}")
        assert found_on(page) == []


def test_a_screen_that_is_not_paired(hall: Hall) -> None:
    page = hall.come().page
    for path in ("/lane", "/call", "/coach", "/platform", "/platform/call"):
        page.goto(f"{hall.url}{path}")
        expect(page.get_by_role("link", name="Pair this tablet")).to_be_visible()
        assert found_on(page) == []


def test_the_board_in_mid_heat(server: HallServer, hall: Hall, desk: Desk) -> None:
    desk.go("Heat 1")
    assert found_on(desk.page) == [], "the desk with a heat on the floor"
    for size in ({"width": 1920, "height": 1080}, PHONE):
        board = hall.watch(size)
        expect(board.locator("#floor-now")).not_to_be_empty()
        assert found_on(board) == []


def test_the_hall_clock_between_heats_and_in_one_and_while_it_is_held(server: HallServer, hall: Hall, desk: Desk) -> None:
    pages = [hall.come(size, touch=False).page for size in (WALL, PHONE)]
    desk.open("/desk")
    for page in pages:
        page.goto(f"{server.url}/clock")
        expect(page.locator("#hall-now")).to_contain_text("A: ")
        assert found_on(page) == []
    desk.press("Hold")
    expect(desk.page.locator("#desk-window")).to_have_text("Held: the clock is stopped")
    assert found_on(desk.page) == [], "the desk with a held heat"
    for page in pages:
        expect(page.locator("#hall-label")).to_have_text("Held")
        assert found_on(page) == []
    desk.page.locator("#move-abort summary").click()
    desk.page.locator("#move-abort").get_by_role("button", name="Abort").click()
    for page in pages:
        expect(page.locator("#hall-next")).to_have_text("Heat 1 was stopped.")
        assert found_on(page) == []
