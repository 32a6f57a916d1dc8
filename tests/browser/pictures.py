"""Takes the README's pictures: `python -m tests.browser.pictures`. Real screens of an invented heat; nothing is drawn by hand."""

import random
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, expect, sync_playwright

from app.checks import NO_BROWSER, find_browser
from app.demo.cast import demo_file, strength_of
from app.demo.judge import SimulatedJudge
from app.live.servertime import this_machine
from app.rules.records.document import CompetitionFile, Run
from app.rules.records.marks import Mark
from app.rules.records.roster import Assignment
from tests.browser.hall_server import served
from tests.browser.people import TABLET, WALL, Hall, a_hall, count_together
from tests.browser.small_png import small
from tests.conftest import CHROMIUM_FLAGS

FOLDER = Path(__file__).parent / "pictures"
MOST_BYTES = 150_000
LANE = 2  # of heat 2: the longest names
COUNT = 137
QUICK = 1.6  # strength of a pair that skips so often in the time
INTO_SKIPS_MS = 97_000  # how far the second counting window of heat 2 has come


def part_way() -> CompetitionFile:
    """Heat 1 is judged; in heat 2 A is at the double skips, and lane 2 stands just below the count of the picture."""
    whole, now = demo_file(("09:30", "10:00", "10:30")), this_machine()
    skips = next(i for i, window in enumerate(whole.events[0].format.windows) if window.task == "skips")
    ago = whole.events[0].format.windows[skips].start_ms + INTO_SKIPS_MS
    offsets = (ago + 30 * 60_000, ago)
    runs = tuple(
        Run(heat=heat.id, number=1, go_server_ms=now.server_ms() - offset, go_wall_ms=now.wall_ms() - offset, boot=now.boot)
        for heat, offset in zip(whole.heats, offsets, strict=False)
    )
    marks: list[Mark] = []
    for heat, run, offset in zip(whole.heats, runs, offsets, strict=False):
        for lane in heat.lanes:
            shown = heat.number == 2 and lane.lane == LANE
            made = judged(whole, lane, run, QUICK if shown else strength_of(lane))
            made = [mark for mark in made if mark.at < offset]
            marks += fitted(made, skips) if shown else made
    competition = whole.competition.model_copy(update={"demo": False})
    fields = {name: getattr(whole, name) for name in type(whole).model_fields} | {"competition": competition}
    return CompetitionFile(**fields | {"runs": runs, "marks": tuple(marks)})


def judged(whole: CompetitionFile, lane: Assignment, run: Run, strength: float) -> list[Mark]:
    """A whole sheet as a simulated judge makes it."""
    chance = random.Random(f"{lane.id}/{run.number}")
    sheet, device = f"{lane.id}/{run.number}/lane", f"judge-{lane.id}"
    return SimulatedJudge(whole.events[0].format, sheet, device, run.go_wall_ms, strength, chance).marks()


def fitted(marks: list[Mark], skips: int) -> list[Mark]:
    """The sheet with so many repetitions of skips that five more taps make the picture's count."""
    before = [mark for mark in marks if mark.win != skips]
    reps = [mark for mark in marks if mark.win == skips and mark.kind == "rep"][: COUNT - 5]
    assert len(reps) == COUNT - 5, "the pair is not quick enough for the picture"
    return before + reps


def take(page: Page, name: str) -> None:
    """Saves what a page shows as a small file."""
    picture = FOLDER / f"{name}.png"
    page.evaluate("() => document.fonts.ready")
    picture.write_bytes(small(page.screenshot(animations="disabled"), page.context))
    size = picture.stat().st_size
    assert size < MOST_BYTES, f"{picture.name} has {size:,} bytes"
    print(f"{picture.relative_to(Path.cwd())}  {size:,} bytes")


def take_all(browser: Browser, hall: Hall) -> None:
    """The lane screen in the middle of a heat, and the board."""
    desk = hall.desk()
    judge = hall.tablet(desk, LANE, size=TABLET)
    judge.page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    count_together([judge], 5)
    expect(judge.part("count")).to_have_text(str(COUNT))
    expect(judge.part("kept")).to_have_text("0 only on this tablet")
    take(judge.page, "lane")
    board = hall.watch(WALL)
    board.emulate_media(color_scheme="dark", reduced_motion="reduce")
    expect(board.locator("#floor-now")).to_contain_text("Double skips")
    take(board, "board")


def main() -> None:
    """Takes both pictures."""
    found = find_browser()
    if found is None:
        raise SystemExit(NO_BROWSER)
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright, served(Path(folder), part_way()) as server:
        browser = playwright.chromium.launch(executable_path=found, args=CHROMIUM_FLAGS)
        with a_hall(browser, server.url) as hall:
            take_all(browser, hall)
        browser.close()


if __name__ == "__main__":
    main()
