"""What goes wrong in a hall, in real browsers: no network for the rest of a heat, a server killed in mid-window, wrong hands."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from app.rehearsal.turns import turn_about
from app.rules.records.document import CompetitionFile
from app.rules.workout.formats import Format
from tests.browser.hall_server import HallServer, served
from tests.browser.people import Desk, Hall, Person, a_hall, count_together
from tests.browser.server_process import ServerProcess, a_process
from tests.builders.halls import STORE, a_mark
from tests.builders.pairs import a_file
from tests.faults import hearing
from tests.faults.ground import Ground, Lane, in_file
from tests.faults.hearing import Said
from tests.faults.table import TellOf
from tests.faults.teller import Teller

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.apart, pytest.mark.slow, pytest.mark.timeout(180)]

NAMES = (("Chalk Lines", "Iron Larks"), ("Slow Burn", "Low Tide"))
CUT_OFF = (9, 1, 7, 1, 1)  # seconds of the heat in which a tablet is without network, and loads its page anew
CLOCK_ERROR_MS = 150  # a busy machine paints late; a clock that was set anew would be off by seconds
# A clock that counts whole seconds down is exact at the moment it changes: that moment and what it says give the bell.
SAMPLING = """() => {
  window.bells = [];
  let last = '';
  const look = () => {
    const said = document.querySelector('[data-role="clock"]').textContent;
    if (said !== last) {
      const [minutes, seconds] = said.split(':').map(Number);
      window.bells.push(performance.now() + (minutes * 60 + seconds) * 1000);
      last = said;
    }
    requestAnimationFrame(look);
  };
  look();
}"""


def competition(*lengths: int) -> CompetitionFile:
    """A heat of four lanes; windows of these lengths in seconds: A's taps, rest, push-ups, rest, squat."""
    plain = turn_about().model_dump(mode="json")
    starts = [sum(lengths[:i]) for i in range(len(lengths))]
    whole = [plain["windows"][i] for i in (0, 1, 7, 3, 4)]
    windows = [{**window, "start": s, "seconds": n} for window, s, n in zip(whole, starts, lengths, strict=False)]
    file = a_file(NAMES, runs=0)
    event = file.events[0].model_copy(update={"format": Format.model_validate({**plain, "windows": windows})})
    return file.model_copy(update={"events": (event,)})


@pytest.fixture
def lengths() -> tuple[int, ...]:
    return (90, 5, 90, 5, 60)


@pytest.fixture
def server(tmp_path: Path, lengths: tuple[int, ...]) -> Iterator[HallServer]:
    with served(tmp_path / "data", competition(*lengths)) as running:
        yield running


@pytest.fixture
def hall(browser: Browser, server: HallServer) -> Iterator[Hall]:
    with a_hall(browser, server.url) as opened:
        yield opened


@pytest.fixture
def desk(hall: Hall) -> Desk:
    return hall.desk()


class Listener:
    """Everybody in the hall who says something, and the teller who holds it against what is so."""

    def __init__(self, teller: Teller, desk: Desk, judges: Sequence[Person], board: Page | None) -> None:
        self.ground = teller.ground
        self._teller, self._desk, self._board = teller, desk, board
        self._judges = dict(enumerate(judges, start=1))
        self.ground.lanes.update({lane: Lane() for lane in self._judges})
        for judge in judges:
            hearing.watch_clock(judge.page)

    def tapped(self, lane: int, times: int, window: int = 0, run: int = 1) -> int:
        """A lane's judge tapped so often."""
        self.ground.lane(lane).tapped(times, judge_sheet(self._desk, lane, run), window)
        return times

    def listen(self) -> None:
        """All that is said now is true."""
        self._teller.listen(self._on_tablets, self._at_desk, self._on_pages)

    def _on_tablets(self) -> Iterator[Said]:
        for lane, judge in self._judges.items():
            yield from hearing.on_tablet(judge.page, lane)

    def _at_desk(self) -> Iterator[Said]:
        if self.ground.runs:
            yield from hearing.at_desk(lambda path: self._desk.fetch(path).decode())
            yield from hearing.health(int(self._desk.url.rpartition(":")[2]))

    def _on_pages(self) -> Iterator[Said]:
        yield from hearing.lines(self._desk.page, "desk", "#desk-line")
        if self._board:
            yield from hearing.lines(self._board, "board", "#board-line")


Hears = Callable[..., Listener]


@pytest.fixture
def hears(tell_of: TellOf, tmp_path: Path, lengths: tuple[int, ...]) -> Hears:
    """Listens to a desk, its judges from lane 1 on and a board, under a fault."""
    starts = [sum(lengths[:i]) * 1000 for i in range(len(lengths))]
    windows = tuple((start, start + length * 1000) for start, length in zip(starts, lengths, strict=True))
    store = tmp_path / "data" / STORE

    def made(fault: str, desk: Desk, judges: Sequence[Person], board: Page | None = None) -> Listener:
        return Listener(tell_of(fault, Ground(lambda: in_file(store), windows=windows)), desk, judges, board)

    return made


def score(board: Page, entry: str) -> Any:
    return board.locator("tbody tr", has_text=entry).locator(".score")


def reps(desk: Desk, sheet: str) -> list[dict[str, Any]]:
    return [mark for mark in desk.marks() if mark["sheet"] == sheet and mark["kind"] == "rep"]


def all_safe(judge: Person, marks: int) -> None:
    """Waits until the strip says that all marks are at the desk."""
    expect(judge.part("safe")).to_have_text(f"{marks} marks at the desk")
    expect(judge.part("kept")).to_have_text("0 waiting on this tablet")


@pytest.mark.parametrize("lengths", [CUT_OFF])
def test_without_network_for_the_rest_of_a_heat_nothing_is_lost_and_nothing_doubled(hall: Hall, desk: Desk, hears: Hears) -> None:
    judge, board = hall.tablet(desk, 1, whole=True), hall.watch()
    told = hears("no network for the rest of a heat", desk, [judge], board)
    judge.page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    told.listen()
    desk.go("Heat 1")
    online = told.tapped(1, count_together([judge], 5))
    all_safe(judge, online)

    told.ground.lane(1).cut = True
    judge.cut_off()
    offline = told.tapped(1, count_together([judge], 12))
    assert offline > 3, "the window was long enough to try it"
    expect(judge.part("kept")).to_have_text(f"{offline} waiting on this tablet")
    expect(judge.part("line")).to_contain_text("marks are kept here")
    judge.page.reload()
    judge.page.wait_for_function("() => document.querySelector('[data-role=task]')?.textContent === 'Push-ups'")
    again = told.tapped(1, count_together([judge], 9), window=2)
    expect(judge.part("kept")).to_have_text(f"{offline + again} waiting on this tablet")
    judge.shows("after")
    expect(judge.part("sheet-result")).to_have_text([f"{online + offline} reps", f"{again} reps", "no lift was judged"])
    # A page that loads may get a request out before the browser's imitation of a cut takes hold; its answer is lost all the same.
    assert len(reps(desk, judge_sheet(desk, 1))) < online + offline + again, "the desk does not know all of them yet"
    told.listen()

    judge.page.context.set_offline(False)
    told.ground.lane(1).cut = False
    all_safe(judge, online + offline + again)
    told.listen()
    marks = reps(desk, judge_sheet(desk, 1))
    assert Counter(mark["win"] for mark in marks) == {0: online + offline, 2: again}
    assert len({mark["epoch"] for mark in marks}) == 2 and len({mark["id"] for mark in marks}) == len(marks)
    expect(score(board, "Chalk Lines")).to_contain_text(f"{online + offline + again} points")
    assert board.evaluate("window.neverReloaded")


def judge_sheet(desk: Desk, lane: int, run: int = 1) -> str:
    return f"asg_{lane - 1}/{run}/lane"


def test_a_server_killed_in_mid_window_comes_back_without_a_jump_or_a_loss(
    browser: Browser, lengths: tuple[int, ...], tmp_path: Path, hears: Hears
) -> None:
    with a_process(tmp_path / "data", competition(*lengths)) as server, a_hall(browser, server.url) as hall:
        _goes_on_over_a_kill(hall, hall.desk(), server, hears)


def _goes_on_over_a_kill(hall: Hall, desk: Desk, server: ServerProcess, hears: Hears) -> None:
    judges, board = [hall.tablet(desk, 1), hall.tablet(desk, 2)], hall.watch()
    told = hears("the server killed in mid-window", desk, judges, board)
    desk.go("Heat 1")
    before = _tapped(told, judges, 6)
    for judge in judges:
        judge.page.evaluate(SAMPLING)
        all_safe(judge, before)
    judges[0].page.wait_for_function("() => window.bells.length > 3")
    told.listen()

    server.kill()
    told.ground.runs = False
    while_dead = _tapped(told, judges, 8)
    expect(judges[0].part("count")).to_have_text(str(before + while_dead))
    expect(judges[0].part("line")).to_contain_text("marks are kept here")
    expect(board.locator("#board-line")).to_contain_text("No line to the desk")
    told.listen()
    seen = [judge.page.evaluate("window.bells.length") for judge in judges]
    server.start()
    told.ground.runs = True

    for lane, judge in enumerate(judges, start=1):
        all_safe(judge, before + while_dead)
        expect(judge.part("line")).to_contain_text("Heat 1")
        assert len(reps(desk, judge_sheet(desk, lane))) == before + while_dead
    told.listen()
    judges[0].page.wait_for_function(f"() => window.bells.length > {seen[0]} + 3")
    after = _tapped(told, judges, 4)
    for judge, known in zip(judges, seen, strict=True):
        bells = judge.page.evaluate("window.bells")
        assert min(bells[1:known]) == pytest.approx(min(bells[known:]), abs=CLOCK_ERROR_MS)
        all_safe(judge, before + while_dead + after)
    for entry in NAMES[0]:
        expect(score(board, entry)).to_contain_text(f"{before + while_dead + after} points")
    expect(board.locator("#board-line")).to_be_hidden()
    assert board.evaluate("window.neverReloaded")


def _tapped(told: Listener, judges: Sequence[Person], most: int) -> int:
    """All judges tap so often, and the teller knows of it."""
    times = count_together(judges, most)
    for lane, _ in enumerate(judges, start=1):
        told.tapped(lane, times)
    return times


def test_a_false_start_is_stopped_and_its_marks_no_longer_count(hall: Hall, desk: Desk, hears: Hears) -> None:
    judge, board = hall.tablet(desk, 1), hall.watch()
    told = hears("a false start, stopped", desk, [judge], board)
    desk.go("Heat 1")
    told.tapped(1, count_together([judge], 4))
    expect(score(board, "Chalk Lines")).to_contain_text("4 points")
    desk.page.locator("#move-abort summary").click()
    desk.page.locator("#move-abort").get_by_label("Why").fill("False start on lane 3")
    desk.page.locator("#move-abort form button").click()
    judge.shows("before")
    expect(judge.page.get_by_text("The desk stopped this heat")).to_be_visible()
    expect(score(board, "Chalk Lines")).not_to_contain_text("4")
    told.listen()
    desk.go("Heat 1")
    told.tapped(1, count_together([judge], 3), run=2)
    expect(judge.part("count")).to_have_text("3")
    expect(score(board, "Chalk Lines")).to_contain_text("3 points")
    told.listen()
    assert [len(reps(desk, judge_sheet(desk, 1, run))) for run in (1, 2)] == [4, 3], "nothing is deleted"


def test_lane_1_cannot_write_for_lane_2_and_a_tablet_sent_away_is_told(hall: Hall, desk: Desk, hears: Hears) -> None:
    judge = hall.tablet(desk, 1)
    heard = hears("marks for another lane; a tablet sent away", desk, [judge])
    desk.go("Heat 1")
    heard.tapped(1, count_together([judge], 2))
    all_safe(judge, 2)
    foreign = a_mark(sheet=judge_sheet(desk, 2))
    told = judge.page.evaluate(
        """async (mark) => {
          const headers = { 'content-type': 'application/json' };
          return (await fetch('/marks', { method: 'POST', headers, body: JSON.stringify({ marks: [mark] }) })).json();
        }""",
        foreign,
    )
    assert [refused["seq"] for refused in told["refused"]] == [1] and "lane" in told["refused"][0]["sentence"]
    assert {mark["sheet"] for mark in desk.marks()} == {judge_sheet(desk, 1)}

    page = desk.open("/desk/tablets")
    page.locator("summary", has_text="for lane 1").click()
    page.get_by_role("button", name="End its pairing now Lane 1 tablet").click()
    expect(judge.part("line")).to_have_text("The desk has ended this device's pairing. Ask the desk for a new code.")
    heard.ground.lane(1).paired, heard.ground.lane(1).kept = False, 1
    judge.touch(judge.part("count-target"))
    heard.tapped(1, 1)
    expect(judge.part("count")).to_have_text("3")
    expect(judge.part("kept")).to_have_text("1 waiting on this tablet")
    heard.listen()
    assert len(reps(desk, judge_sheet(desk, 1))) == 2
