"""A work list on the lane screen: each line says who does it, how far or how long, and with what load."""

import json

import pytest
from playwright.sync_api import Page

from app.rules.workout.formats import CountTask, Format, ListTask, Part, ScoreRule, TieStep, Window, WorkItem
from app.rules.workout.movements import movement
from app.rules.workout.points import Point
from app.rules.workout.presets import PRESETS
from tests.builders.cast import a_format, take

SHOW = """async (format) => {
  const { ListView } = await import("/static/js/screens/floor/lane/list.js");
  const { fold } = await import("/static/js/rules/tally.js");
  const entry = { name: "Tin Roof", members: [{ name: "Quin Sorrel" }, {}] };
  const none = { marks: () => [], standing: () => [], last: () => null, mark: () => null };
  const lane = { format, entry, tally: fold(format, []), sheet: "asg/1/lane", ...none };
  const view = new ListView(lane);
  document.body.replaceChildren(view.node);
  view.render({ win: 0, late: false });
  const lines = [...document.querySelectorAll(".work-list li")].map((line) => line.textContent);
  const { RestView } = await import("/static/js/screens/floor/lane/rest.js");
  const rest = new RestView({ ...lane, packet: { events: {} }, counter: "lane" }, { show: () => {}, node: "" });
  rest.render({ win: 0, view: "rest" });
  const coming = [...rest.node.querySelectorAll('[data-role="coming-list"] li')].map((line) => line.textContent);
  const [number, target] = [view.target.figure.textContent, view.target.node.textContent];
  view.press();
  return { lines, coming, number, target, tapped: view.target.figure.textContent };
}"""


@pytest.mark.browser
def test_a_line_says_who_what_how_far_and_with_what(scripts: Page) -> None:
    work = "A: 400 m run\nB: 20 cal row\nA+B: 10 lunges (each leg) @ 20 kg\nA: 1 Lunge"
    format = PRESETS["relay"].make({"members": "2", "work": work})
    shown = scripts.evaluate(SHOW, json.loads(format.model_dump_json()))
    assert shown["lines"] == [
        "1 Quin Sorrel: run, 400 m",
        "1 Member B: row, 20 cal (each tap scores 20)",
        "10 Quin Sorrel and Member B: lunges, each leg, 20 kg",
        "1 Quin Sorrel: Lunge",
    ]
    assert shown["coming"] == shown["lines"], "the rest before shows the whole list"
    assert shown["number"] == "1 to go", "what is left is said at the number itself"
    assert "Tap for each good rep. 0 of 1 done" in shown["target"]
    work = "B: 400 m run = 0\nA: 5 burpees = 0\nA: 10 lunges"
    shown = scripts.evaluate(SHOW, json.loads(PRESETS["relay"].make({"members": "2", "work": work}).model_dump_json()))
    assert shown["lines"][:2] == ["1 Member B: run, 400 m (does not count)", "5 Quin Sorrel: burpees (does not count)"]
    assert "One tap when it is done; it does not count. 0 of 1 done" in shown["target"]
    assert shown["tapped"] == "0 to go"
    possible = a_format(ListTask(items=(WorkItem(movement="swing", reps=240),)), take("sum"))
    shown = scripts.evaluate(SHOW, json.loads(possible.model_dump_json()))
    assert shown["lines"] == shown["coming"] == ["Swings, as many as possible"]
    assert (shown["number"], shown["tapped"]) == ("0 so far", "1 so far"), "what is done is counted, for nothing is left of it"
    assert "Tap for each good rep, as many as possible" in shown["target"] and "240" not in shown["target"]


# The screen of a rest with its own styles, in the height that a lane has for it: how many lines are seen without a touch.
SEEN = """async ([format, height]) => {
  const loaded = (name) => new Promise((onload) => {
    const href = `/static/css/${name}.css`;
    document.head.append(Object.assign(document.createElement("link"), { rel: "stylesheet", href, onload }));
  });
  await Promise.all(["web/tokens", "web/base", "floor/lane_count", "floor/lane_turns", "floor/lane_low"].map(loaded));
  const { RestView } = await import("/static/js/screens/floor/lane/rest.js");
  const { fold } = await import("/static/js/rules/tally.js");
  const entry = { name: "Tin Roof", members: [{ name: "Quin Sorrel" }] };
  const none = { packet: { events: {} }, counter: "lane", marks: () => [] };
  const lane = { format, entry, tally: fold(format, []), sheet: "asg/1/lane", ...none };
  const rest = new RestView(lane, { show: () => {}, node: "" });
  rest.render({ win: 0, view: "rest" });
  rest.node.style.height = `${height}px`;
  document.body.replaceChildren(rest.node);
  const box = rest.words.getBoundingClientRect();
  const lines = [...rest.node.querySelectorAll('[data-role="coming-list"] li')].map((line) => line.getBoundingClientRect());
  return [lines.length, lines.filter((line) => line.bottom <= box.bottom + 1 && line.right <= box.right + 1).length];
}"""
# Of a screen that wide and high, the height that is left under the lane's head.
REST_HEIGHTS = {(1024, 768): 485, (768, 1024): 700, (390, 844): 560, (844, 390): 262, (1920, 1080): 790}


@pytest.mark.browser
def test_a_rest_shows_all_of_a_long_list_at_once_on_every_screen(scripts: Page) -> None:
    work = "\n".join(f"{n} front squats 60 kg" for n in range(1, 15))
    format = json.loads(PRESETS["for_time_list"].make({"work": work}).model_dump_json())
    for (width, height), left in REST_HEIGHTS.items():
        scripts.set_viewport_size({"width": width, "height": height})
        assert scripts.evaluate(SEEN, [format, left]) == [14, 14], (width, height)


TIMED = """async (format, reps) => {
  const { ListView } = await import("/static/js/screens/floor/lane/list.js");
  const { fold } = await import("/static/js/rules/tally.js");
  const rep = { sheet: "a/1/lane", device: "d", epoch: 1, kind: "rep", err: 0, win: null, body: {} };
  const marks = Array.from({ length: reps }, (_, n) => ({ ...rep, id: `m${n}`, seq: n + 1, at: 1250 * (n + 1) }));
  const none = { marks: () => [], standing: () => [], last: () => null };
  const entry = { name: "Tin Roof", members: [{}] };
  const view = new ListView({ format, entry, tally: fold(format, marks), sheet: "a/1/lane", ...none });
  view.render({ win: 0, late: false });
  return view.tie.textContent;
}"""


@pytest.mark.browser
def test_the_time_that_may_part_equal_scores_is_announced_and_then_shown(scripts: Page) -> None:
    made = PRESETS["for_time_list"].make({"work": "4 step-ups\n2 dips\n1 lunge"})
    ties = (TieStep(kind="time_at", point=Point(line=2)),)
    scores = (made.scores[0].model_copy(update={"ties": ties}),)
    format = json.loads(made.model_copy(update={"scores": scores}).model_dump_json())
    shown = [scripts.evaluate(f"([format, reps]) => ({TIMED})(format, reps)", [format, reps]) for reps in (5, 6)]
    assert shown == ["Tie: time at the end of line 2", "Tie: the end of line 2 at 0:07.5"]


TARGETS = """async (format) => {
  const { CountView } = await import("/static/js/screens/floor/lane/count.js");
  const { fold } = await import("/static/js/rules/tally.js");
  const rep = { sheet: "a/1/lane", device: "d", epoch: 1, kind: "rep", err: 0, win: null, body: {} };
  const mark = (n, at) => ({ ...rep, id: `m${n}`, seq: n, at });
  const shown = (win, counts) => {
    const from = (i) => format.windows[i].start * 1000 + 1000;
    const times = counts.flatMap((count, i) => Array.from({ length: count }, (_, n) => from(i) + n * 1500));
    const lane = { format, tally: fold(format, times.map((at, n) => mark(n + 1, at))), sheet: "a/1/lane", last: () => null };
    const view = new CountView(lane);
    view.render({ view: "count", win, late: false });
    return ["done" in view.target.node.dataset, view.target.words.textContent];
  };
  return [shown(0, [1]), shown(0, [2]), shown(1, [1]), shown(1, [2, 1])];
}"""


@pytest.mark.browser
def test_a_target_that_is_reached_or_an_entry_that_is_out_asks_for_no_tap_and_says_why(scripts: Page) -> None:
    push_ups = CountTask(movement="push_up", target=2, miss_puts_out=True)
    windows = tuple(Window(start=60 * n, seconds=30, task="push_ups", who=(1,)) for n in range(2))
    score = ScoreRule(unit="points", parts=(Part(take="sum", tasks=("push_ups",)),))
    movements = {"push_up": movement("push_up")}
    format = Format(members=1, movements=movements, tasks={"push_ups": push_ups}, windows=windows, scores=(score,))
    shown = scripts.evaluate(TARGETS, json.loads(format.model_dump_json()))
    assert shown == [
        [False, "Tap for each good rep. 1 more to the target of 2"],
        [True, "Target of 2 reached: no more taps. One more is kept; by this count it scores nothing."],
        [True, "Out by this count: 1 of 2 before. A tap is kept; it scores nothing."],
        [False, "Tap for each good rep. 1 more to the target of 2"],
    ]
