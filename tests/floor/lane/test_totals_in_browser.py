"""What a sheet says that its total is made of adds up to it, also where one repetition counts as several points."""

import json

import pytest
from playwright.sync_api import Page

from app.rules.workout.formats import CountTask, Part
from tests.builders.cast import Sheet, a_format

TOTAL = """async ([format, marks]) => {
  const { totalOf } = await import("/static/js/screens/floor/lane/sheet/total.js");
  const { fold } = await import("/static/js/rules/tally.js");
  const list = totalOf({ format, tally: fold(format, marks), event: {}, whose: () => "" });
  return [...list.querySelectorAll("b, [data-role='sheet-total-each']")].map(({ textContent }) => textContent);
}"""


@pytest.mark.browser
def test_repetitions_that_count_as_points_say_what_they_count(scripts: Page) -> None:
    parts = (Part(take="sum", windows=(0,), weight=4), Part(take="sum", windows=(1,)))
    format = json.loads(a_format(CountTask(movement="squat"), *parts, windows=2, unit="points").model_dump_json())
    sheet = Sheet()
    marks = [sheet.rep(1_000 * at) for at in (5, 6, 7, 65, 66)]
    assert scripts.evaluate(TOTAL, [format, marks]) == ["14 points", "3 reps (12 points) + 2 reps"]
