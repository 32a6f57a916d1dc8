"""How fast something may come."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.live.pace import Pace


def test_so_much_at_once_and_then_so_much_a_second() -> None:
    pace = Pace(per_second=2, at_once=3)
    assert [pace.take(10.0) for _ in range(4)] == [True, True, True, False]
    assert [pace.take(10.5), pace.take(10.5)] == [True, False]
    assert not pace.full(11.9) and pace.full(12.1)


def test_who_waits_is_told_for_how_long_and_keeps_the_turn() -> None:
    pace = Pace(per_second=2, at_once=1)
    assert [pace.wait_s(0.5) for _ in range(3)] == [0.0, 0.5, 1.0]
    pace.give_back()
    assert pace.wait_s(0.5) == pytest.approx(1.0)


@given(st.lists(st.floats(0, 5), max_size=60), st.floats(0.5, 20), st.floats(1, 20))
def test_never_more_than_the_pace_allows(steps: list[float], per_second: float, at_once: float) -> None:
    pace, now, taken = Pace(per_second, at_once), 1.0, 0
    for step in steps:
        now += step
        taken += pace.take(now)
    assert taken <= at_once + (now - 1.0) * per_second + 1e-6
