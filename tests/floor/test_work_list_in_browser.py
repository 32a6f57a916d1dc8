"""A work list on the lane screen: each line says who does it, how far or how long, and with what load."""

import json

import pytest
from playwright.sync_api import Browser

from app.rules.workout.presets import PRESETS
from tests.browser.static_server import serving

SHOW = """async (format) => {
  const { ListView } = await import("/static/js/screens/floor/lane/list.js");
  const { fold } = await import("/static/js/rules/tally.js");
  const entry = { name: "Tin Roof", members: [{ name: "Quin Sorrel" }, {}] };
  const none = { marks: () => [], standing: () => [], last: () => null };
  const lane = { format, entry, tally: fold(format, []), sheet: "asg/1/lane", ...none };
  const view = new ListView(lane);
  document.body.replaceChildren(view.node);
  view.render({ win: 0, late: false });
  const lines = [...document.querySelectorAll(".work-list li")].map((line) => line.textContent);
  return { lines, target: view.target.node.textContent };
}"""


@pytest.mark.browser
def test_a_line_says_who_what_how_far_and_with_what(browser: Browser) -> None:
    work = "A: 400 m run\nB: 20 cal row\nA+B: 10 lunges (each leg) @ 20 kg"
    format = PRESETS["relay"].make({"members": "2", "work": work})
    with serving() as address:
        page = browser.new_page()
        page.goto(address)
        shown = page.evaluate(SHOW, json.loads(format.model_dump_json()))
        page.close()
    assert shown["lines"] == [
        "1 Quin Sorrel: Run, 400 m",
        "1 Member B: Row, 20 cal (20 each)",
        "10 Quin Sorrel and Member B: Lunges, each leg, 20 kg",
    ]
    assert "to go: Quin Sorrel: Run, 400 m, 0 of 1 done" in shown["target"]
