"""Each screen at each size with long names, a twelve-lane heat and a count of 187: nothing hidden, nothing too small to hit,
nothing that axe-core calls grave on either ground."""

import pytest
from playwright.sync_api import Locator, expect

from app.rules.records.document import CompetitionFile
from tests.browser.hall_server import HallServer
from tests.browser.looking import ALL_SIZES, HAND_PX, LOW, SIZES, faults_at, found_on
from tests.browser.moments import COUNT, LONG_TEAM, MOMENTS, a_heat_of_everything, go_was, set_clock
from tests.browser.people import PHONE, TABLET, WALL, Desk, Hall, Person

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(180)]


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return a_heat_of_everything()


@pytest.fixture(scope="module")
def judge(hall: Hall, desk: Desk) -> Person:
    return hall.tablet(desk, 1)


@pytest.fixture(scope="module")
def lifter(hall: Hall, desk: Desk) -> Person:
    return hall.tablet(desk, 1, "call screen")


# What a practice heat of the event asks for, a window of each kind after another.
TRIED = (
    ("count-target", "no-rep", "take-back"),
    ("count-target", "no-rep", "take-back", "count-target", "count-target", "finish"),
    ("picks-1", "load-up", "declare", "begun", "good-lift", "racked"),
    ("key-5", "measure"),
)


def test_a_practice_heat_is_offered_before_go_and_gives_way_to_it(server: HallServer, judge: Person, desk: Desk) -> None:
    judge.shows("before")
    expect(judge.part("first-minute")).to_contain_text("One tap for each good rep")
    looks_well(judge)
    judge.touch(judge.part("skip-practice"))
    judge.page.reload()
    judge.shows("before")
    expect(judge.part("first-minute")).to_be_hidden()
    judge.page.evaluate("localStorage.removeItem('lane-ledger.first-minute')")
    judge.page.reload()
    marks = len(desk.marks())
    judge.touch(judge.part("practise"))
    practice = judge.page.locator('main[data-role="practice"]')
    for n, keys in enumerate(TRIED):
        assert faults_at(judge.page, sizes=LOW) == {}, n
        judge.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
        for key in keys:
            name = f'[data-key="{key[4:]}"]' if key.startswith("key-") else f'[data-role="{key}"]'
            judge.touch(practice.locator(name).locator("visible=true"))
        expect(judge.part("practice-says")).to_have_text("That is everything.")
        if n < len(TRIED) - 1:
            judge.touch(judge.part("practice-next"))
    go_was(server, judge, "set")
    expect(practice).to_have_count(0)
    expect(judge.part("kept")).to_contain_text("0")
    assert len(desk.marks()) == marks


@pytest.mark.parametrize("view", MOMENTS)
def test_the_lane_screen_fits(server: HallServer, judge: Person, view: str) -> None:
    go_was(server, judge, view)
    expect(judge.part("entry")).to_have_text(LONG_TEAM)
    looks_well(judge)


def looks_well(person: Person, size: dict[str, int] = TABLET) -> None:
    """Whether a screen fits every size, and everybody can use it at one."""
    assert faults_at(person.page, sizes=ALL_SIZES) == {}
    person.page.set_viewport_size(size)  # type: ignore[arg-type]
    assert found_on(person.page) == []


def test_a_lane_whose_heat_is_held(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "count")
    set_clock(server, "count", held=True)
    judge.shows("held")
    expect(judge.part("held-so-far")).to_have_text(f"So far: {COUNT} reps, 2 no reps. No tap counts now.")
    looks_well(judge)


def test_what_lies_over_the_lane_screen(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "count")
    with judge.holding(judge.part("no-rep")):
        expect(judge.part("faults").first).to_be_visible()
    assert found_on(judge.page) == [], "faults to choose from"
    there_is_more_of(judge, judge.part("faults").first)
    judge.touch(judge.part("faults-none"))
    judge.touch(judge.part("open-menu"))
    expect(judge.part("menu")).to_be_visible()
    assert found_on(judge.page) == [], "the menu"
    judge.touch(judge.part("menu-close"))
    go_was(server, judge, "after")
    judge.part("open-marks").first.click()
    assert found_on(judge.page) == [], "marks to strike out"
    judge.page.reload()


def there_is_more_of(judge: Person, faults: Locator) -> None:
    """A list that does not fit ends in a sign of more, until its end is in sight."""
    expect(faults).not_to_have_attribute("data-more", "")
    judge.page.set_viewport_size({"width": 320, "height": 256})
    expect(faults).to_have_attribute("data-more", "")
    judge.page.get_by_role("button", name="Close without marking").scroll_into_view_if_needed()
    faults.evaluate("(list) => list.scrollTo(0, list.scrollHeight)")
    expect(faults).not_to_have_attribute("data-more", "")
    judge.page.set_viewport_size(TABLET)  # type: ignore[arg-type]


def test_what_was_taken_back_can_stand_again_far_from_the_key_that_took_it(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "count")
    count, back = judge.part("count"), judge.part("take-back").locator("visible=true")
    for _ in range(3):
        judge.touch(judge.part("count-target"))
    back.evaluate("(key) => { for (let n = 0; n < 3; n += 1) key.click(); }")
    expect(count).to_have_text(str(COUNT))
    for n in range(1, 4):
        put_back(judge)
        expect(count).to_have_text(str(COUNT + n))
    back.evaluate("(key) => { for (let n = 0; n < 3; n += 1) key.click(); }")
    expect(count).to_have_text(str(COUNT))
    expect(judge.part("put-back")).to_contain_text("Count it again: ")
    assert faults_at(judge.page, sizes=ALL_SIZES) == {}
    assert judge.page.evaluate(APART) > HAND_PX, "a finger that slips off the one does not strike the other"
    expect(judge.part("put-back").locator("visible=true")).to_have_count(0)


# The way from the lower edge of "Count it again" to the upper edge of "Take back last".
APART = """() => {
  const seen = (name) => [...document.querySelectorAll(`[data-role="${name}"]`)].find((one) => one.checkVisibility());
  const box = (name) => seen(name).getBoundingClientRect();
  return box("take-back").top - box("put-back").bottom;
}"""


def put_back(judge: Person) -> None:
    judge.touch(judge.part("put-back").locator("visible=true"))


def test_take_back_reaches_no_further_than_the_window_just_before(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "count")
    judge.touch(judge.part("count-target"))
    go_was(server, judge, "rest")
    back = judge.part("take-back").locator("visible=true")
    expect(back).to_contain_text(f"rep {COUNT + 1}")
    judge.touch(back)
    expect(judge.part("put-back").locator("visible=true")).to_contain_text("rep")
    for view in ("list", "lift", "measure"):
        go_was(server, judge, view)
        expect(back).to_be_disabled()


def test_a_no_rep_answers_with_a_number_of_its_own(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "count")
    told = judge.page.evaluate(
        """() => {
          const pane = document.querySelector('[data-role="no-rep"]');
          const before = Number(pane.querySelector('[data-role="no-rep-count"]').textContent);
          const pulses = [];
          const value = (pulse) => pulses.push([pulse].flat().length);
          Object.defineProperty(navigator, 'vibrate', { configurable: true, value });
          pane.click();
          document.querySelector('[data-role="count-target"]').click();
          const after = Number(pane.querySelector('[data-role="no-rep-count"]').textContent);
          return { grew: after - before, lit: 'answers' in pane.dataset, pulses };
        }"""
    )
    assert told == {"grew": 1, "lit": True, "pulses": [3, 1]}
    for _ in range(2):
        judge.touch(judge.part("take-back").locator("visible=true"))
    expect(judge.part("count")).to_have_text(str(COUNT))


def test_the_count_target_takes_a_third_of_the_screen_and_more(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "count")
    expect(judge.part("count")).to_have_text(str(COUNT))
    for name, size in SIZES.items():
        judge.page.set_viewport_size(size)  # type: ignore[arg-type]
        box = judge.part("count-target").bounding_box()
        assert box and box["width"] * box["height"] >= size["width"] * size["height"] / 3, name
        number = judge.part("count").bounding_box()
        assert number and box["x"] <= number["x"] and number["x"] + number["width"] <= box["x"] + box["width"], name


NOT_MEASURED = "One number for A Kit and B Wilhelmina together. Read it off at the bell."


def test_a_measure_can_be_typed_at_every_size(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "measure")
    for size in SIZES.values():
        judge.page.set_viewport_size(size)  # type: ignore[arg-type]
        expect(judge.part("measure-value")).to_have_text(" metres")
        expect(judge.part("measured")).to_have_text(NOT_MEASURED)
        judge.touch(judge.page.locator('[data-role="keypad"]:visible [data-key="5"]'))
        expect(judge.part("measure")).to_have_text("Enter 5 m")
        judge.touch(judge.part("measure"))
        expect(judge.part("measured")).to_have_text("Entered: 5 m")
        judge.touch(judge.part("take-back").locator("visible=true"))
        expect(judge.part("measured")).to_have_text(NOT_MEASURED)


# What stands of a verdict outside its pane, cut off by it.
CUT_OFF = """() => {
  const pane = document.querySelector(".decided"), { top, bottom } = pane.getBoundingClientRect();
  const words = [...pane.children].filter((one) => one.textContent && one.getClientRects().length);
  const outside = words.map((one) => [one.textContent, one.getBoundingClientRect()]);
  return outside.filter(([, at]) => at.top < top - 1 || at.bottom > bottom + 1).map(([text]) => text);
}"""


def test_judging_a_lift_fits(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "lift")
    judge.touch(judge.part("picks-1"))
    judge.touch(judge.part("load-up"))
    judge.touch(judge.part("load-up"))  # beyond what the lane's plates make, so that the bar is warned of
    judge.touch(judge.part("declare"))
    expect(judge.part("good-lift")).to_be_visible()
    looks_well(judge)
    expect(judge.part("racked")).to_be_disabled()
    for size in LOW.values():
        judge.page.set_viewport_size(size)  # type: ignore[arg-type]
        expect(judge.page.locator(".glance-short")).to_be_in_viewport()
    judge.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    judge.touch(judge.part("no-lift"))
    expect(judge.page.locator('[data-fault="depth"]')).to_be_visible()
    expect(judge.part("faults").locator("visible=true")).to_contain_text("No lift, 266 lb is recorded. Why?")
    expect(judge.part("no-lift")).to_have_attribute("data-given", "")
    looks_well(judge)
    judge.touch(judge.page.locator('[data-fault="depth"]'))
    expect(judge.part("bar-warning")).to_have_text("These plates make 265 lb or 270 lb")
    judge.touch(judge.part("take-back"))
    judge.touch(judge.part("no-lift"))
    judge.touch(judge.page.locator('[data-fault="depth"]'))
    for name, size in ALL_SIZES.items():
        assert faults_at(judge.page, sizes={name: size}) == {}
        expect(judge.part("put-back")).to_be_visible()
        assert judge.page.evaluate(CUT_OFF) == [], name
    judge.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    judge.touch(judge.part("racked"))


def test_a_number_that_was_never_entered_is_told_asked_for_and_typed_on_the_sheet(server: HallServer, judge: Person) -> None:
    go_was(server, judge, "after")
    last = judge.part("sheet-result").last
    expect(last).to_have_text("nothing measured yetscores nothing")
    expect(last).to_have_attribute("data-tone", "look")
    judge.page.locator("#sign-judge").fill("Pim Vale")
    judge.touch(judge.part("sign-judge"))
    expect(judge.part("sign-judge")).to_have_text("Sign without 1 number")
    expect(judge.part("signed-judge")).to_have_count(0)
    judge.touch(judge.part("enter-number"))
    judge.touch(judge.page.locator('[data-key="7"]:visible'))
    judge.touch(judge.part("measure").locator("visible=true"))
    expect(last).to_have_text("7 mscores nothing")
    expect(judge.part("enter-number")).to_have_count(0)
    assert faults_at(judge.page, sizes=ALL_SIZES) == {}
    judge.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    judge.touch(judge.part("sign-judge"))
    expect(judge.part("signed-judge")).to_contain_text("Pim Vale")


CALLED = {"set": "Waiting for GO", "rest": "Rest, then", "lift": "Front squat", "after": "The last bell has gone"}


@pytest.mark.parametrize("view", CALLED)
def test_the_call_screen_fits(server: HallServer, lifter: Person, view: str) -> None:
    set_clock(server, view)
    expect(lifter.part("entry")).to_have_text(LONG_TEAM)
    expect(lifter.part("who")).to_contain_text(CALLED[view])
    looks_well(lifter, PHONE)


def test_the_loaders_view_fits(server: HallServer, lifter: Person) -> None:
    set_clock(server, "lift")
    lifter.touch(lifter.part("turn-view"))
    looks_well(lifter, PHONE)


NAME_SIZES = "() => [...document.querySelectorAll('.lane .entry')].map((one) => parseFloat(getComputedStyle(one).fontSize))"  # px


def test_twelve_lanes_fit_the_board_and_the_desk(server: HallServer, hall: Hall, desk: Desk) -> None:
    set_clock(server, "count")
    desk.open("/desk?heat=heat_1")
    expect(desk.page.locator("#hand")).to_have_attribute("data-state", "running")
    assert faults_at(desk.page, 0) == {}
    board = hall.watch()
    expect(board.locator("#floor-now")).not_to_be_empty()
    assert faults_at(board, 0) == {}
    board.set_viewport_size(TABLET)  # type: ignore[arg-type]
    board.wait_for_function(f"() => Math.min(...({NAME_SIZES})()) >= 15")
    board.set_viewport_size(WALL)  # type: ignore[arg-type]
    for line in board.locator(".lane, tbody tr").all():
        expect(line).to_be_in_viewport(ratio=1)
    expect(board.locator("tbody .entry", has_text=LONG_TEAM)).to_be_in_viewport(ratio=1)
