"""Which lift a side referee's tablet shows, and for which one it waits, asked of the scripts themselves with imitated marks."""

from typing import Any

import pytest
from playwright.sync_api import Page

from app.rules.workout.formats import Window
from tests.builders.cast import Plain, a_format, a_lift_task, plain_load, take
from tests.vectors.judge_scenes import sheets

ASKED = """async ([format, sheets, counter, begun]) => {
  const [{ judgedTally }, { withBar }, { fold }, { toDecide, waitsFor }] = await Promise.all(
    ["lights", "sheets", "tally", "platform/to_decide"].map((name) => import(`/static/js/rules/${name}.js`)));
  const marks = withBar(sheets[counter], sheets.lane);
  const [own, joined] = [fold(format, marks), judgedTally(format, sheets)];
  const found = toDecide(marks, own.windows[0], joined.windows[0]);
  const shown = found && [found.declared.id, found.begun, found.mine && found.mine.good];
  return [shown, waitsFor(begun, joined, Object.values(sheets).flat(), counter)];
}"""


class Bar:
    """One lifter's attempts, as three referees mark them. The load of an attempt that nobody declares is a step more after a good
    lift, the same after a miss, and may not be changed once its time to declare is over."""

    def __init__(self) -> None:
        task = a_lift_task(judges=3, tries_until_racked=False, declare_seconds=60, changes=0, lower_change="never", attempts=3)
        windows = (Window(start=0, seconds=600, task="work"),)
        self.format = a_format(task, take("best"), unit="kg").model_copy(update={"windows": windows})
        self.sheets, self.marks = sheets(), {kind: list[Plain]() for kind in ("lane", "second", "third")}

    def put(self, kind: str, what: str, at: int, **body: Any) -> Plain:
        self.marks[kind].append(self.sheets[kind].mark(what, at, 0, **body))
        return self.marks[kind][-1]

    def asked(self, scripts: Page, counter: str, begun: Plain) -> Any:
        """What is shown (the declaration, the try, the referee's own decision), and whether the try waits for the referee."""
        return scripts.evaluate(ASKED, [self.format.model_dump(mode="json"), self.marks, counter, begun])


def test_a_side_referee_who_was_overruled_sees_the_load_that_the_rule_puts_in_next(scripts: Page) -> None:
    bar, load = Bar(), plain_load("100 kg")
    said = bar.put("lane", "declare", 1_000, load=load, by="desk")
    begun = bar.put("lane", "begun", 5_000, declared=said["id"])
    for late, (kind, good) in enumerate((("lane", True), ("second", False), ("third", True))):
        bar.put(kind, "lift", 8_000 + late, load=load, good=good, declared=said["id"], begun=begun["id"])
    bar.put("lane", "racked", 9_000, declared=said["id"])
    next_one = bar.put("lane", "declare", 80_000, load=plain_load("101 kg"), by="rule")
    for kind in ("second", "third"):
        assert bar.asked(scripts, kind, begun) == [[next_one["id"], None, None], False]


@pytest.mark.parametrize("at_ms", [8_000, 4_000])
def test_a_referee_who_decided_before_hearing_that_the_bar_had_left_is_waited_for_no_more(scripts: Page, at_ms: int) -> None:
    """Also one whose tablet's clock is behind that of the tablet that saw the bar leave."""
    bar, load = Bar(), plain_load("100 kg")
    said = bar.put("lane", "declare", 1_000, load=load, by="desk")
    begun = bar.put("lane", "begun", 5_000, declared=said["id"])
    bar.put("second", "lift", at_ms, load=load, good=False, declared=said["id"])
    assert bar.asked(scripts, "second", begun) == [[said["id"], begun["id"], False], False]
    assert bar.asked(scripts, "third", begun) == [[said["id"], begun["id"], None], True]
