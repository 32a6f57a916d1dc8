"""What failed among many tests is tried again alone where changes are checked, never in silence, and nowhere else."""

from collections.abc import Sequence

import pytest

from app import checks
from app.checks import ALONE, Outcome, some_tests

BROKEN = Outcome("tests", False, 300.0, "2 failed, 1 error, 400 passed in 300.00s")


def runs(monkeypatch: pytest.MonkeyPatch, *ends: Outcome) -> list[Sequence[str]]:
    """Makes the test runs end so, one after another; returns what each was asked."""
    asked: list[Sequence[str]] = []
    left = iter(ends)

    def run(name: str, arguments: Sequence[str]) -> Outcome:
        asked.append(arguments)
        return next(left)

    monkeypatch.setattr(checks, "_pytest", run)
    return asked


def test_a_few_that_hold_alone_hold_and_the_summary_says_that_they_were_tried_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CI", "true")
    asked = runs(monkeypatch, BROKEN, Outcome("tests", True, 20.0, "3 passed in 20.00s"))
    found = some_tests("tests", ("-n", "2"))
    assert asked == [("-n", "2"), ALONE]
    assert found.held and found.seconds == 320.0
    assert found.words == "2 failed, 1 error, 400 passed in 300.00s; TRIED AGAIN ALONE: 3 passed in 20.00s"
    assert "3 failed; tried again, alone" in capsys.readouterr().out


def test_what_fails_alone_too_is_broken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    runs(monkeypatch, BROKEN, Outcome("tests", False, 20.0, "1 failed, 2 passed in 20.00s"))
    assert not some_tests("tests", ()).held


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
    assert some_tests("tests", ("-n", "2")) == end
    assert len(asked) == 1
