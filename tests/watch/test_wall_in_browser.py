"""A wall through a whole event in one page: each scene is driven, fits, and reads from as far as the desk's page says."""

import base64
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from app.live.servertime import this_machine
from app.people.entry_pictures import give_picture
from app.rules.records.document import CompetitionFile
from app.rules.records.holding import Hold
from app.rules.workout.plate_sets import set_to_begin
from app.rules.workout.plates import LanePlates
from app.watch.walls import ALONE, GAP, IN_LIFT, LEAD, LEADER, LOAD, NAMES, PODIUM, reach, row_size, say_scene
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import found_on
from tests.builders.images import a_png
from tests.builders.pairs import FORMAT, SQUAT, a_file, a_mark

pytestmark = [pytest.mark.browser, pytest.mark.timeout(120)]

LONG = "The Sixty Letter Chalk Dust Sisterhood of the Lower Harbours"
LANES, FEW = 12, 4
CREWS = ("HHH", LONG, *(f"Lane Crew {n}" for n in range(3, LANES + 1)))
LATER = tuple(f"Evening Crew {n}" for n in range(1, 21))
SIZES = ((1920, 1080), (1366, 768), (1280, 800), (768, 1024))
LENGTH_MS = FORMAT.length_ms
SCREEN_CM = 120
TAPPED_BY_ALL, TAPPED_BY_FIRST = 5, 110
RACE_NAMES = ["Lane", "Entry", "This window", "Total, points", "Gap"]
# Everything that is read stands inside the window, no line lies on another, and every name is there, whole.
FAULTS = """() => {
  const found = [];
  const main = document.getElementById('wall');
  const told = '.fit-words, .clock, .wall-total, .wall-count, .wall-number';
  for (const one of [...main.querySelectorAll(told)].filter((one) => one.textContent && one.checkVisibility())) {
    const box = one.getBoundingClientRect();
    if (box.right > innerWidth + 1 || box.left < -1) found.push(`${one.textContent} sticks out sideways`);
  }
  const rows = [...main.querySelectorAll('.wall-row, .wall-step')].map((one) => one.getBoundingClientRect());
  for (const one of main.querySelectorAll('.wall-step .fit-words')) {
    const [text, row] = [one, one.closest('.wall-step')].map((at) => at.getBoundingClientRect());
    if (text.top < row.top - 1 || text.bottom > row.bottom + 1) found.push(`${one.textContent} is higher than its row`);
  }
  rows.forEach((box, n) => {
    if (box.bottom > innerHeight + 1) found.push(`row ${n + 1} is below the window`);
    if (n && box.top < rows[n - 1].bottom - 1) found.push(`row ${n + 1} lies on the one before`);
  });
  for (const row of main.querySelectorAll('.wall-row, .wall-names')) {
    const texts = [...row.children].filter((one) => !one.matches('.wall-bar') && one.textContent);
    const boxes = texts.map((one) => (one.querySelector('.fit-words, .wall-name') ?? one).getBoundingClientRect());
    const over = boxes.some((box, n) => n && box.left < boxes[n - 1].right - 2);
    if (over) found.push(`a text lies on another: ${row.textContent}`);
  }
  return found;
}"""
# The height, in pixels of the screen, of what is painted bright inside a box: of capitals, their height.
PAINTED = """async (data) => {
  const image = await createImageBitmap(new Blob([Uint8Array.from(atob(data), (one) => one.charCodeAt(0))]));
  const canvas = new OffscreenCanvas(image.width, image.height).getContext('2d');
  canvas.drawImage(image, 0, 0);
  const { data: dots, width, height } = canvas.getImageData(0, 0, image.width, image.height);
  const bright = (y) => Array.from({ length: width }, (_, x) => (y * width + x) * 4).some((at) => dots[at] + dots[at + 1] > 330);
  const lines = Array.from({ length: height }, (_, y) => y).filter(bright);
  return lines.length ? lines.at(-1) - lines[0] + 1 : 0;
}"""


# The names that a picture beside them made much smaller than they are in rows without one.
SQUEEZED = """() => {
  const sizes = (rows) => rows.map((row) => parseFloat(getComputedStyle(row.querySelector('.wall-who .fit-words')).fontSize));
  const rows = [...document.querySelectorAll('.wall-row')];
  const pictured = rows.filter((row) => row.querySelector('.entry-picture')?.checkVisibility());
  const least = Math.max(...sizes(rows)) * 0.9;
  return pictured.filter((row) => sizes([row])[0] < least).map((row) => row.textContent);
}"""
# Three frames: the size, what is drawn for it, and that on the screen.
PAINTS = """async () => { for (let n = 0; n < 3; n += 1) await new Promise(requestAnimationFrame); }"""
NAME = ".wall-row .fit-words"
# On how many lines down the wall the ends of a column's numbers stand, column by column.
IN_LINE = """() => ['.wall-count', '.wall-total', '.wall-gap'].map((column) => {
  const told = [...document.querySelectorAll(column)].filter((one) => one.textContent);
  return new Set(told.map((one) => Math.round(one.getBoundingClientRect().right))).size;
})"""
# How far the first two lanes' bars are drawn.
DRAWN = """() => [...document.querySelectorAll('.wall-bar')].slice(0, 2)
  .map((one) => new DOMMatrix(getComputedStyle(one).transform).a)"""


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    """A heat of twelve pairs whose GO comes in a moment, and one of twenty after it."""
    now = this_machine()
    file = a_file((CREWS, LATER), heat_of=LANES, go_server_ms=now.server_ms() + 60_000, boot=now.boot)
    first, *rest = file.heats
    lanes = tuple(lane.model_copy(update={"lane": n}) for n, lane in enumerate((lane for heat in rest for lane in heat.lanes), 1))
    plates = set_to_begin("gym-kg", "pls", "Plates")
    assert plates is not None
    given = tuple(LanePlates(lane=n, plates="pls") for n in range(1, LANES + 1))
    later = rest[0].model_copy(update={"lanes": lanes})
    return file.model_copy(update={"heats": (first, later), "plate_sets": (plates,), "lane_plates": given})


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, competition: CompetitionFile) -> Iterator[HallServer]:
    """The competition, served; every other entry has a picture."""
    with served(tmp_path_factory.mktemp("wall"), competition) as running:
        for entry in competition.entries[::2]:
            running.run(give_picture(running.hall, entry.id, a_png()))
        yield running


@pytest.fixture(scope="module")
def wall(browser: Browser, server: HallServer) -> Iterator[Page]:
    """A wall, with its errors gathered."""
    context = browser.new_context(viewport={"width": 1920, "height": 1080}, color_scheme="dark", reduced_motion="reduce")
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(f"{server.url}/wall")
    yield page
    context.close()
    assert errors == []


def shows(wall: Page, scene: str, title: str = "") -> None:
    """Waits for a scene, and looks whether it fits on every size of screen."""
    expect(wall.locator("#wall")).to_have_attribute("data-scene", scene)
    expect(wall.locator("#wall-title")).to_contain_text(title)
    found = {}
    for width, height in SIZES:
        wall.set_viewport_size({"width": width, "height": height})
        wall.evaluate(PAINTS)
        if faults := wall.evaluate(FAULTS):
            found[f"{scene} at {width}x{height}"] = faults
    wall.set_viewport_size({"width": 1920, "height": 1080})
    wall.evaluate(PAINTS)
    assert found == {}


def clean(wall: Page) -> None:
    """Nothing on it is grave to axe-core."""
    assert found_on(wall, light=False) == []


def taps(lane: int, count: int, first: int) -> list[dict[str, Any]]:
    return [a_mark(f"asg_{lane}", first + n, "rep", 2_000 + n * 300, 0) for n in range(count)]


def painted_m(wall: Page, selector: str) -> float:
    """From how many metres a text of capitals reads, on a screen so wide: by the height of what is painted."""
    shot = wall.locator(selector).first.screenshot()
    pixels = wall.evaluate(PAINTED, base64.b64encode(shot).decode())
    return float(pixels) * SCREEN_CM / 1920 * 250 / 100


def reads(wall: Page, selector: str, size: Fraction) -> float:
    """From how many metres the desk's page says that type of this size reads, which what is painted has to hold."""
    said, painted = float(reach(size, SCREEN_CM)), painted_m(wall, selector)
    assert painted >= said, (selector, painted, said)
    return said


def test_a_wall_goes_through_an_event_by_itself(wall: Page, server: HallServer) -> None:
    shows(wall, "lineup", "Heat 1")
    expect(wall.locator(".wall-row")).to_have_count(LANES)
    expect(wall.locator("#wall-label")).to_have_text("GO in")
    shown = wall.locator(".wall-row .entry-picture:visible")
    assert shown.count() > 1 and shown.first.evaluate("(one) => one.naturalWidth") == 64
    assert wall.evaluate(SQUEEZED) == []
    reads(wall, NAME, row_size(LANES, ALONE))

    server.go_was(40_000)
    server.mark([mark for lane in range(LANES - 1) for mark in taps(lane, TAPPED_BY_ALL, 1)] + taps(0, TAPPED_BY_FIRST, 50))
    shows(wall, "race", "Heat 1")
    expect(wall.locator(".wall-row")).to_have_count(LANES)
    expect(wall.locator(".wall-leader-who")).to_have_text("HHH")
    expect(wall.locator(".wall-leader-by")).to_have_text(f"+{TAPPED_BY_FIRST}")
    expect(wall.locator(".wall-leader-of")).to_have_text("In the lead")
    expect(wall.locator(".wall-row .wall-gap").first).to_have_text(f"+{TAPPED_BY_FIRST}")
    expect(wall.locator(".wall-row .wall-gap").nth(1)).to_have_text(f"−{TAPPED_BY_FIRST}")
    expect(wall.locator(".wall-row .wall-number").nth(1)).to_have_text("Lane2")
    expect(wall.locator(".wall-row .wall-total").last).to_have_text("–")
    assert wall.locator(".wall-name:visible").all_inner_texts() == RACE_NAMES
    expect(wall.locator(".wall-row").nth(1).locator(".wall-who")).to_have_text(LONG)
    clean(wall)
    assert wall.evaluate(DRAWN) == pytest.approx([1, TAPPED_BY_ALL / (TAPPED_BY_ALL + TAPPED_BY_FIRST)], abs=0.001)
    assert reads(wall, ".wall-leader-who .fit-words", LEADER) >= 20 and reads(wall, NAME, row_size(LANES)) >= 7
    assert reads(wall, ".wall-leader-by", LEAD) > reads(wall, ".wall-row:nth-child(3) .wall-gap", row_size(LANES) * GAP) > 5
    assert wall.evaluate(IN_LINE) == [1, 1, 1]
    reads(wall, ".wall-names .wall-number .wall-name", NAMES)
    assert painted_m(wall, "#wall-minutes") >= 20

    block = wall.context.new_page()
    block.set_viewport_size({"width": 1920, "height": 1080})
    block.goto(f"{server.url}/wall?for=lanes&first=1&last={FEW}")
    expect(block.locator(".wall-row")).to_have_count(FEW)
    reads(block, NAME, row_size(FEW))
    block.close()

    server.go_was(40_000, holds=(Hold(at_ms=35_000),))
    expect(wall.locator("#wall-label")).to_have_text("Held")
    expect(wall.locator(".wall-leader-who")).to_have_text("Held")
    shows(wall, "race")
    standing = wall.locator("#wall-minutes").inner_text()
    wall.wait_for_timeout(1200)
    assert wall.locator("#wall-minutes").inner_text() == standing, "the clock stands"

    squat = FORMAT.windows[SQUAT[0]].start_ms
    server.go_was(squat + 30_000)
    load = {"load": {"amount": "105", "unit": "kg"}}
    server.mark([a_mark("asg_2", 90, "declare", squat + 5_000, SQUAT[0], **load, by="judge")])
    server.mark([a_mark("asg_2", 91, "begun", squat + 28_000, SQUAT[0], declared=f"{2:08x}{1:08x}{90:016x}")])
    expect(wall.locator(".wall-lift-load")).to_contain_text("105 kg")
    expect(wall.locator(".wall-lift-state")).to_have_text("Lane 3: lifting now")
    assert wall.locator(".wall-plate").count() > 1, "the bar is drawn plate by plate"
    reads(wall, ".wall-lift-load", LOAD)
    reads(wall, NAME, row_size(LANES, IN_LIFT))
    shows(wall, "lift")
    server.mark([a_mark("asg_2", 92, "lift", squat + 29_000, SQUAT[0], **load, good=True)])
    expect(wall.locator(".wall-lights .lifts-light")).to_have_attribute("data-light", "good")
    clean(wall)

    server.go_was(LENGTH_MS + 1_000)
    shows(wall, "result", "Heat 1")
    expect(wall.locator(".wall-row .wall-place").first).to_have_text("1")
    server.go_was(LENGTH_MS + 13_000)
    shows(wall, "result", "Open pairs")
    expect(wall.locator(".wall-row[data-fresh]").first).to_be_visible()
    server.go_was(LENGTH_MS + 61_000)
    expect(wall.locator(".wall-row[data-fresh]")).to_have_count(0)
    expect(wall.locator("#wall")).to_have_attribute("data-scene", "standing")

    server.run(say_scene(server.hall, {"scene": "next"}))
    shows(wall, "next", "Turns")
    expect(wall.locator(".wall-row")).to_have_count(len(LATER))
    server.run(say_scene(server.hall, {"scene": ""}))
    server.go_was(30_000, heat="heat_2")
    shows(wall, "race", "Heat 2")
    expect(wall.locator(".wall-row")).to_have_count(len(LATER))
    server.go_was(LENGTH_MS + 61_000, heat="heat_2")
    expect(wall.locator("#wall")).to_have_attribute("data-scene", "podium")
    shows(wall, "podium")
    expect(wall.locator(".wall-step-who").first).to_be_visible()
    expect(wall.locator(".wall-step .entry-picture:visible").first).to_be_visible()
    clean(wall)
    wall.wait_for_function("() => document.getElementById('wall-title').textContent === 'Open pairs'", timeout=15_000)
    expect(wall.locator(".wall-step")).to_have_count(LANES - 1)  # all but one share the second place
    server.mark(taps(1, 20, 300) + taps(2, 10, 300))
    expect(wall.locator(".wall-step")).to_have_count(3)
    shows(wall, "podium", "Open pairs")
    assert reads(wall, ".wall-step-who .fit-words", PODIUM) >= 20

    server.mark(taps(LANES, TAPPED_BY_ALL, 1))  # another division has one too
    podium = wall.context.new_page()
    podium.set_viewport_size({"width": 1920, "height": 1080})
    podium.goto(f"{server.url}/podium")
    expect(podium.locator(".podium")).to_have_count(2)
    name = podium.locator(".podium-who strong", has_text=LONG)
    assert name.evaluate("(one) => one.getClientRects().length") <= 2, "beside one another names keep to two lines"
    podium.close()

    beside, asked = wall.context.new_page(), list[str]()

    def refuse_first(route: Route) -> None:
        asked.append(route.request.url)
        route.abort() if len(asked) == 1 else route.continue_()

    beside.route("**/wall/now", refuse_first)  # a second wall of one browser hears only what changes: it asks until it has all
    beside.goto(f"{server.url}/wall")
    expect(beside.locator("#wall")).to_have_attribute("data-scene", "podium", timeout=15_000)
    assert len(asked) == 2
    beside.close()


def test_whoever_follows_an_entry_is_told_since_when_there_is_no_network(browser: Browser, server: HallServer) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.clock.install()
    page.goto(f"{server.url}/follow")
    page.get_by_label("Name").fill("hhh")
    expect(page.locator(".follow-list a:visible")).to_have_count(1)
    page.locator(".follow-list a:visible").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("HHH")
    page.clock.run_for(5_000)
    expect(page.locator("#follow-line")).to_be_hidden()
    context.set_offline(True)
    for _ in range(4):
        page.clock.run_for(4_000)
    expect(page.locator("#follow-line")).to_contain_text("No network. This is as of")
    expect(page.get_by_role("heading", level=1)).to_have_text("HHH")
    context.set_offline(False)
    for _ in range(2):
        page.clock.run_for(4_500)
    expect(page.locator("#follow-line")).to_be_hidden()
    context.close()
