"""Every test is run by one stage of the whole run, and what failed there is tried again alone where changes are checked, never in
silence, and nowhere else; a room's run names what it leaves to that."""

import subprocess
import sys
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from app import checks
from app.checks import A_ROOM, ALONE, KEEPS_TIME, Outcome, Stage, stages, tried_again, with_rooms
from app.paths import CHECKOUT
from tests.conftest import BROWSER_FILES, LeftOut, must_say_that_it_keeps_time, pytest_runtest_protocol

PLAIN = Stage("plain", ("tests/test_a.py",), 2)
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
    assert asked == [(*ALONE, *PLAIN.cache, "tests/test_a.py")], "of what failed in this stage"
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
        ("true", Outcome("tests", False, 300.0, "4 failed, 400 passed in 300.00s")),
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


def test_every_file_of_tests_is_in_one_stage_and_what_keeps_time_gives_way_to_nobody() -> None:
    long, plain = stages()
    files = {
        str(file.relative_to(CHECKOUT)): file.read_text(encoding="utf-8") for file in (CHECKOUT / "tests").rglob("test_*.py")
    }
    assert sorted((*long.files, *plain.files)) == sorted(files)
    assert {name for name, text in files.items() if KEEPS_TIME.search(text)} < set(long.files)


def test_stages_that_run_side_by_side_remember_their_failures_apart() -> None:
    assert len({stage.cache for stage in stages()}) == 2


def test_a_room_names_what_it_leaves_to_the_whole_run() -> None:
    counting, telling = LeftOut(), LeftOut()
    left = [SimpleNamespace(nodeid=f"tests/floor/test_a.py::test_{name}") for name in "ab"]
    counting.pytest_deselected([*left, SimpleNamespace(nodeid="tests/floor/test_b.py::test_c")])  # type: ignore[list-item]
    process = SimpleNamespace(config=SimpleNamespace(workeroutput={}))
    counting.pytest_sessionfinish(process)  # type: ignore[arg-type]
    for _ in range(2):  # two processes, which have collected the same
        telling.pytest_testnodedown(process.config)
    said: list[str] = []
    telling.pytest_terminal_summary(SimpleNamespace(write_line=said.append))  # type: ignore[arg-type]
    assert said == ["left to the whole run: 3 tests, tests/floor/test_a.py (2), tests/floor/test_b.py (1)"]
    assert with_rooms(["floor"])[-3:] == ("-m", A_ROOM, "tests/floor")
    assert A_ROOM not in with_rooms(["engines"]), "where all are slow they are what is asked for"


@pytest.mark.parametrize(("words", "told"), [("pytest.mark.paced", True), ("paced", False)])
def test_what_keeps_time_without_saying_so_might_give_way_to_others_and_is_refused(
    tmp_path: Path, words: str, told: bool
) -> None:
    file = tmp_path / "test_made.py"
    file.write_text(words, encoding="utf-8")
    item: Any = SimpleNamespace(path=file, nodeid="test_made.py::test_long", keywords={"paced"})
    with nullcontext() if told else pytest.raises(pytest.UsageError, match="it might give way to others"):
        must_say_that_it_keeps_time(item)


def test_what_a_stopped_server_leaves_is_collected_before_a_test_that_must_leave_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    class Left:
        def __init__(self) -> None:
            self.itself = self

        def __del__(self) -> None:
            raise ResourceWarning("an unclosed socket")

    config = SimpleNamespace(stash={BROWSER_FILES: set()})
    plain, slow, browser = (SimpleNamespace(path=None, config=config, keywords={word}) for word in ("", "slow", "browser"))

    def ends(item: Any, following: Any) -> None:
        tested = pytest_runtest_protocol(item, following)
        next(tested)
        next(tested, None)

    for item, following in ((slow, plain), (browser, plain), (slow, None)):
        Left()
        with pytest.warns(pytest.PytestUnraisableExceptionWarning, match="an unclosed socket"):
            ends(item, following)
    monkeypatch.setattr("tests.conftest.gc.collect", lambda: pytest.fail("it takes a moment: not where none need be without"))
    for item, following in ((slow, browser), (plain, slow), (plain, None)):
        ends(item, following)


def test_types_are_looked_at_as_on_every_system_that_people_have() -> None:
    here = {sys.platform, *checks.OTHER_SYSTEMS}
    assert here >= {"linux", "darwin", "win32"}
    asked = checks.house_checks()
    kept = {command[command.index("--cache-dir") + 1] for command in asked.values() if "--cache-dir" in command}
    assert {name for name in asked if name.startswith("types as on")} == {f"types as on {one}" for one in checks.OTHER_SYSTEMS}
    assert len(kept) == len(checks.OTHER_SYSTEMS), "what one keeps is of no use to another"


def test_what_reaches_a_system_is_looked_at_as_on_the_others(tmp_path: Path) -> None:
    looked_at = {Path(name) for name in checks.near_the_system()}
    assert {Path("app/listening/processes.py"), Path("app/live/servertime.py"), Path("app/aside.py")} <= looked_at
    careless = tmp_path / "careless.py"
    careless.write_text("import os\n\nos.fork()\n", encoding="utf-8")
    assert checks.OF_THE_SYSTEM.search(careless.read_text(encoding="utf-8"))
    asked = [one for one in checks.as_on("win32") if Path(one) not in looked_at]
    asked[asked.index("--cache-dir") + 1] = str(tmp_path / "cache")
    done = subprocess.run([sys.executable, "-m", "mypy", *asked, str(careless)], cwd=CHECKOUT, capture_output=True, text=True)
    assert done.returncode == 1 and '"fork"' in done.stdout, done.stdout
