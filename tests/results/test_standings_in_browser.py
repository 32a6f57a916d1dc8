"""Standings in a real browser: explanations for everybody, the desk's pages of them, and a second counter beside the judge."""

import re
import time
from fractions import Fraction

import pytest
from playwright.sync_api import Browser, Page, expect

from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Event
from app.rules.workout.formats import Window
from tests.browser.hall_server import HallServer
from tests.browser.looking import broken_rules, faint_texts
from tests.builders.meets import LONG, a_mark, a_meet, counted, heavy, penalty

pytestmark = pytest.mark.browser

SIZES = ({"width": 1024, "height": 768}, {"width": 390, "height": 844}, {"width": 1920, "height": 1080})
PASSWORD = "three odd words"
SLOW_MS = 15_000
PUBLIC = ("/", "/results", "/results/swings/score/ent_1", "/results/errands/score/ent_3", "/overall/open/ent_1")
DESK = ("/desk/overall", "/desk/cut", "/desk/events/swings/variants")


def the_meet() -> CompetitionFile:
    """A meet with everything that a standing can show, and a fourth event that nobody is in yet: six seconds, then a lift."""
    extra = [*counted("asg_12/1/second", (0, 250, 26)), a_mark("asg_11/1/lane", 80, "norep", 30_000, 0, fault="height")]
    rule = OverallRule(by="linear", less=Fraction(5), named="swings")
    file = a_meet(rule, extra=extra, rulings=[penalty("ent_1", "errands", "5")], chosen={"Cy Marlow": "scaled"})
    short = heavy().model_copy(
        update={"windows": (Window(start=0, seconds=6, task="swings"), Window(start=6, seconds=60, task="pulls"))}
    )
    hour_ago = int(time.time() * 1000) - 3_600_000
    runs = tuple(run.model_copy(update={"go_wall_ms": hour_ago + n}) for n, run in enumerate(file.runs))
    return file.model_copy(update={"events": (*file.events, Event(id="final", name="Final", format=short)), "runs": runs})


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return the_meet()


def test_every_page_of_standings_fits_and_is_for_everybody(page: Page) -> None:
    for path in (*PUBLIC, *DESK):
        page.goto(path)
        page.emulate_media(color_scheme="dark")
        assert [(path, *one) for one in broken_rules(page)] == []
        page.emulate_media(color_scheme="light")
        assert [(path, *one) for one in faint_texts(page)] == []
        for size in SIZES:
            page.set_viewport_size(size)
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (path, size)


def test_a_score_on_the_board_leads_to_why_and_back(page: Page) -> None:
    page.set_viewport_size(SIZES[1])
    page.goto("/")
    page.get_by_role("tab", name="Open · Overall").click()
    page.get_by_role("link", name="370", exact=False).first.click()
    page.wait_for_url("**/overall/open/ent_4")
    expect(page.get_by_role("heading", level=1)).to_have_text(LONG)
    expect(page.locator(".why-step").last).to_contain_text("by count-back of best places")
    page.get_by_role("link", name="All results").click()
    page.get_by_role("link", name=re.compile("42 reps.*Ada Quill")).click()
    out = page.locator(".why-fact[data-out]")
    expect(out).to_have_text("1 no-rep: not to eye height does not count")
    assert out.locator("s").count() == 1


def test_only_the_fields_of_the_chosen_rule_are_asked(page: Page) -> None:
    page.goto("/desk/overall")
    choice = page.get_by_label("Add up the scores of all events as")
    shown = {"table": "#points", "linear": "#first", "scores": "#better"}
    for way, field in shown.items():
        choice.select_option(way)
        for other in shown.values():
            assert page.locator(other).is_visible() == (other == field), (way, other)
    choice.select_option("none")
    expect(page.locator("#absent")).to_be_hidden()


def test_heats_are_made_as_they_were_shown_and_a_second_counter_counts_beside_the_judge(
    page: Page, browser: Browser, server: HallServer
) -> None:
    desk = page
    desk.goto("/desk/cut?event=final")
    desk.get_by_label("From the standing").select_option("overall")
    desk.get_by_label("Division").select_option("masters")
    desk.get_by_label("How many advance").fill("3")
    desk.get_by_label("Lanes", exact=True).fill("3")
    desk.get_by_role("button", name="Preview the heats").click()
    expect(desk.locator(".cut-heats tbody tr").nth(1)).to_contain_text("Finn Oakley-Marsh")
    desk.get_by_role("button", name="Make this heat").click()
    desk.wait_for_url("**/desk/heats?event=final")

    desk.goto("/desk/tablets")
    desk.get_by_role("button", name="Let any device with a code in at once").click()
    desk.locator("summary", has_text="for lane 2").click()
    desk.get_by_role("button", name="Invite a second counter for lane 2").click()
    code = desk.locator(".short-code").inner_text()
    beside = browser.new_context(viewport=SIZES[1], base_url=server.url, has_touch=True)
    tablet = beside.new_page()
    tablet.goto("/pair")
    tablet.fill("#code", code)
    tablet.get_by_role("button", name="Continue").click()
    expect(tablet.locator("#becomes")).to_have_text("lane 2's second counter, beside its judge")
    tablet.get_by_role("button", name="Pair it").click()
    expect(tablet.locator("[data-role=counter]")).to_have_text("Second counter", timeout=SLOW_MS)

    heat = next(heat for heat in server.hall.projection.roster.heats if heat.event == "final")  # type: ignore[union-attr]
    desk.goto(f"/desk?heat={heat.id}")
    desk.get_by_label("Countdown").select_option("5")
    desk.get_by_role("button", name="GO", exact=True).click()
    target = tablet.locator("[data-role=count-target]")
    expect(target).to_be_visible(timeout=SLOW_MS)
    for _ in range(3):
        target.tap()
        tablet.wait_for_timeout(200)
    expect(desk.locator("#lane-2 .lane-others")).to_have_text("second 3", timeout=SLOW_MS)
    lane = next(lane for lane in heat.lanes if lane.lane == 2)
    assert {mark.sheet for mark in server.hall.projection.assignment_marks(lane.id)} == {f"{lane.id}/1/second"}
    expect(tablet.locator("[data-role=beside]")).to_have_text("The lane judge judges the lifts", timeout=SLOW_MS)
    assert not tablet.get_by_role("button", name="Good lift").is_visible()
    assert broken_rules(tablet) == []
    beside.close()
