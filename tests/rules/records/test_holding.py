"""A held heat: its clock stands for all lanes and goes on from where it stood."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.rules.records.document import Run
from app.rules.records.holding import HeatTime, Hold, heat_time, since_go

# Held at 0:05 for two seconds, at 0:09 until somebody lets it go on.
TWICE = (Hold(at_ms=5_000, for_ms=2_000), Hold(at_ms=9_000))


@pytest.mark.parametrize(
    ("since_go", "moment"),
    [
        (-1_000, HeatTime(-1_000)),
        (4_999, HeatTime(4_999)),
        (5_000, HeatTime(5_000, 0, True, 0, 2_000)),
        (6_999, HeatTime(5_000, 0, True, 1_999, 1)),
        (7_000, HeatTime(5_000, 2_000)),
        (10_999, HeatTime(8_999, 2_000)),
        (11_000, HeatTime(9_000, 2_000, True, 0, None)),
        (90_000, HeatTime(9_000, 2_000, True, 79_000, None)),
    ],
)
def test_the_clock_stands_in_a_hold_and_goes_on_from_where_it_stood(since_go: int, moment: HeatTime) -> None:
    assert heat_time(since_go, TWICE) == moment


def test_a_heat_that_was_never_held_goes_by_the_plain_clock() -> None:
    assert heat_time(12_345) == HeatTime(12_345)


spans = st.lists(st.tuples(st.integers(0, 4_000), st.integers(0, 3_000)), max_size=5)


@given(spans, st.integers(-1_000, 30_000))
def test_the_clock_never_runs_back_and_never_skips(gaps: list[tuple[int, int]], since_go: int) -> None:
    holds, at = [], 0
    for gap, length in gaps:
        at += gap
        holds.append(Hold(at_ms=at, for_ms=length))
    now, then = heat_time(since_go, holds), heat_time(since_go + 1, holds)
    assert then.ms - now.ms == (0 if now.standing else 1)
    assert now.ms + now.held_ms + now.into_ms == since_go


@pytest.mark.parametrize(
    ("holds", "sentence"),
    [
        ([{"at_ms": 5_000}, {"at_ms": 6_000}], "only the last hold of a run may be open"),
        ([{"at_ms": 5_000, "for_ms": 10}, {"at_ms": 4_000}], "in the order of its clock"),
        ([{"at_ms": -1}], "greater than or equal to 0"),
    ],
)
def test_holds_that_could_not_be_are_refused(holds: list[dict[str, int]], sentence: str) -> None:
    with pytest.raises(ValidationError, match=sentence):
        Run.model_validate({"heat": "heat", "number": 1, "holds": holds})


@given(spans, st.integers(-1_000, 30_000))
def test_the_way_back_leads_to_the_first_moment_at_which_the_clock_stood_there(gaps: list[tuple[int, int]], ms: int) -> None:
    at, holds = 0, []
    for gap, lasted in gaps:
        at += gap
        holds.append(Hold(at_ms=at, for_ms=lasted))
    then = since_go(ms, holds)
    assert heat_time(then, holds).ms == ms
    assert heat_time(then - 1, holds).ms < ms
