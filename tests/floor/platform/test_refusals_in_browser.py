"""Why a load may not be declared, in the words that marshal, judge and lifter read."""

from typing import Any

import pytest
from playwright.sync_api import Page

from app.rules.workout.formats import Format, Window
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, load, plain_load, take

WHY = """async ([format, marks, load]) => {
  const { fold } = await import('/static/js/rules/tally.js')
  const { whyNot } = await import('/static/js/screens/floor/platform/refusals.js')
  const { readAt } = await import('/static/js/rules/lifting/bars.js')
  const found = fold(format, marks).windows[0]
  return whyNot(format, 0, found, load, readAt(60_000))
}"""


def _platform(down: bool) -> Format:
    task = a_lift_task(order="lightest", may_go_down=down, step_after_good=load("2.5 kg"), tries_until_racked=False)
    made = a_format(task, take("best"), unit="kg")
    return made.model_copy(update={"windows": (Window(start=0, seconds=600, task="work"),)})


@pytest.mark.parametrize(
    ("down", "said"),
    [
        (True, "100 kg was good. Declare 102.5 kg or more."),
        (False, "120 kg was tried already. Declare 120 kg or more."),
    ],
)
def test_what_was_tried_binds_nobody_where_loads_may_go_down(scripts: Page, down: bool, said: str) -> None:
    sheet, marks = Sheet(), list[Plain]()
    for at, text, good in ((1_000, "100 kg", True), (20_000, "120 kg", False)):
        asked: Any = sheet.mark("declare", at, 0, load=plain_load(text), by="desk")
        marks += [asked, sheet.mark("lift", at + 9_000, 0, load=plain_load(text), good=good, declared=asked["id"])]
    told = scripts.evaluate(WHY, [_platform(down).model_dump(mode="json"), marks, plain_load("101 kg")])
    assert told.replace(" ", " ").startswith(said)
