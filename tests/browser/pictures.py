"""Takes the README's pictures: `python3 -m tests.browser.pictures`. Real screens of the demo; nothing is drawn by hand."""

import asyncio
import re
import tempfile
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from app.checks import NO_BROWSER, find_browser
from app.demo import filling
from app.live.servertime import this_machine
from app.rules.records.document import CompetitionFile
from app.server import close_hall, open_hall
from app.settings import Settings
from tests.browser.hall_server import served
from tests.browser.people import TABLET, WALL, Hall, a_hall
from tests.browser.small_png import small
from tests.conftest import CHROMIUM_FLAGS

FOLDER = Path(__file__).parent / "pictures"
MOST_BYTES = 150_000
LANE = 3
AT_THE_BAR_MS = 138_000  # how far the third heat of the lifts has come: somebody is at the bar, nobody decides for nine seconds
AT_THE_THROWS_MS = filling.EVERY_MS + 392_000  # and the first heat of the relay: in its last window


def demo_at(into_ms: int) -> CompetitionFile:
    """The demo as it is when the third heat of its lifts had its GO so long ago, without its banner."""

    async def filled(folder: Path) -> CompetitionFile:
        hall = open_hall(Settings(data=folder, open_browser=False), this_machine())
        try:
            await filling.fill(hall, into_ms)
            held, roster = hall.projection, hall.projection.roster
            assert roster is not None  # it was filled a moment ago
            fields = {name: getattr(roster, name) for name in type(roster).model_fields}
            fields["competition"] = roster.competition.model_copy(update={"demo": False})
            return CompetitionFile(**fields, runs=held.runs, rulings=held.rulings, marks=tuple(hall.ledger.all_marks()))
        finally:
            await close_hall(hall)

    with tempfile.TemporaryDirectory() as folder:
        return asyncio.run(filled(Path(folder)))


def take(page: Page, name: str) -> None:
    """Saves what a page shows as a small file."""
    assert name in {one for _, _, names in MOMENTS for one in names}, "the README's test looks for the names in MOMENTS"
    picture = FOLDER / f"{name}.png"
    page.evaluate("() => document.fonts.ready")
    picture.write_bytes(small(page.screenshot(animations="disabled"), page.context))
    size = picture.stat().st_size
    assert size < MOST_BYTES, f"{picture.name} has {size:,} bytes"
    print(f"{picture.relative_to(Path.cwd())}  {size:,} bytes")


def in_the_dark(page: Page) -> Page:
    """A page as a dark hall shows it, with nothing moving."""
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    return page


def at_the_throws(hall: Hall) -> None:
    """A judge's lane screen while repetitions are counted, and a wall."""
    judge = hall.tablet(hall.desk(), LANE, size=TABLET)
    in_the_dark(judge.page)
    for member in (1, 2, 3, 1):
        judge.touch(judge.part(f"member-{member}"))
    expect(judge.part("kept")).to_have_text("0 waiting on this tablet")
    take(judge.page, "lane")
    wall = in_the_dark(hall.come(WALL, touch=False).page)
    wall.goto(f"{hall.url}/wall")
    expect(wall.locator(".wall-row")).to_have_count(6)
    take(wall, "wall")


def at_the_bar(hall: Hall) -> None:
    """The centre referee's screen in the lifts, and the board."""
    judge = hall.tablet(hall.desk(), LANE, "centre referee", size=TABLET)
    expect(in_the_dark(judge.page).get_by_role("button", name="Good lift")).to_be_visible()
    take(judge.page, "lift")
    board = in_the_dark(hall.watch(WALL))
    expect(board.locator(".floor-words")).to_contain_text("Front squat")
    take(board, "board")


# Each moment of the demo, who takes pictures there, and which.
MOMENTS: tuple[tuple[int, Callable[[Hall], None], tuple[str, ...]], ...] = (
    (AT_THE_THROWS_MS, at_the_throws, ("lane", "wall")),
    (AT_THE_BAR_MS, at_the_bar, ("lift", "board")),
)


def shown_in(readme: str) -> list[str]:
    """The pictures that a text shows, by their paths."""
    return re.findall(r"!\[[^\]]*\]\(([^)]+)\)", readme)


def main() -> None:
    """Takes the pictures."""
    found = find_browser()
    if found is None:
        raise SystemExit(NO_BROWSER)
    FOLDER.mkdir(exist_ok=True)
    for into_ms, pictures, _ in MOMENTS:
        whole = demo_at(into_ms)  # before the browser, which keeps this thread's loop to itself
        with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright, served(Path(folder), whole) as server:
            browser = playwright.chromium.launch(executable_path=found, args=CHROMIUM_FLAGS)
            with a_hall(browser, server.url) as hall:
                pictures(hall)
            browser.close()


if __name__ == "__main__":
    main()
