"""When a tablet or the laptop is lost in a heat: another takes its place, and everything that was counted comes together."""

import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.hall_server import HallServer, served
from tests.browser.people import PATIENCE_MS, Desk, Hall, Person, a_hall, agree, count_together
from tests.browser.server_process import take_in
from tests.faults.test_faults_in_hall import all_safe, competition, judge_sheet, reps, score

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.apart, pytest.mark.slow, pytest.mark.timeout(180)]


# How many requests with marks a page has made.
REQUESTED = "() => performance.getEntriesByType('resource').filter(({ name }) => new URL(name).pathname === '/marks').length"
LENGTHS = (90, 5, 90, 5, 60)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[HallServer]:
    with served(tmp_path / "data", competition(*LENGTHS)) as running:
        yield running


@pytest.fixture
def hall(browser: Browser, server: HallServer) -> Iterator[Hall]:
    with a_hall(browser, server.url) as opened:
        yield opened


@pytest.fixture
def desk(hall: Hall) -> Desk:
    return hall.desk()


def needs(desk: Desk) -> str:
    return desk.open("/desk").locator(".needs").inner_text()


def test_another_tablet_takes_the_lane_and_the_dead_ones_marks_merge_when_it_wakes(hall: Hall, desk: Desk) -> None:
    first, board = hall.tablet(desk, 1), hall.watch()
    desk.go("Heat 1")
    online = count_together([first], 4)
    all_safe(first, online)
    assert first.page.evaluate(REQUESTED) == 0, "they went on the line that the tablet holds open"
    first.cut_off()  # its battery dies
    unsent = count_together([first], 5)
    expect(first.part("kept")).to_have_text(f"{unsent} waiting on this tablet")

    second = hall.tablet(desk, 1)
    expect(second.part("count")).to_have_text(str(online))
    after = count_together([second], 3)
    expect(second.part("count")).to_have_text(str(online + after))
    expect(score(board, "Chalk Lines")).to_contain_text(f"{online + after} points")

    first.page.context.set_offline(False)  # somebody found a charger
    for judge in (first, second):
        expect(judge.part("count")).to_have_text(str(online + unsent + after))
        expect(judge.part("line")).to_contain_text("Heat 1")
    expect(score(board, "Chalk Lines")).to_contain_text(f"{online + unsent + after} points")
    assert len({mark["id"] for mark in reps(desk, judge_sheet(desk, 1))}) == online + unsent + after
    assert "while another was counting" not in needs(desk)


def test_two_tablets_that_count_at_once_are_flagged_and_not_summed(hall: Hall, desk: Desk) -> None:
    first, second, board = hall.tablet(desk, 1), hall.tablet(desk, 1), hall.watch()
    desk.go("Heat 1")
    taps = count_together([first, second], 6)
    assert taps > 3
    for judge in (first, second):
        expect(judge.part("count")).to_have_text(str(taps))
    expect(first.part("not-counting")).to_be_hidden()
    expect(second.part("not-counting")).to_contain_text(f"{taps} so far")
    expect(second.part("line")).to_have_text("Another tablet counts this lane: yours does not count. Call the desk.")
    expect(first.part("line")).to_have_text("Another tablet counts this lane too. Yours counts. Call the desk.")
    expect(score(board, "Chalk Lines")).to_contain_text(f"{taps} points")
    assert len(reps(desk, judge_sheet(desk, 1))) == 2 * taps, "nothing is dropped"
    assert f"{taps} marks: Marked on one tablet while another was counting" in needs(desk)


def test_a_laptop_replaced_from_the_competition_file_gets_everything_again(
    hall: Hall, desk: Desk, server: HallServer, tmp_path: Path
) -> None:
    judge = hall.tablet(desk, 1)
    desk.go("Heat 1")
    early = count_together([judge], 3)
    all_safe(judge, early)
    (tmp_path / "old.json").write_bytes(desk.fetch("/desk/competition.json"))
    late = count_together([judge], 4)
    all_safe(judge, early + late)
    server.stop()  # and nobody has its disk, the only copy of those four
    unseen = count_together([judge], 2)

    take_in(tmp_path / "old.json", tmp_path / "other")
    other = server.another(tmp_path / "other")
    other.start()
    try:
        desk.enter(other.url)
        expect(judge.part("line")).to_contain_text("paired")
        expect(judge.part("count")).to_have_text(str(early + late + unseen))
        code = desk.code(1)
        judge.page.goto(f"{other.url}/pair")
        judge.page.get_by_label("The code on the desk's screen").fill(code)
        judge.page.get_by_role("button", name="Continue").click()
        agree(judge)
        expect(judge.part("count")).to_have_text(str(early + late + unseen))
        expect(judge.part("kept")).to_have_text("0 waiting on this tablet")
        until = time.monotonic() + PATIENCE_MS / 1000  # what the old laptop held is asked for with the start list
        while len(marks := reps(desk, judge_sheet(desk, 1))) < early + late + unseen and time.monotonic() < until:
            judge.page.wait_for_timeout(50)
        assert len({mark["id"] for mark in marks}) == len(marks) == early + late + unseen
    finally:
        other.stop()


def test_a_tablet_that_can_not_send_is_carried_to_the_desk_as_a_file(hall: Hall, desk: Desk, tmp_path: Path) -> None:
    judge = hall.tablet(desk, 1)
    desk.go("Heat 1")
    online = count_together([judge], 2)
    all_safe(judge, online)
    judge.cut_off()
    offline = count_together([judge], 4)
    saved = save_marks(judge, tmp_path)
    assert len(json.loads(saved.read_bytes())["marks"]) == online + offline

    page = desk.open("/desk/backups")
    page.get_by_label("The tablet's file").set_input_files(saved)
    page.get_by_role("button", name="Take in its marks").click()
    taken = f"{offline} marks taken from Lane 1 tablet; {online} were here already."
    expect(page.locator("main").get_by_text(taken)).to_be_visible()
    assert len(reps(desk, judge_sheet(desk, 1))) == online + offline
    judge.page.context.set_offline(False)
    all_safe(judge, online + offline)
    assert len(reps(desk, judge_sheet(desk, 1))) == online + offline


def save_marks(judge: Person, folder: Path) -> Path:
    """Menu, “Save all marks as a file”; and what it would say if it could only be read out."""
    judge.part("open-menu").click()
    judge.part("totals").locator("summary").click()
    expect(judge.part("totals")).to_contain_text(f"{judge.part('count').inner_text()} reps")
    with judge.page.expect_download() as coming:
        judge.part("save-marks").click()
    file = folder / coming.value.suggested_filename
    coming.value.save_as(file)
    judge.part("menu-close").click()
    return file
