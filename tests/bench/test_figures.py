"""What the benches say: a verdict that is computed, the last run for comparison, and what keeps a loop by its name."""

import asyncio
import time
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from tests.bench.board import delays
from tests.bench.figures import Figure, Goal, drawn, history, percentile, save, saved_runs, table
from tests.bench.in_turns import NoRevision, compared, in_turns
from tests.bench.stalls import LONG_S, Stall, Watch, told


@pytest.mark.parametrize(
    ("goal", "value", "met"),
    [
        (Goal("at most", 1.3), 1.3, True),
        (Goal("at most", 1.3), 1.301, False),
        (Goal("at least", 4), 4, True),
        (Goal("at least", 4), 3.9, False),
    ],
)
def test_a_goal_is_met_up_to_its_limit_and_no_further(goal: Goal, value: float, met: bool) -> None:
    figure = Figure("k", "a measure", value, "ms", goal)
    assert figure.met is met
    assert ("MISSED" in table([figure], {})) is not met


def test_a_figure_without_a_goal_is_neither_met_nor_missed() -> None:
    assert Figure("k", "a measure", 7).met is None


def test_a_run_is_compared_with_the_saved_ones_and_drawn_beside_them(tmp_path: Path) -> None:
    save(tmp_path, "2020-01-01", [Figure("a", "first", 2), Figure("b", "second", 5)], {"load_before": 0.5})
    save(tmp_path, "2020-01-02", [Figure("a", "first", 4)], {"load_before": None})
    (tmp_path / "2020-01-03.json").write_text("{ half of a", encoding="utf-8")
    runs = saved_runs(tmp_path)
    assert [run.load for run in runs] == [0.5, None]
    assert history(runs) == {"a": [2, 4], "b": [5]}
    assert table([Figure("a", "first", 8)], history(runs)).splitlines()[-1].split() == ["first", "8", "2.00", "▃▅█"]
    assert table([Figure("c", "never before", 6)], history(runs)).splitlines()[-1].split() == ["never", "before", "6"]


def test_a_picture_begins_at_nothing() -> None:
    assert drawn([0, 4, 8]) == "▁▅█" and drawn([0, 0]) == "▁▁" and drawn([]) == ""


def test_two_revisions_are_compared_turn_by_turn() -> None:
    rows = compared("main", [{"a": 2, "b": 1}, {"a": 4}, {"a": 2}], [{"a": 1, "b": 1}, {"a": 1}, {"a": 3}]).splitlines()
    assert len(rows) == 3  # what one turn did not measure is not compared
    assert rows[2].split() == ["a", "2", "1", "0.50", "0.25", "to", "1.50"]


def test_a_revision_that_there_is_not_is_told(tmp_path: Path) -> None:
    with pytest.raises(NoRevision, match=r"git worktree failed"):
        in_turns(tmp_path, "no-such", [], "results", lambda words: None)


def test_a_percentile_is_a_value_that_was_measured() -> None:
    assert [percentile([4, 1, 3, 2], percent) for percent in (0, 50, 99)] == [1, 3, 4]
    with pytest.raises(ValueError, match="Nothing was measured"):
        percentile([], 50)


def test_taps_that_arrive_as_one_are_each_timed_to_the_first_count_that_holds_them() -> None:
    assert delays([10, 20, 30], [(2, 100), (3, 130)]) == [90, 80, 100]


def noted(work: Callable[[], Awaitable[None]]) -> list[Stall]:
    """The stalls while something runs on a loop."""
    stalls: list[Stall] = []

    async def watched() -> None:
        watch = Watch(stalls.append)
        watch.start()
        await work()
        await asyncio.sleep(0.02)
        watch.stop()

    asyncio.run(watched())
    return stalls


async def busy() -> None:
    until = time.thread_time() + 5 * LONG_S
    while time.thread_time() < until:
        sum(range(1000))


async def in_slices() -> None:
    until = time.thread_time() + 5 * LONG_S
    while time.thread_time() < until:
        sum(range(1000))
        await asyncio.sleep(0)


async def idle() -> None:
    elsewhere()


def elsewhere() -> None:
    time.sleep(5 * LONG_S)  # the machine has other things to do, as far as the loop can tell


def test_what_keeps_the_loop_is_noted_by_name_and_what_gives_it_back_is_not() -> None:
    (stall,) = noted(busy)
    assert stall.cpu_ms > LONG_S * 1000 and stall.ran.startswith("test_figures.py busy")
    assert "1 stall," in told([stall]) and "busy" in told([stall])
    assert noted(in_slices) == [] and noted(idle) == []
    assert told([]) == "no stall"
