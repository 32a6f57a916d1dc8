"""Three judges: once all have decided or the try is over, two who agree decide; otherwise the lane judge's word stands, and the
head judge is told."""

import random
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.lights import verdict
from app.rules.count.tally import Tally
from tests.builders.cast import flags_of
from tests.vectors.judge_scenes import KINDS, THREE, Sheets, added, attempt, mixture, sheetless, sheets, together
from tests.vectors.lift_scenes import loaded

LIGHTS = list(product((True, False, None), repeat=3))


def _best(tally: Tally | None) -> str | None:
    assert tally is not None
    best = tally.windows[0].best
    return None if best is None else best.load.text()


def _one(decisions: dict[str, bool], racked: bool = True) -> Tally:
    tally = together(THREE, attempt(sheets(), 1_000, "100 kg", decisions, racked))
    assert tally is not None
    return tally


@pytest.mark.parametrize("lights", LIGHTS)
@pytest.mark.parametrize("closed", [True, False])
def test_whoever_two_agree_on_is_the_decision_once_nobody_is_waited_for(lights: tuple[bool | None, ...], closed: bool) -> None:
    made = verdict(lights, closed)
    agreed = [side for side in (True, False) if lights.count(side) >= 2]
    waits = None in lights and not closed
    assert (made.doubt == "waiting") == waits and (made.doubt is None) == (bool(agreed) and not waits)
    if agreed and not waits:
        assert made.good is agreed[0]
    assert made.lights == lights


@pytest.mark.parametrize(
    ("lights", "good", "doubt"),
    [
        ((True, None, None), True, "alone"),
        ((False, None, None), False, "alone"),
        ((True, False, None), True, "split"),
        ((False, None, True), False, "split"),
        ((None, True, None), False, "silent"),
        ((None, True, False), False, "silent"),
    ],
)
def test_without_two_who_agree_the_lane_judges_word_stands_provisionally(
    lights: tuple[bool | None, ...], good: bool, doubt: str
) -> None:
    assert (verdict(lights, True).good, verdict(lights, True).doubt) == (good, doubt)
    assert verdict(lights, False).doubt == "waiting"


def test_the_lane_judge_is_overruled_by_the_other_two() -> None:
    tally = _one({"lane": True, "second": False, "third": False})
    assert _best(tally) is None and tally.windows[0].lifts[0].lights == (True, False, False)
    assert _best(_one({"lane": False, "second": True, "third": True})) == "100 kg"


def test_with_one_judge_offline_the_other_two_decide_and_nobody_is_bothered() -> None:
    tally = _one({"lane": True, "third": True})
    assert _best(tally) == "100 kg" and tally.flags == ()


def test_the_lane_judge_alone_waits_until_the_bar_is_racked_and_is_flagged_then() -> None:
    waiting = _one({"lane": True}, racked=False)
    assert _best(waiting) is None and waiting.windows[0].lifts[0].doubt == "waiting"
    over = _one({"lane": True})
    assert _best(over) == "100 kg" and [why for _, why in flags_of(over)] == ["judges-alone"]


@pytest.mark.parametrize("beside", ["second", "third"])
def test_what_two_say_counts_no_earlier_than_the_lights_tell_it(beside: str) -> None:
    two = {"lane": True, beside: True}
    waiting = _one(two, racked=False)
    assert _best(waiting) is None and waiting.windows[0].lifts[0].doubt == "waiting"
    assert _best(_one({"lane": True, "second": True, "third": False}, racked=False)) == "100 kg"
    assert _best(_one(two)) == "100 kg"


def test_a_sheet_signed_by_its_judge_waits_for_nobody() -> None:
    by = sheets()
    marks = attempt(by, 1_000, "100 kg", {"lane": True}, racked=False)
    marks["lane"].append(by["lane"].mark("sign", 70_000, None, who="judge", name="Io Lund"))
    assert _best(together(THREE, marks)) == "100 kg"


def test_a_try_that_the_lane_judge_did_not_decide_counts_if_the_other_two_call_it_good() -> None:
    tally = _one({"second": True, "third": True})
    assert _best(tally) == "100 kg" and tally.windows[0].lifts[0].lights == (None, True, True)
    assert _best(_one({"second": True, "third": False})) is None


def test_a_lift_that_was_overruled_asks_for_no_increase() -> None:
    # The event asks for 2 kg more after a good lift; the first was none, though the lane judge had seen one.
    by = sheets()
    overruled = attempt(by, 1_000, "100 kg", {"lane": True, "second": False, "third": False})
    again = attempt(by, 12_000, "100 kg", {"lane": True, "second": True, "third": False})
    tally = together(THREE, added(overruled, again))
    assert tally is not None and _best(tally) == "100 kg" and tally.flags == ()


def test_what_was_on_the_bar_is_weighed_by_the_decision_of_all() -> None:
    by = sheets()
    marks = attempt(by, 1_000, "100 kg", {"lane": False, "second": True, "third": True})
    marks["lane"].append(loaded(by["lane"], 9_000, "98 kg"))
    assert _best(together(THREE, marks)) == "98 kg"


@given(seed=st.integers(0, 10_000), order=st.randoms(use_true_random=False))
def test_the_order_in_which_the_judges_marks_arrive_changes_nothing(seed: int, order: Any) -> None:
    marks = mixture(random.Random(seed))
    shuffled: Sheets = {kind: [*own, *own[:2]] for kind, own in marks.items()}
    for own in shuffled.values():
        order.shuffle(own)
    assert together(THREE, shuffled) == together(THREE, marks)


@given(seed=st.integers(0, 10_000))
def test_swapping_the_second_and_the_third_judge_changes_no_result(seed: int) -> None:
    marks = mixture(random.Random(seed))
    swapped: Sheets = {"lane": marks["lane"], "second": marks["third"], "third": marks["second"]}
    assert _best(together(THREE, swapped)) == _best(together(THREE, marks))


@given(seed=st.integers(0, 10_000))
def test_every_good_lift_has_two_white_lights_or_a_flag(seed: int) -> None:
    tally = together(THREE, mixture(random.Random(seed)))
    assert tally is not None
    flagged = {flag.mark for flag in tally.flags}
    for one in tally.windows[0].lifts:
        assert not (one.good and one.counts) or one.lights.count(True) >= 2 or one.mark in flagged


def test_nobody_marked_is_an_empty_sheet() -> None:
    tally = together(THREE, sheetless())
    assert tally is not None and tally.windows[0].lifts == () and set(KINDS) == {"lane", "second", "third"}
