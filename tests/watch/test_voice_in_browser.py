"""What the hall's voice is handed, and when: through holds and going on, a stop, a screen that slept; each kind on or off."""

import json
from collections.abc import Iterator
from functools import partial
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page, expect

from app.floor import timing
from app.rules.records.document import CompetitionFile
from tests.browser.hall_server import HallServer
from tests.browser.looking import found_on
from tests.browser.static_server import serving
from tests.builders.pairs import FORMAT, SQUAT, a_file, a_mark

pytestmark = [pytest.mark.browser, pytest.mark.timeout(120)]

LATE_MS = 400
NEAR_MS = 60  # it looks every 50 ms
# A browser whose voices are ours: what it is handed, and at which moment of the page's clock.
STUB = """() => {
  window.handed = [];
  const own = { name: 'Own', lang: 'en-GB', localService: true, default: false };
  const far = { name: 'Far', lang: 'en-GB', localService: false, default: true };
  window.voices = [far, own];
  const speak = (said) => { window.handed.push([said.text, performance.now(), said.voice?.name]); said.onstart?.({}); };
  const value = { getVoices: () => window.voices, speak, cancel() {}, addEventListener() {}, speaking: false, pending: false };
  Object.defineProperty(window, 'speechSynthesis', { value });
  window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
}"""
FOLLOW = """async ([format, left]) => {
  localStorage.clear();
  const [{ Voice }, { calloutsOf }, { heatTime }] = await Promise.all(
    ['parts/voice', 'parts/callouts', 'rules/holding'].map((name) => import(`/static/js/${name}.js`)));
  window.handed.length = 0;
  window.go = performance.now() + left;
  window.holds = [];
  window.runs = true;
  window.voice?.follow([], () => null);
  window.voice = new Voice();
  voice.turn(true);
  voice.follow(calloutsOf(format), () => (window.runs ? heatTime(performance.now() - go, holds) : null));
}"""
HOLD = "() => { holds.push({ at_ms: performance.now() - go - holds.reduce((all, one) => all + one.for_ms, 0), for_ms: null }); }"
GO_ON = """(left) => {
  const hold = holds.at(-1);
  const before = holds.slice(0, -1).reduce((all, one) => all + one.for_ms, 0);
  hold.for_ms = performance.now() - go - before - hold.at_ms + left;
}"""
# Work for 20 s, rest for 15, work for 12 and at once for 12 more.
WINDOWS = [(0, 20, "a"), (20, 15, None), (35, 12, "a"), (47, 12, "b")]
SHORT = {"members": 1, "windows": [{"start": start, "seconds": long, "task": task} for start, long, task in WINDOWS]}


@pytest.fixture(scope="module")
def alone(browser: Browser) -> Iterator[Page]:
    """An empty page whose clock stands until it is told to go."""
    with serving() as address:
        context = browser.new_context()
        page = context.new_page()
        page.clock.install(time=0)
        page.add_init_script(f"({STUB})()")
        page.goto(address)
        page.clock.pause_at(1000)
        yield page
        context.close()


def followed(page: Page, left_ms: int) -> None:
    """The heat is followed from so many ms before GO."""
    page.evaluate(FOLLOW, [SHORT, left_ms])


def handed(page: Page) -> list[tuple[str, int]]:
    """What the voice was handed since GO, and how many ms after it."""
    return [(text, round(at)) for text, at in page.evaluate("handed.map(([text, at]) => [text, at - go])")]


def matches(said: list[tuple[str, int]], wanted: list[tuple[str, int]]) -> bool:
    """Whether these were handed, each at its moment or a look later."""
    texts = [text for text, _ in said] == [text for text, _ in wanted]
    return texts and all(0 <= at - due <= NEAR_MS for (_, at), (_, due) in zip(said, wanted, strict=True))


def counted(to: int, then: str) -> list[tuple[str, int]]:
    """Three, two, one to a moment, and what is said there."""
    return [("Three", to - 3000), ("Two", to - 2000), ("One", to - 1000), (then, to)]


def test_a_heat_is_called_from_the_countdown_to_its_last_bell(alone: Page) -> None:
    followed(alone, 12_000)
    alone.clock.run_for(75_000)
    ten = "Ten seconds"
    wanted = [(ten, -10_000), *counted(0, "Go"), (ten, 10_000), *counted(20_000, "Time"), (ten, 25_000), *counted(35_000, "Go")]
    wanted += [(ten, 37_000), *counted(47_000, "Change"), (ten, 49_000), *counted(59_000, "Time")]
    assert matches(handed(alone), wanted), handed(alone)
    assert alone.evaluate("handed.every(([, , voice]) => voice === 'Own')")


def test_a_hold_is_said_and_counted_on_from_and_what_comes_moves_with_it(alone: Page) -> None:
    followed(alone, 1000)
    alone.clock.run_for(6000)  # 5 s in
    alone.evaluate(HOLD)
    alone.clock.run_for(30_000)
    alone.evaluate(GO_ON, 8000)
    alone.clock.run_for(9000)
    assert matches(handed(alone), [("Go", 0), ("Held", 5000), *counted(43_000, "Go")]), handed(alone)
    alone.clock.run_for(12_000)
    assert matches(handed(alone)[-3:], [("Ten seconds", 48_000), ("Three", 55_000), ("Two", 56_000)]), handed(alone)


def test_a_run_that_is_stopped_calls_nothing_more(alone: Page) -> None:
    followed(alone, 1000)
    alone.clock.run_for(2000)
    alone.evaluate("() => { runs = false; }")
    alone.clock.run_for(30_000)
    assert matches(handed(alone), [("Go", 0)])


def test_a_screen_that_slept_says_nothing_late_and_goes_on(alone: Page) -> None:
    followed(alone, 1000)
    alone.clock.run_for(2000)
    alone.clock.fast_forward(9200)  # asleep over the ten seconds
    alone.clock.run_for(2000)
    assert matches(handed(alone), [("Go", 0)]), handed(alone)
    alone.clock.run_for(8000)
    assert matches(handed(alone), [("Go", 0), *counted(20_000, "Time")]), handed(alone)


def test_each_kind_is_said_or_not_and_nothing_without_a_voice_of_the_browsers_own(alone: Page) -> None:
    followed(alone, 1000)
    alone.evaluate("() => { for (const what of ['count', 'ten']) voice.turnWhat(what, false); }")
    alone.clock.run_for(22_000)
    assert matches(handed(alone), [("Time", 20_000)]), handed(alone)
    alone.evaluate("() => { voices = voices.filter(({ localService }) => !localService); }")
    followed(alone, 1000)
    alone.clock.run_for(22_000)
    alone.evaluate("() => { voices.push({ name: 'Ours', lang: 'xx', localService: true }); }")
    alone.clock.run_for(15_000)
    assert handed(alone) == []
    alone.evaluate("() => { voices.push({ name: 'Own', lang: 'en-GB', localService: true }); }")


HEARS = "() => performance.getEntriesByType('resource').filter(({ name }) => name.includes('/clock/')).map(({ name }) => name)"
MOVES = st.lists(st.tuples(st.sampled_from(["run", "run", "sleep", "hold", "go on"]), st.integers(50, 15_000)), max_size=10)
PLAYED = """async (moves) => {
  const [{ calloutsOf, passed }, { heatTime }] = await Promise.all(
    ['parts/callouts', 'rules/holding'].map((name) => import(`/static/js/${name}.js`)));
  const [calls, holds, heard] = [calloutsOf(%s), [], []];
  let [now, last] = [-15000, null];
  const look = () => {
    const clock = heatTime(now, holds);
    const call = passed(calls, last, clock);
    if (call) heard.push({ ...call, ms: clock.ms, left: clock.left_ms, standing: clock.standing });
    last = clock;
  };
  for (const [what, ms] of moves) {
    const standing = last?.standing;
    if (what === 'hold' && !standing && now > 0) holds.push({ at_ms: last.ms, for_ms: null });
    else if (what === 'go on' && standing && last.left_ms === null) holds.at(-1).for_ms = last.into_ms + ms;
    else if (what === 'sleep') now += ms;
    else for (const until = now + ms; now < until; now += 100) look();
    look();
  }
  return { heard, calls, stood: holds.map(({ at_ms }) => at_ms) };
}"""


@given(MOVES)
def test_whatever_the_desk_does_a_call_knows_exactly_how_late_it_is(alone: Page, moves: list[tuple[str, int]]) -> None:
    played = alone.evaluate(PLAYED % json.dumps(SHORT), moves)
    due = {(call["text"], call["at"]) for call in played["calls"]}
    left = {"Three": 3000, "Two": 2000, "One": 1000, "Ten seconds": 10_000}
    for one in played["heard"]:
        assert one["late"] >= 0
        if one["text"] == "Held":
            assert one["standing"] and one["left"] is None
        elif one["standing"]:
            assert left[one["text"]] - one["left"] == one["late"]
        else:
            at = one["ms"] - one["late"]
            assert (one["text"], at) in due or (one["text"] == "Go" and at in played["stood"]), one


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    file = a_file((("Chalk Lines", "Iron Larks"),), heat_of=2, runs=0)
    first, *others = file.athletes
    return file.model_copy(update={"athletes": (first.model_copy(update={"said_like": "Shi-VAWN Lind"}), *others)})


def move(server: HallServer, action: Any, **typed: str) -> None:
    """Presses one of the desk's buttons, at once."""
    server.run(partial(action, server.hall, "heat_1", typed)())


def told(page: Page, words: str) -> None:
    page.wait_for_function("(words) => handed.some(([text]) => text === words)", arg=words)


def test_the_hall_clock_names_lanes_and_lifters_says_a_stop_and_keeps_what_was_chosen(page: Page, server: HallServer) -> None:
    page.add_init_script(f"({STUB})()")
    page.goto("/clock")
    page.get_by_role("button", name="Voice").click()
    expect(page.locator("#voice-which")).to_have_text("This browser's own: Own")
    page.get_by_label("Speak on this screen").check()
    page.get_by_label("“Ten seconds”").uncheck()
    assert found_on(page) == []
    page.get_by_role("button", name="Close").click()
    page.reload()
    page.get_by_role("button", name="Voice").click()
    expect(page.get_by_label("Speak on this screen")).to_be_checked()
    expect(page.get_by_label("“Ten seconds”")).not_to_be_checked()
    page.keyboard.press("Escape")
    move(server, timing.go, lead="30")
    told(page, "Lane 2, Iron Larks")
    assert page.evaluate("handed[0][0]") == "Lane 1, Chalk Lines"
    move(server, timing.abort, why="A try")
    told(page, "Stopped")
    squat = FORMAT.windows[SQUAT[0]].start_ms
    page.evaluate("handed.length = 0")
    server.go_was(squat + 8000)
    load = {"load": {"amount": "102.5", "unit": "kg"}, "by": "judge"}
    server.mark([a_mark("asg_1", 1, "declare", squat + 1000, SQUAT[0], **load)])  # its tablet had no line
    server.mark([a_mark("asg_0", 1, "declare", squat + 7500, SQUAT[0], **load)])
    told(page, "Lane 1, Shi-VAWN Lind, 102.5 kilograms")
    page.wait_for_timeout(1000)
    assert not page.evaluate("handed.some(([text]) => text.startsWith('Lane 2'))")


def test_a_wall_is_silent_until_it_is_asked_to_speak_there(page: Page, server: HallServer) -> None:
    if any(run.state == "set" for run in server.hall.projection.runs):
        move(server, timing.abort, why="Whoever was here before")
    page.add_init_script(f"({STUB})()")
    page.add_init_script("localStorage.setItem('lane-ledger.voice', 'on')")  # the hall clock speaks in this browser
    page.goto("/wall")
    page.get_by_role("button", name="Voice").click()
    expect(page.get_by_label("Speak on this screen")).not_to_be_checked()
    assert found_on(page) == []
    move(server, timing.go, lead="30")
    expect(page.locator("#wall")).to_have_attribute("data-scene", "lineup")
    assert page.evaluate(HEARS) == [] and page.evaluate("handed") == []
    page.get_by_label("Speak on this screen").check()
    told(page, "Lane 2, Iron Larks")
    move(server, timing.abort, why="Another try")
    told(page, "Stopped")
    page.get_by_label("Speak on this screen").uncheck()
    page.evaluate("handed.length = 0")
    move(server, timing.go, lead="30")
    page.wait_for_timeout(700)
    assert page.evaluate("handed") == []
