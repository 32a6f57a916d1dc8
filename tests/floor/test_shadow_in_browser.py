"""A shadow judge on a tablet of their own: counts and judges the same lane, under the bar that the lane's judge declares."""

import time

import pytest
from playwright.sync_api import expect

from app.rules.records.document import CompetitionFile
from tests.browser.hall_server import HallServer
from tests.browser.looking import ALL_SIZES, faults_at
from tests.browser.moments import a_heat_of_everything, go_was, set_clock
from tests.browser.people import PATIENCE_MS, Hall, Person, count_together

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.timeout(180)]


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return a_heat_of_everything()


def test_a_shadow_judge_counts_apart_and_judges_the_lifts_that_the_lane_declares(server: HallServer, hall: Hall) -> None:
    desk = hall.desk()
    judge, shadow = hall.tablet(desk, 1), hall.tablet(desk, 1, "shadow judge")
    set_clock(server, "count")
    for person in (judge, shadow):
        person.shows("count")
    before = server.hall.projection.sheet_tally("asg_0/1/lane").windows[0].count
    expect(shadow.part("count")).to_have_text("0")
    shadow.touch(shadow.part("count-target"))
    expect(shadow.part("count")).to_have_text("1")
    expect(judge.part("count")).to_have_text(str(before))

    set_clock(server, "lift")
    judge.shows("lift")
    judge.touch(judge.part("picks-1"))
    judge.touch(judge.part("load-up"))
    judge.touch(judge.part("declare"))
    expect(judge.part("load")).not_to_be_empty()
    load = judge.part("load").inner_text()
    shadow.shows("lift")
    expect(shadow.part("load")).to_have_text(load)
    shadow.touch(shadow.part("good-lift"))
    expect(shadow.part("attempts")).to_contain_text(load.split()[0])
    until_judged(server, shadow)
    page = desk.open("/review/compare/asg_0")
    expect(page.locator("h1")).to_be_visible()
    expect(page.get_by_text("Judge: nothing marked. Shadow judge: good lift.")).to_be_visible()
    own, counts = server.hall.projection.sheet_tally("asg_0/1/lane"), server.hall.projection.counting_tally("asg_0")
    assert counts is not None and own.windows == counts.windows


def test_a_tablet_that_does_not_count_says_so_over_the_whole_work_and_loses_no_touch(server: HallServer, hall: Hall) -> None:
    desk = hall.desk()
    counts, idle = hall.tablet(desk, 1), hall.tablet(desk, 1)
    for person in (counts, idle):
        go_was(server, person, "count")
    count_together([counts, idle], 4)
    expect(idle.part("not-counting")).to_be_visible()
    expect(counts.part("not-counting")).to_be_hidden()
    expect(idle.part("not-counting-tap")).to_contain_text("A tap here is still kept: 4 so far.")
    counts.touch(counts.part("count-target"))  # whoever counted more is the one that counts
    idle.touch(idle.part("not-counting-tap"))
    expect(idle.part("kept-here")).to_contain_text("5 so far")
    assert faults_at(idle.page, sizes=ALL_SIZES) == {}
    idle.touch(idle.part("call-desk"))
    expect(idle.part("call-desk")).to_have_text("Called: stay here")
    idle.touch(idle.part("count-on"))
    expect(idle.part("not-counting")).to_be_hidden()


def until_judged(server: HallServer, shadow: Person) -> None:
    """Waits until the shadow judge's lift is at the desk."""
    until = time.monotonic() + PATIENCE_MS / 1000
    while not server.hall.projection.sheet_tally("asg_0/1/shadow").windows[3].lifts:
        assert time.monotonic() < until, "the lift did not reach the desk"
        shadow.page.evaluate("() => new Promise(requestAnimationFrame)")
