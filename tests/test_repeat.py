"""The table of every test that ever failed is read from what a run says, and adds up over all runs."""

from pathlib import Path

from app.checks import OTHER_SYSTEMS, with_rooms
from tests.repeat import Run, failures, keep, kept, table

SAID = """
=========================== short test summary info ============================
\x1b[31mFAILED\x1b[0m tests/floor/test_a.py::test_one[a small file system] - AssertionError: x
FAILED tests/floor/test_a.py::test_two
ERROR tests/web/test_b.py::test_three - OSError
FAILED tests/floor/test_a.py::test_two
PASSED tests/web/test_b.py::test_four

style           held       0.9 s
types           FAILED    12.0 s
{elsewhere:<15} FAILED    12.0 s
the rest        FAILED   482.5 s  2 failed, 4984 passed in 474.45s
"""
ELSEWHERE = f"types as on {OTHER_SYSTEMS[0]}"


def a_run(*failed: str) -> Run:
    return Run("2030-06-01T10:00:00+00:00", "abc", ("floor",), 61.5, not failed, failed)


def test_what_failed_is_read_from_what_was_said() -> None:
    assert failures(SAID.format(elsewhere=ELSEWHERE)) == (
        "tests/floor/test_a.py::test_one[a small file system]",
        "tests/floor/test_a.py::test_two",
        "tests/web/test_b.py::test_three",
        "types",
        ELSEWHERE,
    )


def test_a_stage_that_names_no_test_stands_for_itself() -> None:
    assert failures("style     held       0.9 s\nthe rest  FAILED   12.5 s\nNot everything held; see above.\n") == ("the rest",)
    assert failures("Everything held.") == ()


def test_runs_are_kept_and_counted(tmp_path: Path) -> None:
    file = tmp_path / "kept" / "runs.jsonl"
    assert kept(file) == []
    runs = [a_run("one"), a_run(), a_run("two", "one")]
    for run in runs:
        keep(run, file)
    assert [run.failed for run in kept(file)] == [["one"], [], ["two", "one"]]
    assert table(runs).splitlines() == ["failed  in 3 runs", "     2  one", "     1  two"]
    assert table([a_run()]).splitlines()[1:] == ["  none"]


def test_a_room_stands_for_its_tests_and_shares_the_cores() -> None:
    asked = with_rooms(["floor", "-x"])
    assert asked[-2:] == ("tests/floor", "-x")
    assert "-n" in asked
    assert with_rooms(["tests/test_cli.py", "-x"]) == ("tests/test_cli.py", "-x")
