"""The whole job through the public door, in real browsers: from an empty data folder to a signed sheet and equal results.

GO is given by hand and counted in on every screen; what follows in a heat is not waited for: when all that belongs to a window is
done, its clock is moved to the next.
"""

import csv
import io
import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.hall_server import HallServer
from tests.browser.people import PHONE, Desk, Hall, Person, a_hall, agree, board_rows, count_together
from tests.compose.composer_page import open_part
from tests.test_serving import asked

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(300)]

SUM = "=1+1"
QUOTED = 'Ana "Bo", José'
LONG = "The Sixty Letter Chalk Dust Sisterhood of the Lower Harbours"
OTHERS = """Masters pairs; Low Tide; Mira Stone (Quay Barbell); Tove Reed
Masters pairs; Slow Burn; Noor Vale; Pim Hart
Masters pairs; Two Left; Rafa Moor; Sanne Ek
Masters pairs; Iron Larks; Uma Lind; Wout Brook
Open pairs; Chalk Lines; Ilse Ek; Bo Lind"""
# A's step-ups, sit-ups and presses, then B's presses, sit-ups and step-ups, with rests: far longer than anybody needs.
STEP_UPS, SIT_UPS, A_LIFTS, B_LIFTS = 0, 2, 4, 5
LENGTH, REST, LIFTING = "2:00", "0:01", "3:00"
LANES = (1, 2, 4)
BELL_MS = 1000  # so long after the last bell
WATCHING = """() => {
  window.countdown = [];
  window.tones = [];
  new MutationObserver(() => {
    const said = document.querySelector('.go-now, [data-role="countdown"]')?.textContent;
    if (said && said !== window.countdown.at(-1)) window.countdown.push(said);
  }).observe(document.body, { subtree: true, childList: true, characterData: true });
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...when) {
    window.tones.push(this.frequency.value);
    return start.apply(this, when);
  };
}"""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[HallServer]:
    running = HallServer(tmp_path / "data", host="0.0.0.0")
    running.start()
    yield running
    running.stop()


@pytest.fixture
def hall(browser: Browser, server: HallServer) -> Iterator[Hall]:
    with a_hall(browser, server.url) as opened:
        yield opened


def set_up(desk: Desk) -> None:
    """Two divisions of pairs, eight entries, one event of short windows, two heats on four lanes."""
    page = desk.open("/desk/competition")
    page.get_by_label("Name", exact=True).fill("Harbour Hall Open")
    page.get_by_label("kg", exact=True).check()
    desk.press("Save")
    for division in ("Open pairs", "Masters pairs"):
        desk.open("/desk/divisions").get_by_label("A new division").fill(division)
        desk.press("Add")
    for name, members in ((SUM, (SUM, "Bo Lind")), (QUOTED, (QUOTED, "Cy Reed")), (LONG, (LONG[:40], "José Vale"))):
        set_up_entry(desk, name, members)
    desk.open("/desk/entries/paste").get_by_label("Lines").fill(OTHERS)
    desk.press("Preview")
    desk.press("Save these 5 entries")
    set_up_event(desk)
    page = desk.open("/desk/heats")
    page.get_by_label("First heat at").fill("09:30")
    desk.press("Fill heats")
    page.locator("main").get_by_role("link", name="Heat 1").click()
    page.get_by_label("Judge on lane 1").fill("Imre Quay")
    desk.press("Save")


def set_up_entry(desk: Desk, name: str, members: tuple[str, str]) -> None:
    page = desk.open("/desk/entries/new")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Division").select_option("Open pairs")
    for letter, member in zip("AB", members, strict=True):
        page.get_by_label(f"Member {letter}").fill(member)
    page.locator("main").get_by_role("button", name="Save", exact=True).last.click()
    page.wait_for_url("**/desk/entries")


def set_up_event(desk: Desk) -> None:
    page = desk.open("/desk/events/new/mirrored_pair")
    page.get_by_label("Name of the event").fill("Turn about")
    page.get_by_label("The length of a window").fill(LENGTH)
    page.get_by_label("The rest between two windows").fill(REST)
    page.get_by_label("Between the members").fill("0:00")
    with page.expect_navigation():
        desk.press("Make this event")
    for window in (A_LIFTS, B_LIFTS):
        open_part(page, f"#window-{window}")
        page.get_by_label(f"Window {window + 1} length").fill(LIFTING)
    with page.expect_navigation():
        page.get_by_role("button", name="Save the event").first.click()
    expect(page.locator(".notice").first).to_contain_text("Saved.")


def get_ready(judge: Person) -> None:
    """Ticks what is to be checked before GO and signs for the bar; the touches also give the page its sound."""
    judge.page.evaluate(WATCHING)
    judge.touch(judge.part("check-lane"))
    for box in judge.page.locator('[data-role^="check-"]').all():
        box.check()
    for line in judge.part("gear-line").all():
        line.click()
    judge.part("gear-name").fill("Kim")
    judge.part("gear-sign").click()
    expect(judge.part("gear-says")).to_have_text("Checked by Kim.")
    expect(judge.part("ready")).to_have_text("Ready. Waiting for GO from the desk.")


def type_load(person: Person, digits: str) -> None:
    for digit in digits:
        person.touch(person.page.locator(f'[data-role="keypad"] [data-key="{digit}"]'))
    expect(person.part("declare")).to_have_text(f"Declare {digits} kg")
    person.touch(person.part("declare"))


def lift_of_a(judge: Person, lifter: Person) -> None:
    """The lifter declares; no lift for knees that helped; a further try under the same declaration is good; the bar is racked."""
    judge.shows("lift")
    if lifter.page.locator("[data-typing]").count() == 0:
        lifter.touch(lifter.page.get_by_role("button", name="Type it"))
    type_load(lifter, "62")
    expect(judge.part("load")).to_have_text("62 kg")
    judge.touch(judge.part("no-lift"))
    judge.touch(judge.page.locator('[data-fault="knees"]'))
    expect(judge.part("attempts").locator("li")).to_have_count(1)
    judge.touch(judge.part("begun"))
    judge.touch(judge.part("good-lift"))
    expect(judge.part("attempts").locator("li[data-best]")).to_have_count(1)
    judge.touch(judge.part("racked"))
    expect(lifter.part("declared")).to_have_text("Declare the next load.")


def lift_of_b(judge: Person) -> None:
    """Nobody has a phone: the judge declares one step above the empty bar for the lifter."""
    judge.page.wait_for_function("() => document.querySelector('[data-role=who]').textContent.includes('Bo Lind')")
    judge.touch(judge.part("load-up"))
    judge.touch(judge.part("declare"))
    expect(judge.part("load")).to_have_text("21 kg")
    judge.touch(judge.part("good-lift"))
    expect(judge.part("attempts").locator("li[data-best]")).to_have_count(1)


def no_rep(judge: Person, fault: str) -> None:
    """Held, the button lays the faults out; one of them is chosen."""
    with judge.holding(judge.part("no-rep")):
        expect(judge.part("faults").locator(f'[data-fault="{fault}"]')).to_be_visible()
    judge.touch(judge.part("faults").locator(f'[data-fault="{fault}"]'))
    expect(judge.part("no-rep-count")).to_have_text("1")


def sign(judge: Person) -> None:
    """The sheet in words; athlete and judge sign it."""
    judge.shows("after")
    expect(judge.page.get_by_label("Judge", exact=True)).to_have_value("Imre Quay")
    for who in ("athlete", "judge"):
        judge.touch(judge.part(f"sign-{who}"))
        expect(judge.part(f"signed-{who}")).to_be_visible()


def reps(marks: list[dict[str, Any]], sheet: str, win: int) -> list[dict[str, Any]]:
    return [mark for mark in marks if mark["sheet"] == sheet and mark["kind"] == "rep" and mark["win"] == win]


def shown_in_csv(data: bytes) -> dict[str, tuple[str, str]]:
    rows = csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    return {row["entry"]: ("=" * (row["shared"] == "yes") + row["place"], row["score"]) for row in rows}


def recounted(file: Path) -> dict[str, tuple[str, str]]:
    """Place and score of each entry, by the command that needs no server."""
    told: subprocess.CompletedProcess[str] = asked("recount", str(file), "--json")
    assert told.returncode == 0, told.stderr
    rows = [row for event in json.loads(told.stdout)["events"] for table in event["standings"] for row in table["rows"]]
    shown = {True: "=", False: ""}
    return {row["name"]: (shown[row["shared"]] + str(row["place"] or ""), row["score"] or "") for row in rows}


def move_on(server: HallServer, window: int | None = None) -> None:
    """Moves the clock of the heat to a window, or past the last bell."""
    run = server.hall.projection.runs[-1]
    [event] = server.hall.projection.roster.events
    windows = event.format.windows
    server.go_was(windows[-1].end_ms + BELL_MS if window is None else windows[window].start_ms, heat=run.heat, lanes=LANES)


def judge_first_heat(desk: Desk, judges: list[Person], lifter: Person, board: Page, server: HallServer) -> dict[int, int]:
    """Plays heat 1 by touch; returns how often each counting window was tapped on every lane."""
    one, two, _ = judges
    tapped = {STEP_UPS: count_together(judges, 10)}
    expect(one.part("count")).to_have_text(str(tapped[STEP_UPS]))
    expect(one.part("take-back")).to_contain_text(f"rep {tapped[STEP_UPS]}")
    one.touch(one.part("take-back"))
    expect(one.part("count")).to_have_text(str(tapped[STEP_UPS] - 1))
    expect(board.locator("tbody tr", has_text=SUM).locator(".score")).to_contain_text(f"{tapped[STEP_UPS] - 1} points")
    expect(desk.page.locator("#lane-1 .lane-tablet")).to_contain_text("Online")
    expect(desk.page.locator("#lane-1 .lane-last")).to_contain_text("Taken back")
    move_on(server, SIT_UPS)
    for judge in judges:
        expect(judge.part("task")).to_have_text("Sit-ups")
    tapped[SIT_UPS] = count_together(judges, 10)
    no_rep(one, "upright")
    move_on(server, A_LIFTS)
    lift_of_a(one, lifter)
    move_on(server, B_LIFTS)
    lift_of_b(one)
    move_on(server)
    two.shows("after")
    return tapped


def test_a_competition_from_an_empty_folder_to_signed_and_equal_results(hall: Hall, server: HallServer, tmp_path: Path) -> None:
    desk = hall.desk_by_hand()
    set_up(desk)
    one = hall.tablet_by_hand(desk, 1, whole=True)
    two = hall.tablet(desk, 2, size={"width": 768, "height": 1024})
    four = hall.come()
    link = desk.invite(4).link
    assert link.split("#")[0] == desk.page.locator(".invitation .address").first.inner_text()
    desk.open("/desk/setup")  # the list of tablets loads itself anew when one comes, in the middle of what the desk does next
    four.page.goto(link)
    agree(four)
    assert "#" not in four.page.url
    lifter = hall.tablet_by_hand(desk, 1, "call screen", PHONE)
    board = hall.watch()
    for judge in (one, two, four):
        get_ready(judge)
    expect(one.part("entry")).to_have_text(SUM)

    desk.go("Heat 1")
    tapped = judge_first_heat(desk, [one, two, four], lifter, board, server)
    assert one.page.evaluate("window.countdown")[-4:] == ["3", "2", "1", "GO"]
    assert {740, 1175} <= set(one.page.evaluate("window.tones")), "three ticks and GO are heard"
    sign(one)
    marks = desk.marks()
    for judge in (one, two, four):
        assert {win: len(reps(marks, judge.sheet(), win)) for win in (STEP_UPS, SIT_UPS)} == tapped, "every tap, and none twice"
    assert min(tapped.values()) > 3 and {mark["body"]["fault"] for mark in marks if mark["kind"] == "norep"} == {"upright"}
    total = tapped[STEP_UPS] - 1 + tapped[SIT_UPS] + 62 + 21
    expect(board.locator("tbody tr", has_text=SUM).locator(".score")).to_contain_text(f"{total} points")

    one.touch(one.part("next-heat"))
    expect(one.part("line")).to_contain_text("Heat 2")
    desk.go("Heat 2")
    second = count_together([one], 5)
    desk.page.locator("#move-close summary").click()
    desk.page.locator("#move-close form button").click()
    one.shows("after")
    expect(one.part("kept")).to_have_text("0 waiting on this tablet")

    exported = tmp_path / "competition.json"
    exported.write_bytes(desk.fetch("/desk/competition.json"))
    found = recounted(exported)
    assert found[SUM] == ("1", str(total)) and sum(score == str(second) for _, score in found.values()) == 1
    expect(board.locator("tbody tr", has_text="Low Tide").locator(".score")).to_contain_text(str(second))
    assert board_rows(board) == found
    assert shown_in_csv(desk.fetch("/desk/results.csv")) == {
        f"'{SUM}" if name == SUM else name: row for name, row in found.items()
    }
    assert set(found) >= {SUM, QUOTED, LONG} and board.evaluate("window.neverReloaded")
