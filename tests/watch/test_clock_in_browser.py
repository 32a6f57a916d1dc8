"""One clock in the whole hall, in real browsers: holds, aborts, restarts reach every screen, and one that was away joins in."""

import re
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from app.floor import timing
from tests.browser.hall_server import HallServer, served
from tests.browser.people import PHONE, WALL, Desk, Hall, Person, a_hall
from tests.builders.pairs import FORMAT, a_file

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.apart, pytest.mark.slow, pytest.mark.timeout(180)]

NEAR_MS = 150  # what a shared machine paints late; a clock that joined at the wrong second would be off by more
HEAT = "heat_1"
WINDOW_MS = FORMAT.windows[0].end_ms
# A clock that counts whole seconds down is exact at the moment it changes.
NEXT_CHANGE = """(selector) => new Promise((done) => {
  const clock = document.querySelector(selector);
  const first = clock.textContent;
  const look = () => {
    const said = clock.textContent;
    if (said === first) return void requestAnimationFrame(look);
    const [minutes, seconds] = said.split(':').map(Number);
    done({ left: (minutes * 60 + seconds) * 1000, wall: performance.timeOrigin + performance.now() });
  };
  look();
})"""
SIZES = """() => {
  const [big, whole] = [document.getElementById('hall-big'), document.documentElement];
  const fits = whole.scrollWidth <= innerWidth && whole.scrollHeight <= innerHeight;
  return { size: parseFloat(getComputedStyle(big).fontSize), height: innerHeight, part: big.offsetWidth / innerWidth, fits };
}"""
LANE_CLOCK = '[data-role="clock"]'


@pytest.fixture
def server(tmp_path: Path) -> Iterator[HallServer]:
    with served(tmp_path / "data", a_file((("Chalk Lines", "Iron Larks"), ("Slow Burn", "Low Tide")), runs=0)) as running:
        yield running


@pytest.fixture
def hall(browser: Browser, server: HallServer) -> Iterator[Hall]:
    with a_hall(browser, server.url) as opened:
        yield opened


@pytest.fixture
def desk(hall: Hall) -> Desk:
    return hall.desk()


@pytest.fixture
def move(server: HallServer) -> Callable[..., None]:
    """Presses one of the desk's buttons, at once."""

    def press(action: Any, **typed: str) -> None:
        server.run(partial(action, server.hall, HEAT, typed)())

    return press


def offline(judge: Person) -> None:
    judge.cut_off()
    expect(judge.part("line")).to_have_attribute("data-tone", "look")


def online(judge: Person) -> None:
    judge.page.context.set_offline(False)
    expect(judge.part("line")).not_to_have_attribute("data-tone", "look")


def tap(judge: Person, times: int) -> None:
    for _ in range(times):
        judge.touch(judge.part("count-target"))
        judge.page.wait_for_timeout(250)


def text(page: Page, selector: str) -> str:
    return page.locator(selector).inner_text().replace("\n", "")


def off_by_ms(server: HallServer, page: Page, selector: str = LANE_CLOCK) -> float:
    """How far a screen's clock is from the server's, at the moment at which it changes its second."""
    moment = page.evaluate(NEXT_CHANGE, selector)
    hall = server.hall
    run = [run for run in hall.projection.runs if run.heat == HEAT][-1]
    held = sum(hold.for_ms or 0 for hold in run.holds)
    # Both clocks are of this machine: its wall clock ties them together.
    server_ms = hall.time.server_ms() - (hall.time.wall_ms() - moment["wall"])
    heat_ms = server_ms - run.go_server_ms - held
    return float(heat_ms - (WINDOW_MS - moment["left"]))


def sheet(server: HallServer, run: int = 1, assignment: str = "asg_0") -> Any:
    return server.hall.projection.sheet_tally(f"{assignment}/{run}/lane")


def odd(server: HallServer) -> list[str]:
    """What is odd on lane 1's sheet, but for the fingers of a test, which are faster than presses can be."""
    return [flag.why for flag in sheet(server).flags if flag.why != "fast"]


def all_safe(judge: Person, marks: int) -> None:
    expect(judge.part("safe")).to_have_text(f"{marks} marks at the desk")
    expect(judge.part("kept")).to_have_text("0 waiting on this tablet")


def test_a_hold_reaches_every_screen_and_all_go_on_in_the_same_second(
    hall: Hall, desk: Desk, server: HallServer, move: Callable[..., None]
) -> None:
    judges = [hall.tablet(desk, 1), hall.tablet(desk, 2)]
    board, wall = hall.watch(), hall.come(WALL, touch=False).page
    wall.goto(f"{server.url}/clock")
    desk.open("/desk")
    move(timing.go, lead="3")
    for judge in judges:
        judge.shows("count")
    tap(judges[0], 3)
    desk.press("Hold")
    for judge in judges:
        judge.shows("held")
    expect(wall.locator("#hall-label")).to_have_text("Held")
    expect(board.locator("#floor-now")).to_have_text("Held")
    expect(desk.page.locator("#desk-window")).to_have_text("Held: the clock is stopped")
    standing = {text(judge.page, LANE_CLOCK) for judge in judges} | {text(wall, "#hall-big"), text(desk.page, "#desk-clock")}
    assert len(standing) == 1, "every screen stands at the same second"
    judges[0].page.wait_for_timeout(1500)
    assert text(judges[0].page, LANE_CLOCK) in standing
    expect(judges[0].page.locator(".held-words")).to_contain_text(f"The clock is stopped with {standing.pop()} left.")
    assert desk.page.locator("#hand").get_attribute("data-state") == "held"

    desk.page.get_by_label("Countdown").select_option("5")
    desk.press("Resume")
    expect(wall.locator("#hall-label")).to_have_text("Resumes in")
    for judge in judges:
        judge.shows("count")
    screens = [(judge.page, LANE_CLOCK) for judge in judges] + [(wall, "#hall-big"), (desk.page, "#desk-clock")]
    assert [round(off) for page, clock in screens if abs(off := off_by_ms(server, page, clock)) > NEAR_MS] == []
    tap(judges[0], 2)
    all_safe(judges[0], 5)
    assert (sheet(server).windows[0].count, odd(server)) == (5, [])

    move(timing.close, why="The hall is needed")
    expect(board.locator("#floor-clock")).to_have_text("–:––")
    expect(board.locator("#floor-now")).to_have_text("Heat over")
    expect(judges[0].part("who")).to_have_text("Closed early")
    expect(wall.locator("#hall-clock")).to_have_attribute("data-tone", "idle")
    expect(desk.page.locator("#desk-clock")).to_have_text("")
    ended = text(board, "#floor-clock"), text(judges[0].page, LANE_CLOCK)
    board.wait_for_timeout(1200)
    assert (text(board, "#floor-clock"), text(judges[0].page, LANE_CLOCK)) == ended, "no clock runs on"


def test_a_tablet_that_was_offline_at_an_abort_and_a_restart_joins_the_new_run_at_the_right_second(
    hall: Hall, desk: Desk, server: HallServer, move: Callable[..., None]
) -> None:
    judge, board = hall.tablet(desk, 1), hall.watch()
    move(timing.go, lead="3")
    judge.shows("count")
    tap(judge, 2)
    all_safe(judge, 2)
    offline(judge)
    tap(judge, 3)
    move(timing.abort, why="The music stopped")
    expect(board.locator("#floor-now")).to_have_text("Stopped")
    tap(judge, 1)
    move(timing.go, lead="3")
    judge.page.wait_for_timeout(4500)
    assert len(judge.part("count").inner_text()) > 0, "it still counts the run that it knows of"
    online(judge)
    expect(judge.part("count")).to_have_text("0")
    judge.shows("count")
    assert abs(off_by_ms(server, judge.page)) <= NEAR_MS
    tap(judge, 2)
    all_safe(judge, 8)
    assert (sheet(server, 1).windows[0].count, sheet(server, 2).windows[0].count) == (6, 2)
    assert server.hall.projection.counting_sheet("asg_0") == "asg_0/2/lane"


def test_a_tablet_that_was_offline_in_a_hold_is_set_right_and_what_it_counted_meanwhile_does_not_count(
    hall: Hall, desk: Desk, server: HallServer, move: Callable[..., None]
) -> None:
    judge = hall.tablet(desk, 1)
    move(timing.go, lead="3")
    judge.shows("count")
    tap(judge, 3)
    all_safe(judge, 3)
    offline(judge)
    move(timing.hold)
    judge.page.wait_for_timeout(1300)  # longer than a judge's reaction
    tap(judge, 4)
    move(timing.go_on, lead="3")
    judge.page.wait_for_timeout(3300)
    tap(judge, 2)
    expect(judge.part("count")).to_have_text("9")
    online(judge)
    all_safe(judge, 9)
    expect(judge.part("count")).to_have_text("5")
    assert abs(off_by_ms(server, judge.page)) <= NEAR_MS
    assert sheet(server).windows[0].count == 5
    assert odd(server) == ["held"] * 4
    desk.open("/desk")
    expect(desk.page.locator(".needs")).to_contain_text("4 marks: Marked while the clock was held. It does not count.")


def test_a_held_tablet_that_loses_the_desk_goes_on_by_hand_and_its_marks_come_out_right(
    hall: Hall, desk: Desk, server: HallServer, move: Callable[..., None]
) -> None:
    judge = hall.tablet(desk, 1)
    move(timing.go, lead="3")
    judge.shows("count")
    move(timing.hold)
    judge.shows("held")
    offline(judge)
    expect(judge.part("line")).to_have_text(re.compile(r"desk\S* Marks are kept here\.$"))
    move(timing.go_on, lead="3")
    judge.part("hand-arm").locator("visible=true").click()
    judge.page.wait_for_timeout(1500)
    judge.touch(judge.part("hand-start").locator("visible=true"))
    judge.shows("count")
    tap(judge, 3)
    online(judge)
    assert abs(off_by_ms(server, judge.page)) <= NEAR_MS
    all_safe(judge, 4)  # three repetitions and the note
    notes = [mark for mark in server.hall.projection.sheet_marks("asg_0/1/lane") if mark.kind == "note"]
    assert [note.body["text"][:15] for note in notes] == ["Resumed by hand"]
    assert sheet(server).windows[0].count + sum(flag.why == "held" for flag in sheet(server).flags) == 3


def test_a_clock_that_may_be_wrong_says_so_and_is_started_by_hand(
    hall: Hall, desk: Desk, server: HallServer, move: Callable[..., None]
) -> None:
    judge = hall.tablet(desk, 1)
    move(timing.go, lead="3")
    judge.shows("count")
    offline(judge)
    judge.page.evaluate("() => { const now = Date.now; Date.now = () => now.call(Date) + 3_600_000; }")
    expect(judge.part("line")).to_contain_text("This clock may be 61 min off until the desk answers.")
    judge.part("open-menu").click()
    judge.part("hand-arm").locator("visible=true").click()
    judge.touch(judge.part("hand-start").locator("visible=true"))
    expect(judge.part("line")).to_contain_text("reach the desk")
    tap(judge, 2)
    online(judge)
    all_safe(judge, 4)  # two repetitions, that it was started by hand, and how far that was from GO
    assert abs(off_by_ms(server, judge.page)) <= NEAR_MS
    marks = server.hall.projection.sheet_marks("asg_0/1/lane")
    first = next(mark.body["text"] for mark in marks if mark.kind == "note")
    assert first == "Clock started by hand on the whistle: this tablet's clock could not be trusted."
    assert all(mark.body.get("hand") and mark.err < 2100 for mark in marks if mark.kind == "rep")


def test_a_tablet_that_hears_of_go_late_joins_at_the_right_second(
    hall: Hall, desk: Desk, server: HallServer, move: Callable[..., None]
) -> None:
    judge = hall.tablet(desk, 1)
    offline(judge)
    move(timing.go, lead="3")
    judge.page.wait_for_timeout(6000)
    judge.shows("before")
    online(judge)
    judge.shows("count")
    assert abs(off_by_ms(server, judge.page)) <= NEAR_MS


# Unfolds what asks something, goes to a field of it before the page has given the focus away, and tells where the focus then is.
AT_ONCE_IN_A_FIELD = """async (summary) => {
  summary.click();
  summary.parentElement.querySelector("[name=seconds]").focus();
  await new Promise((later) => setTimeout(later));
  return document.activeElement.name;
}"""


def test_a_start_by_hand_is_told_shifted_at_the_desk_and_taken_back(
    hall: Hall, desk: Desk, server: HallServer, move: Callable[..., None]
) -> None:
    judge = hall.tablet(desk, 2)
    offline(judge)
    judge.part("hand-arm").locator("visible=true").click()
    move(timing.go, lead="3")
    judge.page.wait_for_timeout(5000)
    judge.touch(judge.part("hand-start").locator("visible=true"))
    judge.shows("count")
    tap(judge, 3)
    early = sheet(server, assignment="asg_1")
    assert not early.any_marks
    online(judge)
    all_safe(judge, 5)
    first = sheet(server, assignment="asg_1").windows[0].reps[0][0]

    desk.open("/desk")
    row = desk.page.locator("#hand-2")
    expect(row).to_contain_text("s after GO.")
    row.locator("summary").click()
    late_s = float(row.get_by_label("Seconds later").input_value())
    assert 1.5 < late_s < 4
    row.get_by_label("Why").fill("Heard the whistle late")
    row.get_by_label("Head judge").fill("Io Lund")
    row.get_by_role("button", name="Shift lane 2").click()
    expect(row).to_contain_text("Io Lund moved its marks")
    shifted = sheet(server, assignment="asg_1").windows[0].reps[0][0]
    assert shifted == first + round(late_s * 1000)
    assert row.locator("summary").evaluate(AT_ONCE_IN_A_FIELD) == "seconds", "who is in a field already stays there"
    for label, value in (("Seconds later", "0"), ("Why", "Seen on video"), ("Head judge", "Io Lund")):
        row.get_by_label(label).fill(value)
    row.get_by_role("button", name="Shift lane 2").click()
    expect(row).to_contain_text("Io Lund took the shift back: Seen on video")
    assert sheet(server, assignment="asg_1").windows[0].reps[0][0] == first


def test_the_hall_clock_counts_to_go_and_tells_whose_turn_it_is_on_a_wall_and_on_a_phone(
    hall: Hall, server: HallServer, move: Callable[..., None]
) -> None:
    pages = [hall.come(size, touch=False).page for size in (WALL, PHONE)]
    for page in pages:
        page.goto(f"{server.url}/clock")
        expect(page.locator("#hall-now")).to_have_text("Next: Heat 1, planned 10:00")
    move(timing.go, lead="4")
    for page in pages:
        expect(page.locator("#hall-label")).to_have_text("GO in")
        expect(page.locator("#hall-now")).to_contain_text("First, A:")
    for page in pages:
        expect(page.locator("#hall-next")).to_contain_text("then rest 1:00, B: Handstand shoulder taps")
        expect(page.locator("#hall-now")).to_have_text("A: Handstand shoulder taps")
        assert abs(off_by_ms(server, page, "#hall-big")) <= NEAR_MS
        seen = page.evaluate(SIZES)
        assert seen["size"] > seen["height"] * 0.45 or seen["part"] > 0.8, "the number takes what the screen allows"
        assert seen["fits"]
    move(timing.abort)
    expect(pages[0].locator("#hall-next")).to_have_text("Heat 1 was stopped.")
