"""What is double-clicked finds a Python and calls `start`, which does what the two commands do; every advice names the command.

`start.command` is run here by the shell that a Mac has too; `start.cmd` can only be read.
"""

import shutil
import subprocess
from pathlib import Path

import pytest

from app import calling, cli
from app.first_start.pythons import ADVISED

ROOT = Path(__file__).resolve().parents[2]
WINDOWS, ELSEWHERE = ROOT / "start.cmd", ROOT / "start.command"
A_PYTHON = '#!/bin/sh\n[ "$1" = -c ] && exit 0\necho "$0 $* in $PWD"\n'
A_STAND_IN = "#!/bin/sh\necho 'No Python here; see the shop' >&2\nexit 1\n"


def started(folder: Path, **tools: str) -> subprocess.CompletedProcess[str]:
    """Run the starter of a checkout in a folder whose name has a space, with nothing on the path but some tools."""
    (folder / "a hall" / "app").mkdir(parents=True)
    (folder / "a hall" / "app" / "__main__.py").touch()
    shutil.copy(ELSEWHERE, folder / "a hall")
    path = folder / "tools"
    path.mkdir()
    (path / "dirname").symlink_to(shutil.which("dirname") or "")
    for name, script in {
        "uname": "#!/bin/sh\necho Linux\n",
        **{name.replace("_", "."): text for name, text in tools.items()},
    }.items():
        (path / name).write_text(script, encoding="utf-8")
        (path / name).chmod(0o755)
    command = ["/bin/sh", str(folder / "a hall" / "start.command")]
    return subprocess.run(command, env={"PATH": str(path)}, capture_output=True, encoding="utf-8", timeout=20)


def test_the_starter_calls_start_in_its_own_folder(tmp_path: Path) -> None:
    found = started(tmp_path, python3=A_PYTHON)
    assert found.stdout.split(" ", 1)[1] == f"-m app start in {tmp_path / 'a hall'}\n"


def test_a_stand_in_for_python_is_passed_over(tmp_path: Path) -> None:
    found = started(tmp_path, python3=A_STAND_IN, python3_13=A_PYTHON)
    assert "python3.13 -m app start" in found.stdout
    assert found.stderr == ""


def test_where_there_is_no_python_the_starter_says_which_to_install(tmp_path: Path) -> None:
    found = started(tmp_path, python3=A_STAND_IN)
    assert found.returncode == 1
    assert f"Install the 64-bit Python {ADVISED} from python.org" in found.stdout


def test_a_starter_that_stands_alone_says_so(tmp_path: Path) -> None:
    shutil.copy(ELSEWHERE, tmp_path)
    found = subprocess.run(["/bin/sh", str(tmp_path / "start.command")], capture_output=True, encoding="utf-8", timeout=20)
    assert found.returncode == 1 and "Unpack all of Lane Ledger first" in found.stdout


def test_the_starters_can_be_started_where_they_are_for() -> None:
    assert ELSEWHERE.stat().st_mode & 0o111 == 0o111
    assert b"\r" not in ELSEWHERE.read_bytes()
    lines = WINDOWS.read_bytes().splitlines(keepends=True)
    assert all(line.endswith(b"\r\n") for line in lines), "its labels are found only so"
    text = WINDOWS.read_text(encoding="ascii")  # whatever the console's own encoding is
    assert "-m app start" in text and f"64-bit Python {ADVISED} from python.org" in text
    targets = {line.split("goto ")[1].strip() for line in text.splitlines() if "goto " in line}
    assert targets == {line[1:].strip() for line in text.splitlines() if line.startswith(":")}


@pytest.mark.parametrize(("typed", "runs"), [(["1"], "serve"), ([""], "serve"), (["x", "2"], "demo"), ([" 2 "], "demo")])
def test_start_asks_and_does_what_the_command_does(typed: list[str], runs: str, monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[str] = []
    monkeypatch.setattr("builtins.input", lambda _: typed.pop(0))
    for name in ("serve", "demo"):
        monkeypatch.setattr(cli, name, lambda asked, name=name: ran.append(name) or 0)
    assert cli.main(["start"]) == 0
    assert ran == [runs]


def test_start_without_anybody_to_answer_names_the_commands(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def nobody(_: str) -> str:
        raise EOFError

    monkeypatch.setattr("builtins.input", nobody)
    assert cli.main(["start"]) == 1
    assert f"{calling.command('serve')} or {calling.command('demo')}" in capsys.readouterr().err


def test_the_command_is_called_as_this_system_calls_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert calling.called(windows=False) == "python3 -m app"
    for launcher, name in (("C:\\Windows\\py.exe", "py -m app"), (None, "python -m app")):
        monkeypatch.setattr(calling.shutil, "which", lambda _, launcher=launcher: launcher)
        assert calling.called(windows=True) == name
    monkeypatch.setattr(calling, "PACKAGE", tmp_path / "site-packages" / "app")
    assert calling.called(windows=True) == "lane-ledger"


def test_every_advice_of_a_command_asks_what_it_is_called_here() -> None:
    told = [*(ROOT / "app").rglob("*.py"), *(ROOT / "static" / "js").rglob("*.js")]
    at_fault = [path.name for path in told if "python3 -m app " in _without_comments(path) and path.name != "calling.py"]
    assert at_fault == [], "app.calling.command tells it"


def _without_comments(path: Path) -> str:
    lines = path.read_text(encoding="utf-8").splitlines()
    return "\n".join(line for line in lines if not line.lstrip().startswith(("#", "//", '"""', "*")))
