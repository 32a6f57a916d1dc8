"""Legal moves of a heat: which state allows what, and when one state becomes the next."""

import pytest

from app.rules.records.moves import MOVES, REFUSALS, HeatMove, HeatState, IllegalMove, check_move, heat_state
from tests.builders.cast import a_run

LENGTH = 1_200_000


@pytest.mark.parametrize("state", HeatState)
@pytest.mark.parametrize("move", HeatMove)
def test_each_move_is_either_allowed_or_refused_with_its_own_sentence(state: HeatState, move: HeatMove) -> None:
    if move in MOVES[state]:
        check_move(state, move)
        assert (state, move) not in REFUSALS
        return
    with pytest.raises(IllegalMove) as refused:
        check_move(state, move)
    assert str(refused.value) == REFUSALS[state, move] and str(refused.value).endswith(".")


def test_go_is_given_only_to_a_heat_that_is_not_under_way() -> None:
    assert {state for state in HeatState if HeatMove.GO in MOVES[state]} == {HeatState.PLANNED, HeatState.STOPPED}


def test_a_heat_without_a_run_is_planned() -> None:
    assert heat_state(None, LENGTH, 0) is HeatState.PLANNED


@pytest.mark.parametrize(
    ("now", "state"),
    [
        (49_999, HeatState.SET),
        (50_000, HeatState.RUNNING),
        (1_249_999, HeatState.RUNNING),
        (1_250_000, HeatState.OVER),
    ],
)
def test_a_heat_runs_from_its_go_to_its_last_bell(now: int, state: HeatState) -> None:
    assert heat_state(a_run(1, go=50_000), LENGTH, now) is state


def test_go_may_be_given_on_another_timeline_after_the_server_was_restarted() -> None:
    run = a_run(1, go=50_000)
    assert heat_state(run, LENGTH, 1_000, go_ms=-5_000) is HeatState.RUNNING
    assert heat_state(run, LENGTH, 1_000, go_ms=0) is HeatState.RUNNING
    assert heat_state(run, LENGTH, 1_000) is HeatState.SET


@pytest.mark.parametrize("now", [0, 50_000, 2_000_000])
def test_a_stopped_heat_stays_stopped_and_a_closed_one_over(now: int) -> None:
    assert heat_state(a_run(1, "stopped", 50_000), LENGTH, now) is HeatState.STOPPED
    assert heat_state(a_run(1, "closed", 50_000), LENGTH, now) is HeatState.OVER
