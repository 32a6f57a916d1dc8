"""A load that grows on the lane's tablet: what is asked for now and next, and that somebody is out."""

import json
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.builders.cast import Sheet, a_format, a_lift_task, load, take

STANDS = """async ([format, marks, win]) => {
  const { standsAt } = await import("/static/js/rules/ladder.js");
  const { fold } = await import("/static/js/rules/tally.js");
  const { out, now, next } = standsAt(format, fold(format, marks), win, 1);
  return [out, now?.amount ?? null, next?.amount ?? null];
}"""


def _asked(scripts: Page, rises: Any, *steps: tuple[list[tuple[int, str, bool]], int]) -> list[list[Any]]:
    """What is asked for after lifts (second, load, whether good), in a window."""
    task = a_lift_task(loads=(load("60 kg"), load("70 kg")), rise=load("5 kg"), rises=rises, misses_out=2)
    format = json.loads(a_format(task, take("best"), windows=3, unit="kg").model_dump_json())
    shown = []
    for lifts, win in steps:
        sheet = Sheet()
        marks = [sheet.lift(1000 * at, text, good) for at, text, good in lifts]
        shown.append(scripts.evaluate(STANDS, [format, marks, win]))
    return shown


@pytest.mark.browser
def test_the_lane_knows_the_load_now_and_the_next_and_who_is_out(scripts: Page) -> None:
    good, missed = [(5, "60 kg", True)], [(5, "60 kg", False)]
    asked = _asked(
        scripts, "lift", ([], 0), (good, 0), ([*good, (9, "70 kg", True)], 0), (missed, 0), ([*missed, (9, "60 kg", False)], 0)
    )
    assert asked == [
        [False, "60", "70"],
        [False, "70", "75"],
        [False, "75", "80"],
        [False, "60", "70"],
        [True, "60", "70"],
    ]
    assert _asked(scripts, "window", (good, 0), (good, 1), (good, 2)) == [
        [False, "70", "75"],
        [False, "70", "75"],
        [True, "75", "80"],
    ]
