"""What failed among many tests is tried again alone where changes are checked, never in silence, and nowhere else."""

from collections.abc import Sequence
from itertools import combinations

import pytest
from _pytest.mark.expression import Expression

from app import checks
from app.checks import ALONE, IN_TIME, PLAIN, THE_REST, Outcome, tried_again

BROKEN = Outcome("tests", False, 300.0, "2 failed, 1 error, 400 passed in 300.00s")


def runs(monkeypatch: pytest.MonkeyPatch, end: Outcome) -> list[Sequence[str]]:
    """Makes a test run end so; returns what each was asked."""
    asked: list[Sequence[str]] = []

    def run(name: str, arguments: Sequence[str]) -> Outcome:
        asked.append(arguments)
        return end

    monkeypatch.setattr(checks, "run_pytest", run)
    return asked


def test_a_few_that_hold_alone_hold_and_the_summary_says_that_they_were_tried_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CI", "true")
    asked = runs(monkeypatch, Outcome("tests", True, 20.0, "3 passed in 20.00s"))
    found = tried_again(PLAIN, BROKEN)
    assert asked == [(*ALONE, *PLAIN.cache)], "of what failed in this stage"
    assert found.held and found.seconds == 320.0
    assert found.words == "2 failed, 1 error, 400 passed in 300.00s; TRIED AGAIN ALONE: 3 passed in 20.00s"
    assert "3 failed; tried again, alone" in capsys.readouterr().out


def test_what_fails_alone_too_is_broken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    runs(monkeypatch, Outcome("tests", False, 20.0, "1 failed, 2 passed in 20.00s"))
    assert not tried_again(PLAIN, BROKEN).held


@pytest.mark.parametrize(
    ("ci", "end"),
    [
        ("", BROKEN),
        ("true", Outcome("tests", False, 300.0, "9 failed, 400 passed in 300.00s")),
        ("true", Outcome("tests", False, 300.0, "no tests ran in 0.10s")),
        ("true", Outcome("tests", True, 300.0, "400 passed in 300.00s")),
    ],
)
def test_nothing_is_tried_again_elsewhere_nor_where_much_or_nothing_failed(
    monkeypatch: pytest.MonkeyPatch, ci: str, end: Outcome
) -> None:
    monkeypatch.setenv("CI", ci)
    asked = runs(monkeypatch, end)
    assert tried_again(PLAIN, end) == end
    assert asked == []


@pytest.mark.parametrize("marks", [set(some) for n in range(4) for some in combinations(("paced", "browser", "slow"), n)])
def test_every_test_is_in_one_stage_and_no_more(marks: set[str]) -> None:
    chosen = [stage.name for stage in (IN_TIME, PLAIN, THE_REST) if Expression.compile(stage.chosen).evaluate(marks.__contains__)]
    assert len(chosen) == 1, f"{marks} would run in {chosen}"


def test_stages_that_run_side_by_side_remember_their_failures_apart() -> None:
    assert len({stage.cache for stage in (IN_TIME, PLAIN, THE_REST)}) == 3
