"""From nothing to the first heat through the pages, with every click counted."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from app.rules.records.platforms import heats_at_platforms
from tests.browser.hall_server import HallServer
from tests.browser.looking import found_on, sideways_at
from tests.browser.people import LAPTOP, PASSWORD, a_hall

pytestmark = [pytest.mark.browser, pytest.mark.timeout(120)]

MOST_CLICKS, MOST_CLICKS_OF_A_MEET = 12, 10
NAMES = [
    f"{given} {family}"
    for given in ("Ana", "José", "Mira", "Tove", "Noor")
    for family in ["Ek", "Lind", "Moor", "Hart", "Vale", "Brook", "Stone", "Reed"]
]
LIST = "Division;Name;Club\n" + "".join(f"{('Women', 'Men')[n % 2]};{name};Quay Barbell\n" for n, name in enumerate(NAMES))
LIST_OF_A_MEET = "Division;Name;Bodyweight;Opener, Back squat\n" + "".join(
    f"{('Women', 'Men')[n % 2]};{name};{60 + n} kg;{90 + n} kg\n" for n, name in enumerate(NAMES[:24])
)
WORKOUT = "Harbour Steps\n4 rounds for time, cap 12: 250 m row, 18 lunges, 12 dips"
# A click that a person makes is trusted; those that scripts make are not. Enter in a field presses a button, and counts as well.
COUNT = "document.addEventListener('click', (event) => { if (event.isTrusted) window.counted(); }, true);"


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[HallServer]:
    running = HallServer(tmp_path / "data")
    running.start()
    yield running
    running.stop()


def press(page: Page, words: str) -> None:
    """Presses a button of the page by its whole name."""
    page.get_by_role("button", name=words, exact=True).first.click()


def go_on(page: Page, words: str) -> None:
    """Presses the one button of the day's list, which names what is next."""
    following = page.locator(".day-next a")
    expect(following).to_have_text(f"Next: {words}")
    following.click()


def test_forty_names_and_a_pasted_workout_are_a_dozen_clicks_from_the_first_go(
    browser: Browser, fresh: HallServer, tmp_path: Path
) -> None:
    (tmp_path / "entries.csv").write_text(LIST, encoding="utf-8")
    clicks: list[str] = []
    with a_hall(browser, fresh.url) as hall:
        page = hall.come(LAPTOP, touch=False).page
        page.expose_function("counted", lambda: clicks.append(page.url))
        page.add_init_script(COUNT)
        page.goto(f"{fresh.url}/desk")
        page.get_by_label("Password", exact=True).fill(PASSWORD)
        page.get_by_label("Repeat the password").fill(PASSWORD)
        press(page, "Set password")
        page.get_by_label("Name", exact=True).fill("Harbour Hall Open")
        press(page, "Save")
        go_on(page, "Entries")
        with page.expect_file_chooser() as chosen:
            page.get_by_label("CSV file").click()
        chosen.value.set_files(tmp_path / "entries.csv")
        press(page, "Save all")
        go_on(page, "Events")
        page.get_by_label("The workout").fill(WORKOUT)
        expect(page.locator("#look")).to_contain_text("250 m")
        press(page, "Make this event")
        go_on(page, "Plan")
        page.get_by_label("Search for").fill("1")
        press(page, "Make a plan")
        press(page, "Publish as the heats")
        go_on(page, "Harbour Steps, heat 1")
        page.locator("#move-go button").click()
        expect(page.locator("#hand")).to_have_attribute("data-state", "set")
    roster = fresh.hall.projection.roster
    assert sorted(entry.name for entry in roster.entries) == sorted(NAMES)
    assert {lane.entry for heat in roster.heats for lane in heat.lanes} == {entry.id for entry in roster.entries}
    assert len(clicks) <= MOST_CLICKS, clicks


def test_a_lifting_meet_is_ten_clicks_from_a_list_and_where_it_begins_fits_every_screen(
    browser: Browser, fresh: HallServer, tmp_path: Path
) -> None:
    (tmp_path / "lifters.csv").write_text(LIST_OF_A_MEET, encoding="utf-8")
    clicks: list[str] = []
    with a_hall(browser, fresh.url) as hall:
        page = hall.come(LAPTOP, touch=False).page
        page.expose_function("counted", lambda: clicks.append(page.url))
        page.add_init_script(COUNT)
        page.goto(f"{fresh.url}/desk")
        page.get_by_label("Password", exact=True).fill(PASSWORD)
        page.get_by_label("Repeat the password").fill(PASSWORD)
        press(page, "Set password")
        for path in ("/desk/competition", "/desk/setup", "/desk/begin/meet"):
            page.goto(f"{fresh.url}{path}")
            assert sideways_at(page) == []
            assert found_on(page) == []
        page.goto(f"{fresh.url}/desk")
        page.get_by_role("link", name="A lifting meet on one platform").click()
        page.get_by_label("Name of the competition").fill("Quayside Open")
        press(page, "Start with this day")
        go_on(page, "Entries")
        with page.expect_file_chooser() as chosen:
            page.get_by_label("CSV file").click()
        chosen.value.set_files(tmp_path / "lifters.csv")
        press(page, "Save all")
        go_on(page, "Plan")
        page.get_by_label("Search for").fill("1")
        press(page, "Make a plan")
        press(page, "Publish as the heats")
        expect(page.locator(".day-next a")).to_have_text("Next: The Three Lifts, heat 1")
    roster = fresh.hall.projection.roster
    assert sorted(len(heat.lanes) for heat in roster.heats) == [12, 12] and heats_at_platforms(roster) == roster.heats
    assert {task.judges for task in roster.events[0].format.tasks.values()} == {3} and len(roster.openers) == 24
    assert len(clicks) <= MOST_CLICKS_OF_A_MEET, clicks


def test_pages_that_are_everybodys_lead_back_to_the_list_in_the_organisers_browser_alone(
    browser: Browser, fresh: HallServer
) -> None:
    with a_hall(browser, fresh.url) as hall:
        desk, spectator = hall.desk(), hall.come(LAPTOP, touch=False).page
        desk.send("/desk/competition", name="Harbour Hall Open", unit="kg")
        desk.open("/desk/setup")
        for path in ("/board", "/timetable", "/brief", "/results"):
            back = desk.open(path).get_by_role("link", name="To the desk")
            back.click()
            expect(desk.page.get_by_role("heading", name="Checklist")).to_be_visible()
            spectator.goto(f"{fresh.url}{path}")
            assert spectator.get_by_role("link", name="To the desk").count() == 0, path
        desk.press("Log out")
        assert desk.open("/timetable").get_by_role("link", name="To the desk").count() == 0
