"""Two whole disputes in a real browser: from a flag, and from an athlete's protest, to a changed place and the sign-off."""

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.rules.records.document import CompetitionFile
from app.rules.records.marks import parse_mark
from tests.browser.fixtures import desk_session
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import broken_rules
from tests.browser.people import PATIENCE_MS, PHONE, TABLET
from tests.builders.pairs import FORMAT, SQUAT, TAPS, a_file, a_mark

pytestmark = pytest.mark.browser
LONG = "Saturday Morning Irregulars of the Barns"
MINUTE = 60_000


def the_meet() -> CompetitionFile:
    """Three entries over five minutes ago. The second marked two taps after the bell, the third missed a heavier squat."""
    file = a_file((("Chalk Lines", "Iron Larks", LONG),), done=((6, 9, 100), (7, 7, 100), (6, 8, 100)))
    late = FORMAT.windows[TAPS[0]].end_ms + FORMAT.late_ms
    squat = FORMAT.windows[SQUAT[0]].start_ms + 50_000
    said = {"load": {"amount": "105", "unit": "kg"}}
    extra = [a_mark("asg_1", 900 + n, "rep", late + 700 * n, TAPS[0]) for n in (1, 2)]
    extra.append(a_mark("asg_2", 900, "lift", squat, SQUAT[0], **said, good=False, fault="depth"))
    went = int(time.time() * 1000) - FORMAT.length_ms - 5 * MINUTE
    runs = tuple(run.model_copy(update={"go_wall_ms": went, "boot": "another"}) for run in file.runs)
    return file.model_copy(update={"marks": (*file.marks, *map(parse_mark, extra)), "runs": runs})


@pytest.fixture
def server(tmp_path: Path) -> Iterator[HallServer]:
    with served(tmp_path, the_meet()) as running:
        yield running


@pytest.fixture
def judge(browser: Browser, server: HallServer) -> Iterator[Page]:
    """The head judge's tablet, logged in; an error on it fails the test."""
    desk = desk_session(server.url)
    context = browser.new_context(viewport=TABLET, base_url=server.url, storage_state=desk, has_touch=True)  # type: ignore[arg-type]
    page, troubles = opened(context)
    page.goto("/review")
    expect(page.get_by_role("heading", level=1)).to_contain_text("To look at")
    yield page
    assert troubles == []
    context.close()


def opened(context: BrowserContext) -> tuple[Page, list[str]]:
    page, troubles = context.new_page(), []
    page.set_default_timeout(PATIENCE_MS)
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("console", lambda said: troubles.append(said.text) if "Security Policy" in said.text else None)
    return page, troubles


def fits(page: Page) -> None:
    """Nothing sticks out sideways, at a tablet's and a phone's width, and nothing is hard to use for anybody."""
    for size in (PHONE, TABLET):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), size
    assert broken_rules(page) == []


def rule(page: Page, why: str) -> None:
    page.fill("#decide [name=by]", "Ruth Abel")
    page.fill("#decide [name=why]", why)
    page.get_by_role("button", name="Make this ruling").click()
    expect(page.locator("#made")).to_contain_text("Ruling made.")


def sign_off(page: Page) -> None:
    page.goto("/review/results")
    page.get_by_text("What is still open").click()
    for field in page.locator("#event-evt .obstacles input").all():
        field.fill("Agreed with both judges")
    page.locator("#sign-by-evt").fill("Ruth Abel")
    fits(page)
    page.get_by_role("button", name="Leave these out and sign Turns off").click()
    expect(page.locator("#event-evt")).to_contain_text("Signed off by Ruth Abel, for the desk, but for")
    expect(page.locator("#event-evt .left-out")).to_contain_text("Agreed with both judges")
    fits(page)


def standing(server: HallServer) -> list[tuple[str, Any, str]]:
    (table,) = server.hall.projection.event_results("evt").tables
    return [(row.entry.name, row.place, row.score.text if row.score else "") for row in table.rows]


def test_marks_after_the_bell_are_counted_by_ruling_and_the_event_is_signed_off(judge: Page, server: HallServer) -> None:
    assert standing(server)[:2] == [("Chalk Lines", 1, "175"), ("Iron Larks", 2, "174")]
    fits(judge)
    judge.get_by_role("link", name="Outside every window").click()
    expect(judge.locator("#flag-said")).to_contain_text("2 marks: Marked outside every window")
    expect(judge.locator(".strip-dot[data-named]")).to_have_count(2)
    expect(judge.locator(".option")).to_contain_text("176 points, place 1")
    expect(judge.locator(".option")).to_contain_text("Chalk Lines: 1 → 2")
    fits(judge)
    rule(judge, "The judge's bell was late; both were begun in time")
    assert standing(server)[:2] == [("Iron Larks", 1, "176"), ("Chalk Lines", 2, "175")]
    expect(judge.locator(".back a[data-focus]")).to_be_focused()
    expect(judge.locator("#said")).to_contain_text("Ruling made. Iron Larks now:")
    judge.keyboard.press("b")
    judge.wait_for_url("**/review")
    expect(judge.locator(".queue").first).not_to_contain_text("Iron Larks Turns, heat 1, lane 2, Window 1")
    sign_off(judge)
    judge.goto("/results/evt/score/ent_0_1")
    expect(judge.locator("main")).to_contain_text("Ruled by Ruth Abel: The judge's bell was late; both were begun in time")
    expect(judge.locator("main")).to_contain_text("Signed off by Ruth Abel")


def test_a_protest_by_the_athletes_own_link_is_ruled_on_answered_and_signed_off(
    judge: Page, server: HallServer, browser: Browser
) -> None:
    judge.goto("/review/links")
    address = judge.locator(".slip", has_text=LONG).locator("img").get_attribute("alt") or ""
    path = address[address.index("/protest/") :]
    context = browser.new_context(viewport=PHONE, base_url=server.url, has_touch=True)  # type: ignore[arg-type]
    phone, troubles = opened(context)
    phone.goto(path)
    expect(phone.locator("main")).to_contain_text("174 points, place 2, shared")
    fits(phone)
    phone.fill("[name=text]", "The squat at 105 kg was deep enough")
    phone.get_by_role("button", name="File protest").click()
    expect(phone.get_by_role("status")).to_contain_text("Your protest is filed.")

    judge.goto("/review/results")
    expect(judge.locator("#event-evt")).to_contain_text("Provisional: a protest is open")
    fits(judge)
    judge.get_by_role("link", name=LONG).click()
    expect(judge.locator(".protest-text")).to_contain_text("105 kg was deep enough")
    judge.get_by_role("link", name="Look at the marks and rule").click()
    form = judge.get_by_role("form", name="A lift")
    option = form.locator("[name=mark] option", has_text="105 kg").first.get_attribute("value")
    form.locator("[name=mark]").select_option(option)
    form.get_by_role("button", name="Show what it changes").click()
    expect(judge.locator(".option")).to_contain_text("179 points, place 1")
    rule(judge, "Seen again on the second judge's side: deep enough")
    assert standing(server)[0] == (LONG, 1, "179")

    judge.goto("/review/results")
    judge.get_by_role("link", name=LONG).click()
    judge.select_option("[name=decision]", "upheld")
    judge.fill("[name=why]", "The lift is good")
    judge.get_by_role("button", name="Send answer").click()
    expect(judge.locator("#protests")).to_contain_text("Upheld")
    sign_off(judge)
    phone.reload()
    expect(phone.locator("main")).to_contain_text("Ruth Abel: The lift is good")
    expect(phone.locator("main")).to_contain_text("179 points, place 1")
    assert troubles == []
    context.close()
