"""Practice in a real browser: the figure shows the truth, touch and keys call, motion can be in steps; ten
together; and briefs that open when the desk can't be reached."""

import json
import math
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.rules.records.document import CompetitionFile
from app.rules.records.judges import Judge
from tests.browser.fixtures import desk_session
from tests.browser.hall_server import HallServer
from tests.browser.looking import broken_rules
from tests.browser.people import a_hall
from tests.browser.server_process import a_process
from tests.builders.pairs import a_file

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.slow]

SIZES = ((1024, 768), (768, 1024), (390, 844), (1920, 1080))
SET = "/train/set?judge=jdg_1&move="
REPS = "6"
FIGURE = "() => [...document.querySelectorAll('#figure polyline')].map((one) => one.getAttribute('points')).join(' ')"
WHEN_KEPT = """async () => {
  while (!(await caches.match('/brief/evt'))) await new Promise((later) => setTimeout(later, 100));
}"""


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    file = a_file((("Chalk Lines", "Iron Larks"),), runs=0)
    judges = (Judge(id="jdg_1", name="Imre of the Forty Letter Chalk Dust Guild"), Judge(id="jdg_2", name="Joss"))
    return file.model_copy(update={"judges": judges})


@pytest.fixture(scope="module")
def session(browser: Browser, server: HallServer) -> Any:
    """The desk, which has asked for a short set."""
    context = browser.new_context(base_url=server.url, storage_state=desk_session(server.url))  # type: ignore[arg-type]
    page = context.new_page()
    page.goto("/desk/practice")
    page.fill("#reps", REPS)  # a short set has both faults, too
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/desk/practice")
    state = context.storage_state()
    context.close()
    return state


Points = list[tuple[float, float]]
ALIKE_PX, SEEN_PX = 2.0, 6.0  # of a drawing 250 high


def points(page: Page) -> Points:
    """The joints of the figure as it stands."""
    pairs = (pair.split(",") for pair in page.evaluate(FIGURE).split())
    return [(float(x), float(y)) for x, y in pairs]


def apart(one: Points, other: Points) -> float:
    """How far the joint lies that lies farthest from where it is in another picture."""
    return max(math.dist(a, b) for a, b in zip(one, other, strict=True))


def opened_set(context: BrowserContext, move: str = "squat") -> tuple[Page, list[dict[str, float]]]:
    """A set's page on a clock that the test moves, and its repetitions."""
    page = context.new_page()
    page.clock.install(time=datetime(2031, 5, 17, 8, tzinfo=UTC))
    page.goto(SET + move)
    page.clock.pause_at(datetime(2031, 5, 17, 9, tzinfo=UTC))  # from here on only the test moves it
    script = json.loads(page.locator("main.train").get_attribute("data-set") or "")
    return page, script["reps"]


def is_good(rep: dict[str, float]) -> bool:
    return rep["far"] == 1 and rep["home"] == 0


def test_a_set_called_right_by_touch_and_by_keys_is_all_right(context: BrowserContext) -> None:
    page, reps = opened_set(context)
    boxes = {key: page.locator(key).bounding_box() for key in ("#call-good", "#call-no")}
    page.locator("#start").press("Enter")
    at = 0.0
    for number, rep in enumerate(reps):
        page.clock.run_for(int(rep["end"] - at))
        at = rep["end"]
        if number % 2:
            page.keyboard.press("g" if is_good(rep) else "n")
        else:
            box = boxes["#call-good" if is_good(rep) else "#call-no"]
            assert box is not None
            page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator("#called")).to_have_text(str(len(reps)))
    page.clock.run_for(2000)
    page.wait_for_url("**/train/result/**")
    expect(page.get_by_role("heading", level=1)).to_have_text("100 % right")
    expect(page.get_by_text("Passed", exact=True)).to_be_visible()


@pytest.mark.parametrize("move", ["squat", "press", "pull_up"])
def test_the_figure_shows_each_fault_and_is_whole_otherwise(context: BrowserContext, move: str) -> None:
    page, reps = opened_set(context, move)
    page.locator("#start").press("Enter")
    far: dict[bool, list[Points]] = {}
    home: dict[bool, list[Points]] = {}
    at = 0.0
    for rep in reps:
        middle, end = (rep["start"] + rep["end"]) / 2, rep["end"] - 20
        for moment, kinds, kind in ((middle, far, rep["far"] == 1), (end, home, rep["home"] == 0)):
            page.clock.run_for(int(moment - at))
            at += int(moment - at)
            kinds.setdefault(kind, []).append(points(page))
    for kinds in (far, home):
        assert all(apart(one, kinds[True][0]) < ALIKE_PX for one in kinds[True]), "all that count look alike"
        assert all(apart(one, kinds[True][0]) > SEEN_PX for one in kinds[False]), "a fault is seen"


def test_with_reduced_motion_the_set_stands_in_pictures(browser: Browser, server: HallServer, session: Any) -> None:
    calm = browser.new_context(base_url=server.url, storage_state=session, reduced_motion="reduce")
    page, reps = opened_set(calm)
    expect(page.locator("#stepped")).to_be_checked()
    page.locator("#start").press("Enter")
    page.clock.run_for(int(reps[0]["start"]) + 20)
    pictures = []
    for _ in range(20):  # through the first repetition, however long it takes
        page.clock.run_for(int(reps[0]["end"] - reps[0]["start"]) // 21)
        pictures.append(page.evaluate(FIGURE))
    assert 3 <= len(set(pictures)) <= 5, "four pictures for a repetition, not a movement"
    calm.close()


def test_pages_of_practice_fit_and_are_for_everybody(browser: Browser, server: HallServer, session: Any) -> None:
    # A context of its own: in the others' a clock stands still, and axe waits for one that goes.
    context = browser.new_context(base_url=server.url, storage_state=session)
    page = context.new_page()
    form = {"move": "squat", "seed": "5", "reps": "6", "calls": "5000g 7000n"}
    result = context.request.post("/train/set?judge=jdg_2", form=form, headers={"Origin": server.url})
    for path in ("/train", f"{SET}press", "/ten", "/desk/practice", result.url):
        page.goto(path)
        expect(page.get_by_role("main")).to_be_visible()
        assert [(path, *one) for one in broken_rules(page)] == []
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (path, width)
            if path in ("/ten", f"{SET}press"):
                assert page.evaluate("document.documentElement.scrollHeight <= innerHeight + 1"), (path, width)
    context.close()


def test_a_lane_counts_along_the_desk_sees_it_and_briefs_open_when_the_desk_is_gone(browser: Browser, tmp_path: Path) -> None:
    with a_process(tmp_path / "data", a_file([["Ana and Bo"]])) as server, a_hall(browser, server.url) as hall:
        desk = hall.desk()
        judge = hall.tablet(desk, 1, whole=True)
        judge.page.evaluate(WHEN_KEPT)
        desk.page.goto(f"{server.url}/desk/practice")
        desk.page.get_by_role("button", name="Start", exact=True).click()
        judge.page.goto(f"{server.url}/ten")
        expect(judge.page.locator("#ten")).to_have_attribute("data-state", "counting")
        for _ in range(11):
            judge.touch(judge.page.locator("#ten-count"))
        judge.page.get_by_role("button", name="Take one back").click()
        expect(judge.page.locator("#ten-number")).to_have_text("10")
        judge.page.get_by_role("button", name="Send my count").click()
        expect(judge.page.locator("#ten-said")).to_have_text("The desk has your count: 10.")
        expect(desk.page.locator("#practice-lanes")).to_contain_text("10, right")
        server.kill()
        judge.page.goto(f"{server.url}/brief/evt")
        expect(judge.page.get_by_role("heading", name="Cautions")).to_be_visible()
        assert judge.page.evaluate("getComputedStyle(document.querySelector('.help')).borderTopStyle") == "solid"  # styles too
        judge.page.get_by_role("link", name="All briefs").click()
        expect(judge.page.get_by_role("heading", name="Briefs")).to_be_visible()
        assert judge.errors == []
