"""Which Pythons will do, by what they say of themselves; and how another is looked for, on every system."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from app.first_start import pythons
from app.first_start.pythons import asked, candidates, this_python, unfit


def a_python(**told: Any) -> dict[str, Any]:
    """What a usual Python on a usual Windows laptop says of itself, but for what is told."""
    usual = {"version": [3, 13], "executable": "python.exe", "kind": "CPython", "system": "win-amd64", "macos": [], "musl": False}
    return {**usual, "free_threads": False, "has_venv": True, "has_pip": True, **told}


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"version": [3, 11]},
        {"version": [3, 14]},
        {"system": "linux-x86_64"},
        {"system": "linux-aarch64"},
        {"system": "macosx-11.0-universal2", "macos": [11, 7, 10]},
        {"system": "macosx-10.9-x86_64", "macos": [10, 16]},
        {"system": "macosx-26.0-arm64", "macos": [26, 1]},
        {"system": "macosx-10.13-x86_64", "macos": [15, 0]},
    ],
)
def test_a_usual_python_will_do(told: dict[str, Any]) -> None:
    assert unfit(a_python(**told)) == ""


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({"version": [3, 15]}, "it is Python 3.15"),
        ({"version": [3, 10]}, "it is Python 3.10"),
        ({"version": [2, 7]}, "it is Python 2.7"),
        ({"version": [4, 0]}, "it is Python 4.0"),
        ({"kind": "PyPy"}, "it is PyPy"),
        ({"free_threads": True}, "without the global lock"),
        ({"system": "win-arm64"}, "an x64 Python runs on this computer too"),
        ({"system": "win32"}, "32 bits"),
        ({"system": "linux-armv7l"}, "this kind of computer (linux-armv7l)"),
        ({"system": "linux-x86_64", "musl": True}, "C library"),
        ({"system": "macosx-10.9-universal2", "macos": [10, 15, 7]}, "from macOS 11 on"),
    ],
)
def test_one_that_will_not_do_says_why(told: dict[str, Any], why: str) -> None:
    assert why in unfit(a_python(**told))


def test_the_python_of_these_tests_will_do() -> None:
    assert unfit(this_python()) == ""
    about = asked([sys.executable])
    assert about is not None
    assert {**about, "executable": ""} == {**this_python(), "executable": ""}


def test_what_is_no_python_is_none() -> None:
    assert asked([os.devnull]) is None
    assert asked(["no-such-command-on-any-path"]) is None
    assert asked([sys.executable, "-c", "print('hello')"]) is None


def test_the_newest_is_tried_first_and_the_launcher_of_windows_before_its_folders(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LOCALAPPDATA", "L")
    monkeypatch.setenv("PROGRAMFILES", "P")
    windows, elsewhere = candidates(windows=True), candidates(windows=False)
    assert [command for command in windows if command[0] == "py"] == [["py", f"-3.{minor}"] for minor in (14, 13, 12, 11)]
    assert [os.path.join("L", "Programs", "Python", "Python313", "python.exe")] in windows
    assert [os.path.join("P", "Python313", "python.exe")] in windows
    assert elsewhere[0] == ["python3.14"]
    assert ["/Library/Frameworks/Python.framework/Versions/3.13/bin/python3.13"] in elsewhere


def test_one_that_has_no_venv_or_will_not_do_itself_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    here = {"a": a_python(has_venv=False), "b": a_python(system="win-arm64"), "c": a_python(executable="c.exe")}
    monkeypatch.setattr(pythons, "candidates", lambda windows: [["none"], ["a"], ["b"], ["c"]])
    monkeypatch.setattr(pythons, "asked", lambda command: here.get(command[0]))
    assert pythons.another() == here["c"]
    del here["c"]
    assert pythons.another() is None


def test_looking_round_lets_no_launcher_install_anything(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYLAUNCHER_ALLOW_INSTALL", "1")
    given: list[dict[str, str]] = []

    def run(command: list[str], **how: Any) -> subprocess.CompletedProcess[bytes]:
        given.append(how["env"])
        return subprocess.CompletedProcess(command, 103, b"")

    monkeypatch.setattr(pythons.subprocess, "run", run)
    assert asked(["py", "-3.13"]) is None
    assert "PYLAUNCHER_ALLOW_INSTALL" not in given[0] and given[0]["PYTHON_MANAGER_AUTOMATIC_INSTALL"] == "false"


def test_the_versions_are_those_of_the_package() -> None:
    words = (Path(__file__).resolve().parents[2] / "pyproject.toml").read_text(encoding="utf-8")
    after = (pythons.NEWEST[0], pythons.NEWEST[1] + 1)
    assert f'requires-python = ">={pythons.dotted(pythons.OLDEST)},<{pythons.dotted(after)}"' in words
    assert pythons.OLDEST <= tuple(map(int, pythons.ADVISED.split("."))) <= pythons.NEWEST
