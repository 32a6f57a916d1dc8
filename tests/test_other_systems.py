"""What is run here as on another laptop: without what Windows lacks, in the encoding of one in the west, from a checkout whose
lines end as Windows' do, in a folder that a person has named.

All of that is imitated on this system; README says what was never run on the other ones.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
from app.lan.certificate import write_secret
from app.planning.worker import Job
from tests.builders.slate_day import the_slate_day
from tests.planning.days import a_day

pytestmark = [pytest.mark.slow, pytest.mark.apart]

ROOT = Path(__file__).resolve().parent.parent
WINDOWS = ROOT / "tests" / "imitations" / "windows"
NAMED = "Özgül-”x” und Łukasz"
TEXT = {".py", ".js", ".css", ".html", ".json", ".svg", ".txt", ".mako", ".toml", ".lock", ".sql"}


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The product in a folder with an awkward name, each line of its text ending as on Windows."""
    there = tmp_path_factory.mktemp("hall") / NAMED
    left_out = shutil.ignore_patterns("__pycache__", "_shipped")
    for room in ("app", "templates", "static", "migrations"):
        shutil.copytree(ROOT / room, there / room, ignore=left_out)
    shutil.copy(ROOT / "pyproject.toml", there)
    for file in there.rglob("*"):
        if file.suffix in TEXT:
            file.write_bytes(file.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"))
    return there


def on_windows(checkout: Path, code: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run code in a checkout, as far as Windows can be imitated."""
    surroundings = {
        **{name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "LANE_LEDGER"))},
        "PYTHONPATH": os.pathsep.join((str(WINDOWS), str(checkout))),
        "PYTHONIOENCODING": "cp1252",
        "TMPDIR": str(checkout.parent),
        **more,
    }
    command = [sys.executable, "-c", code]
    return subprocess.run(command, cwd=checkout, env=surroundings, capture_output=True, encoding="utf-8", timeout=110)


def the_command(*arguments: object) -> str:
    return f"import sys; from app.cli import main; sys.exit(main({[str(one) for one in arguments]!r}))"


def test_the_imitation_takes_away_what_it_says(checkout: Path) -> None:
    code = """
import app.serving as s, app.planning.__main__ as p, app.live.servertime as t, app.lan.addresses as a
print(s.sys.platform, hasattr(s.os, 'fork'), hasattr(p.os, 'nice'), hasattr(t.time, 'clock_gettime_ns'), a._by_kernel_table())
import importlib.util, uvicorn
print(s.__file__)
"""
    done = on_windows(checkout, code, PYTHONIOENCODING="utf-8")
    assert done.stdout.splitlines() == ["win32 False False False []", str(checkout / "app" / "serving.py")], done.stderr


@pytest.mark.paced
def test_a_drill_loses_nothing_there(checkout: Path) -> None:
    done = on_windows(checkout, the_command("drill", "--lanes", 1))
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Nothing was lost and nothing was duplicated." in done.stdout


def test_a_competition_is_taken_in_kept_and_recounted_there(checkout: Path) -> None:
    file, kept = checkout.parent / "Ángel.json", checkout.parent / "stick"
    file.write_text(the_slate_day(("10:00", "10:30", "11:00")).model_dump_json(), encoding="utf-8")
    commands = [
        ["import", str(file), "--data", "Łukasz"],
        ["backup", str(kept), "--data", "Łukasz"],
        ["restore", str(kept), "--data", "anew", "--yes"],
        ["export", "again.json", "--data", "anew"],
        ["recount", "again.json"],
    ]
    done = on_windows(checkout, f"from app.cli import main; print([main(one) for one in {commands!r}])")
    assert done.stdout.splitlines()[-1:] == ["[0, 0, 0, 0, 0]"], done.stdout + done.stderr


def test_a_day_is_planned_there(checkout: Path) -> None:
    job = checkout.parent / "job.json"
    job.write_text(Job(seconds=5, given=a_day(entries=4, minutes=(10,))).model_dump_json(), encoding="utf-8")
    code = f"""
import asyncio, pathlib
from app.planning.worker import Job, Worker
job = Job.model_validate_json(pathlib.Path({str(job)!r}).read_bytes())
found = asyncio.run(Worker(job, lambda _: None).run())
print(len(found.heats), found.why)
"""
    done = on_windows(checkout, code)
    assert done.stdout.strip() == "2", done.stderr


def test_several_processes_are_refused_there(checkout: Path) -> None:
    refused = on_windows(checkout, the_command("serve", "--processes", 2), DATABASE_URL="postgresql://u:p@127.0.0.1:9/d")
    assert refused.returncode == 1 and "need Linux or macOS" in refused.stderr


HELD = 2  # so often a file that was just written is refused, as while a scanner looks into it


@pytest.fixture
def scanner(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Files can't be replaced or removed at once; returns the names of those that were held."""
    refused: list[str] = []

    def slowly(act: Callable[..., Any]) -> Callable[..., Any]:
        def tried(self: Path, *how: Any, **more: Any) -> Any:
            if self.exists() and refused.count(self.name) < HELD:
                refused.append(self.name)
                raise PermissionError(13, "[WinError 5] Access is denied", str(self))
            return act(self, *how, **more)

        return tried

    for name in ("replace", "unlink", "rename"):
        monkeypatch.setattr(Path, name, slowly(getattr(Path, name)))
    return refused


def test_what_a_scanner_holds_for_a_moment_is_waited_for(scanner: list[str], tmp_path: Path) -> None:
    file = tmp_path / "file.json"
    file.write_text(the_slate_day(("10:00", "10:30", "11:00")).model_dump_json(), encoding="utf-8")
    there, stick = str(tmp_path / "data"), str(tmp_path / "stick")
    for arguments in (
        ["import", str(file), "--data", there],
        ["export", str(tmp_path / "again.json"), "--data", there],
        ["backup", stick, "--data", there],
        ["restore", stick, "--data", str(tmp_path / "anew"), "--yes"],
    ):
        assert main(arguments) == 0, arguments
    write_secret(tmp_path / "desk.key", b"old")
    write_secret(tmp_path / "desk.key", b"new")
    assert (tmp_path / "desk.key").read_bytes() == b"new"
    assert {"again.json.part", "desk.key.part"} <= set(scanner)
