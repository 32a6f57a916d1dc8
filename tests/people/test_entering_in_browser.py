"""Before the day in a real browser: a list taken in, check-in on a phone, markings on screen and paper, the lane's wall lines."""

from io import BytesIO
from typing import Any

import pypdf
import pytest
from playwright.sync_api import Browser, Page, expect

from app.rules.records.document import CompetitionFile
from tests.browser.hall_server import HallServer
from tests.browser.looking import QUICKLY, broken_rules
from tests.builders.slate_day import the_slate_day

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}
SIZES = (PHONE, {"width": 768, "height": 1024}, {"width": 1024, "height": 768}, {"width": 1920, "height": 1080})
SLOW_MS = 15_000
LONG = "The Forty Letter Chalk Dust Sisterhood 4"
LIST = f"""Id;Division;Team;Athlete A;Club A;Athlete B;Club B
1;Open pairs;{LONG};Zoë Ångström;Quay;Bo Lind;Quay
2;Open pears;Oak;Ann;;Ben;
"""


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return the_slate_day(("10:00", "10:30", "11:00"))


@pytest.fixture
def phone(page: Page) -> Page:
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    return page


def fits(page: Page) -> bool:
    """Whether nothing makes the page scroll sideways."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))


def test_a_list_is_looked_at_mended_on_the_page_stored_and_taken_back(phone: Page, server: HallServer) -> None:
    page = phone
    page.goto("/desk/entries/file")
    page.set_input_files("#file", {"name": "list.csv", "mimeType": "text/csv", "buffer": LIST.encode("utf-16")})
    expect(page.locator("#problems")).to_contain_text("Row 3: There is no division Open pears.")
    expect(page.get_by_text("read as UTF-16")).to_be_visible()
    assert fits(page)
    page.locator("#text").fill(page.locator("#text").input_value().replace("pears", "pairs"))
    page.get_by_role("button", name="Preview again").last.click()
    expect(page.locator(".tallies")).to_contain_text("2 added")
    page.get_by_role("button", name="Save all").click()
    expect(page.get_by_role("status")).to_contain_text("Saved.")
    assert LONG in {entry.name for entry in server.hall.projection.roster.entries}  # type: ignore[union-attr]
    page.get_by_role("button", name="Undo this import").click()
    expect(page.get_by_role("status")).to_contain_text("The import is undone.")
    assert LONG not in {entry.name for entry in server.hall.projection.roster.entries}  # type: ignore[union-attr]


def test_check_in_on_a_phone_finds_while_typing_and_another_door_sees_it(phone: Page) -> None:
    one, other = phone, phone.context.new_page()
    for page in (one, other):
        page.goto("/desk/checkin")
    one.locator("#q").press_sequentially("ostby")
    expect(one.locator(".door-row")).to_have_count(1)
    one.get_by_role("button", name="Here: Lena Østby").tap()
    one.get_by_role("button", name="Waiver seen: Lena Østby").tap()
    expect(one.get_by_role("button", name="Undo: Here, Lena Østby")).to_be_visible()
    expect(one.locator("#q")).to_have_value("ostby")
    expect(other.locator(".door-counts")).to_contain_text("1 of 24 here", timeout=SLOW_MS)
    one.get_by_role("button", name="Undo: Here, Lena Østby").tap()
    expect(one.locator(".door-counts")).to_contain_text("0 of 24 here")
    one.get_by_role("link", name="Lena Østby").click()
    one.get_by_label("Reach to the wrists").fill("20.2")
    one.get_by_role("button", name="Save").last.click()
    expect(one.locator(".wrong").first).to_contain_text("can't be a reach")
    one.get_by_label("Reach to the wrists").fill("202")
    one.get_by_role("button", name="Save").last.click()
    expect(one.locator(".door-said")).to_contain_text("Wall line, Turn about: 194 cm (76.4 in)")
    one.get_by_role("button", name="Undo", exact=True).click()
    expect(one.locator(".door-said")).not_to_contain_text("194 cm")
    other.close()


@pytest.mark.parametrize(
    "path", ["/desk/checkin", "/desk/checkin/ath_6a", "/desk/entries/file", "/desk/events/evt_turns/markings"]
)
def test_the_pages_fit_every_screen_and_are_for_everybody(phone: Page, path: str) -> None:
    page = phone
    page.goto(path)
    for size in SIZES:
        page.set_viewport_size(size)  # type: ignore[arg-type]
        assert fits(page), size
    assert broken_rules(page, QUICKLY) == []


def test_the_sheets_are_one_page_for_each_lane(phone: Page) -> None:
    page = phone
    page.goto("/desk/events/evt_turns/markings/sheets?per=lane")
    assert fits(page)
    printed = pypdf.PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    texts = [one.extract_text() for one in printed.pages]
    assert len(texts) == 12
    assert "Lane 2" in texts[1] and "Chalk & Cheese" in texts[1] and "Cy Marlow" in texts[1]
    assert all("Choose a role" not in text and "Back to markings" not in text for text in texts)


def test_the_judge_measures_the_wall_line_again_and_the_desk_hears_of_it(
    browser: Browser, server: HallServer, session: Any
) -> None:
    judge = browser.new_context(viewport={"width": 768, "height": 1024}, base_url=server.url, has_touch=True)
    page = judge.new_page()
    page.request.post("/pair", data={"token": server.token(2)}, headers={"Origin": server.url})
    page.goto("/lane")
    right = page.locator("[data-role=wall-right-1]")
    expect(right).to_be_visible(timeout=SLOW_MS)
    assert right.evaluate("button => button.offsetHeight") >= 72 and fits(page)
    right.tap()
    expect(page.locator("[data-role=wall-state-1]")).to_have_text("Measured again: correct")
    page.locator("[data-role=wall-type-2]").tap()
    assert page.evaluate("document.documentElement.scrollHeight <= innerHeight")  # only the list of checks scrolls
    for key in "229.5":
        page.locator(f".wall-pad [data-key='{key}']").tap()
    page.locator("[data-role=wall-record]").tap()
    expect(page.locator("[data-role=wall-state-2]")).to_contain_text("Your tape: 229.5 cm (90.4 in). Call the head judge.")
    desk = browser.new_context(base_url=server.url, storage_state=session)
    seen = desk.new_page()
    seen.goto("/desk")
    expect(seen.get_by_text("Dot Penhale's wall line: 229.5 cm (90.4 in) measured on the lane")).to_be_visible(timeout=SLOW_MS)
    page.locator("[data-role=wall-back-2]").tap()
    expect(seen.get_by_text("Dot Penhale's wall line: 229.5 cm")).to_have_count(0, timeout=SLOW_MS)
    desk.close()
    judge.close()
