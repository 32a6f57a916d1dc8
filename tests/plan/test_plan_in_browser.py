"""A plan in a real browser: made, looked at, published, changed late, on the wall; nothing sticks out, all can read it."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from app.rules.records.day import Break, DayRules, EventDay
from app.rules.records.document import CompetitionFile
from app.rules.records.judges import Judge
from tests.browser.hall_server import HallServer
from tests.browser.looking import QUICKLY, broken_rules
from tests.builders.pairs import a_file

pytestmark = [pytest.mark.browser, pytest.mark.timeout(240)]

SIZES = ((1024, 768), (768, 1024), (390, 844), (1920, 1080))
LONG = "The Forty Letter Chalk Dust Irregulars {}"


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    names = ([LONG.format(n) for n in range(1, 5)], [f"Pair {n}" for n in range(1, 5)])
    file = a_file(names, runs=0)
    judges = tuple(Judge(id=f"jdg_{n}", name=f"Judge {n} of the Long Northern Line") for n in range(1, 5))
    lunch = Break(name="Lunch", start="12:00", end="13:00", least=30)
    events = tuple(EventDay(event=event.id, last_lane=2, apart=False) for event in file.events)
    day = DayRules(start="09:00", end="23:00", breaks=(lunch,), events=events)
    return file.model_copy(update={"judges": judges, "day": day})


def sideways(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))


def test_a_plan_is_made_published_and_changed_late(page: Page, context: BrowserContext, server: HallServer) -> None:
    page.goto("/desk/plan")
    page.fill("#seconds", "3")
    page.get_by_role("button", name="Make a plan").click()
    # The page looks for itself whether the search is over.
    expect(page.get_by_role("heading", name="Draft plan")).to_be_visible(timeout=60_000)
    expect(page.get_by_text("Every rule is kept").first).to_be_visible()
    assert page.locator("#draft-day .picture-panel > rect:not([data-tone=break])").count() == 8  # eight entries, a lane each
    page.get_by_text(re.compile(r"All \d+ heats, lane by lane")).first.click()
    page.get_by_role("link", name="Keep choices").first.click()
    page.get_by_label("Keep this time").check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("1 choice is kept in every plan.")).to_be_visible()
    page.get_by_role("button", name="Publish as the heats").click()
    expect(page.get_by_role("heading", name="Published")).to_be_visible()
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        assert not sideways(page), f"{width} x {height}"
    assert broken_rules(page, QUICKLY) == []

    page.get_by_role("link", name="Late change").click()
    page.get_by_label("Next heat not before").fill("09:11")
    page.get_by_text("Who has withdrawn").click()
    page.get_by_label(LONG.format(1)).check()
    page.get_by_role("button", name="Preview the moves").click()
    expect(page.get_by_role("heading", name="Moves to be made")).to_be_visible(timeout=60_000)
    expect(page.get_by_text(f"{LONG.format(1)} leaves heat")).to_be_visible()
    assert broken_rules(page, QUICKLY) == []
    page.get_by_role("button", name=re.compile("Make these .* moves")).click()
    expect(page.get_by_role("button", name=re.compile("Undo: Late change"))).to_be_visible()
    roster = server.hall.projection.roster
    assert roster is not None and min(heat.planned for heat in roster.heats) == "09:11"
    page.get_by_role("button", name=re.compile("Undo: Late change")).click()
    expect(page.get_by_role("button", name=re.compile("Undo: Published"))).to_be_visible()
    roster = server.hall.projection.roster
    assert roster is not None and min(heat.planned for heat in roster.heats) == "09:00"


def test_the_timetable_fits_every_screen_and_can_be_printed(page: Page, server: HallServer) -> None:
    for path in ("/timetable", "/timetable?by=athletes", "/timetable?by=judges", "/timetable/hall"):
        page.goto(path)
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            assert not sideways(page), f"{path}, {width} x {height}"
        assert broken_rules(page, QUICKLY) == [], path
    page.goto("/timetable")
    page.emulate_media(media="print")
    expect(page.get_by_label("Name of an athlete, entry, club or judge")).to_be_hidden()
    assert page.locator(".time-line").count() >= 4
