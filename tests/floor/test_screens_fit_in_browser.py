"""Each screen at each size with long names, a twelve-lane heat and a count of 187: nothing hidden, nothing too small to hit."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from app.rules.records.document import CompetitionFile
from tests.browser.hall_server import HallServer
from tests.browser.moments import COUNT, LONG_TEAM, MOMENTS, a_heat_of_everything, go_was, set_clock
from tests.browser.people import PHONE, TABLET, WALL, Desk, Hall, Person

pytestmark = [pytest.mark.browser, pytest.mark.timeout(180)]

SIZES = {"tablet": TABLET, "upright": {"width": 768, "height": 1024}, "phone": PHONE, "wall": WALL}
HAND_PX = 72  # the least side of what a chalky finger must hit
# What is done again and again, or in a hurry: it is in sight without scrolling.
ALWAYS = (
    *("count-target", "no-rep", "take-back", "good-lift", "no-lift", "racked", "finish", "declare", "measure"),
    *("load-up", "load-down", "open-menu"),
)
# What stands out of the window, is too small, lies over another control. The rest may be out of sight if it can be scrolled to.
FAULTS = """(least) => {
  const controls = [...document.querySelectorAll('main button, main input:not([type=checkbox]), main select')];
  const seen = controls.filter((one) => one.checkVisibility() && one.getClientRects().length);
  const name = (one) => one.dataset.role || one.getAttribute('aria-label') || one.textContent.trim() || one.id;
  const box = (one) => one.getBoundingClientRect();
  const scrolls = (one) => {
    if (ALWAYS.includes(one.dataset.role)) return false;
    for (let at = one.parentElement; at; at = at.parentElement) {
      if (['auto', 'scroll'].includes(getComputedStyle(at).overflowY) && at.scrollHeight > at.clientHeight) return true;
    }
    return document.scrollingElement.scrollHeight > innerHeight && getComputedStyle(document.body).overflowY !== 'hidden';
  };
  const outside = (b) => b.left < -1 || b.top < -1 || b.right > innerWidth + 1 || b.bottom > innerHeight + 1;
  const across = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const along = (a, b) => Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  const found = [];
  if (document.documentElement.scrollWidth > innerWidth) found.push('the page sticks out sideways');
  seen.forEach((one, n) => {
    const b = box(one);
    const small = Math.min(b.width, b.height) < least - 1;
    if (small) found.push(`${name(one)} is ${Math.round(b.width)} x ${Math.round(b.height)}`);
    if (outside(b) && !scrolls(one)) found.push(`${name(one)} is out of the window`);
    for (const two of seen.slice(n + 1)) {
      const apart = one.contains(two) || two.contains(one) || across(b, box(two)) <= 1 || along(b, box(two)) <= 1;
      if (!apart && !scrolls(one) && !scrolls(two)) found.push(`${name(one)} lies on ${name(two)}`);
    }
    const [x, y] = [b.left + b.width / 2, Math.min(b.bottom, innerHeight) - 4];
    const covered = !one.contains(document.elementFromPoint(x, y));
    if (ALWAYS.includes(one.dataset.role) && covered) found.push(`${name(one)} is covered`);
  });
  return found;
}"""


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return a_heat_of_everything()


@pytest.fixture(scope="module")
def judge(hall: Hall, desk: Desk) -> Person:
    return hall.tablet(desk, 1)


@pytest.fixture(scope="module")
def lifter(hall: Hall, desk: Desk) -> Person:
    return hall.tablet(desk, 1, "call screen")


def faults_at(page: Page, least: int = HAND_PX) -> dict[str, Any]:
    """What is wrong at each size; an empty answer is a good one."""
    found = {}
    for name, size in SIZES.items():
        page.set_viewport_size(size)  # type: ignore[arg-type]
        # Two frames: one to lay out, one for what follows its size.
        page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
        if faults := page.evaluate(FAULTS.replace("ALWAYS", repr(list(ALWAYS))), least):
            found[name] = faults
    return found


@pytest.mark.parametrize("view", ["before", *MOMENTS])
def test_the_lane_screen_fits(server: HallServer, judge: Person, view: str) -> None:
    if view == "before":
        judge.shows(view)
    else:
        go_was(server, judge, view)
    expect(judge.part("entry")).to_have_text(LONG_TEAM)
    assert faults_at(judge.page) == {}


def test_the_count_target_takes_a_third_of_the_screen_and_more(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "count")
    expect(judge.part("count")).to_have_text(str(COUNT))
    for name, size in SIZES.items():
        judge.page.set_viewport_size(size)  # type: ignore[arg-type]
        box = judge.part("count-target").bounding_box()
        assert box and box["width"] * box["height"] >= size["width"] * size["height"] / 3, name
        number = judge.part("count").bounding_box()
        assert number and box["x"] <= number["x"] and number["x"] + number["width"] <= box["x"] + box["width"], name


def test_a_measure_can_be_typed_at_every_size(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "measure")
    for size in SIZES.values():
        judge.page.set_viewport_size(size)  # type: ignore[arg-type]
        judge.touch(judge.page.locator('[data-role="keypad"]:visible [data-key="5"]'))
        expect(judge.part("measure")).to_have_text("Record 5 m")
        judge.touch(judge.part("measure"))
        expect(judge.part("measured")).to_have_text("Recorded: 5 m")
        judge.touch(judge.part("take-back").locator("visible=true"))
        expect(judge.part("measured")).to_have_text("Nothing recorded yet")


def test_judging_a_lift_fits(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "lift")
    judge.touch(judge.part("load-up"))
    judge.touch(judge.part("declare"))
    expect(judge.part("good-lift")).to_be_visible()
    assert faults_at(judge.page) == {}
    judge.touch(judge.part("no-lift"))
    expect(judge.page.locator('[data-fault="depth"]')).to_be_visible()
    assert faults_at(judge.page) == {}, "with the faults to choose from"
    judge.touch(judge.page.locator('[data-fault="depth"]'))
    judge.touch(judge.part("racked"))


@pytest.mark.parametrize("view", ["set", "rest", "lift", "after"])
def test_the_call_screen_fits(server: HallServer, lifter: Person, view: str) -> None:
    set_clock(server, view)
    expect(lifter.part("entry")).to_have_text(LONG_TEAM)
    assert faults_at(lifter.page) == {}


def test_the_loaders_view_fits(server: HallServer, lifter: Person) -> None:
    set_clock(server, "lift")
    lifter.touch(lifter.part("turn-view"))
    assert faults_at(lifter.page) == {}


def test_twelve_lanes_fit_the_board_and_the_desk(hall: Hall, desk: Desk) -> None:
    desk.go("Heat 1")
    assert faults_at(desk.page, 0) == {}
    board = hall.watch()
    expect(board.locator("#floor-now")).not_to_be_empty()
    assert faults_at(board, 0) == {}
    board.set_viewport_size(WALL)  # type: ignore[arg-type]
    for line in board.locator(".lane, tbody tr").all():
        expect(line).to_be_in_viewport(ratio=1)
    expect(board.locator("tbody .entry", has_text=LONG_TEAM)).to_be_in_viewport(ratio=1)
