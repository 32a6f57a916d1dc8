"""`python3 -m app` on a bare Python, tried on a small copy of the app with a package made here, so that no network is needed."""

import ast
import base64
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest

from app.first_start import packages, pythons
from app.first_start.troubles import Trouble

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]

# Stands in for the real command line, so that what is tried is the way to it and not what lies behind.
COMMAND_LINE = """
import json, sys
import chalk_and_slate

def main(arguments):
    print(json.dumps({"arguments": arguments, "prefix": sys.prefix, "package": chalk_and_slate.VERSION}))
    return 3 if arguments == ["fail"] else 0
"""


def a_wheel(folder: Path, version: str, name: str = "chalk-and-slate") -> str:
    """Make a tiny package's wheel and return its line for a lock file, with its hash."""
    module = name.replace("-", "_")
    info = f"{module}-{version}.dist-info"
    files = {
        f"{module}.py": f"VERSION = {version!r}\n",
        f"{info}/METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n",
        f"{info}/WHEEL": "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    record = "".join(f"{inside},sha256={_digest(text)},{len(text)}\n" for inside, text in files.items())
    wheel = folder / f"{module}-{version}-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as archive:
        for inside, text in {**files, f"{info}/RECORD": record + f"{info}/RECORD,,\n"}.items():
            archive.writestr(inside, text)
    return f"{name}=={version} \\\n    --hash=sha256:{hashlib.sha256(wheel.read_bytes()).hexdigest()}\n"


def _digest(text: str) -> str:
    return base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).decode().rstrip("=")


def bare(script: str) -> str:
    """What a script prints in the checkout, run by a Python that has nothing installed."""
    command = [sys._base_executable, "-I", "-S", "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r}); {script}"]
    return subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout


def what_is_loaded_at_once() -> list[str]:
    """The files of the checkout that are read before anything is installed: the package's own modules, and what they open."""
    loaded = "[one.__file__ for name, one in sys.modules.items() if name.split('.')[0] == 'app']"
    found = bare(f"import app, app.first_start.packages; print(*{loaded}, sep='\\n')")
    opened = [
        *(ROOT / "app" / "library").glob("*.json"),
        *(ROOT / "static" / "js" / "words").glob("*.js"),
        ROOT / "pyproject.toml",
    ]
    return [Path(one).relative_to(ROOT).as_posix() for one in (*found.splitlines(), *map(str, opened))]


class Copy:
    """A checkout with the real way in, a small command line behind it, and a shelf of wheels."""

    def __init__(self, folder: Path) -> None:
        self.root = folder / "a checkout with späces"
        self.shelf = folder / "shelf"
        self.shelf.mkdir()
        for name in ("app/__main__.py", *what_is_loaded_at_once()):
            (self.root / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, self.root / name)
        (self.root / "app" / "cli.py").write_text(COMMAND_LINE)
        self.lock(a_wheel(self.shelf, "1.0"))

    def lock(self, line: str) -> None:
        # As a checkout on Windows may have it, where Git is told to end lines as Windows does.
        for name in ("requirements.lock", "requirements-dev.lock"):
            (self.root / name).write_text(line, encoding="utf-8", newline="\r\n")
        (self.root / "requirements-postgresql.lock").write_text(a_wheel(self.shelf, "1.0", "slate-and-chalk"))

    def start(self, *arguments: str, way: Sequence[str] = ("-m", "app"), **environment: str) -> subprocess.CompletedProcess[str]:
        """Run `python -m app …` in the copy with a Python that has nothing installed, and no network."""
        # Nothing of this machine's own set-up of pip, nor of the virtual environment that the tests run in, may help.
        clean = {name: value for name, value in os.environ.items() if not name.startswith(("PIP_", "PYTHON", "VIRTUAL_ENV"))}
        offline = {"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": self.shelf.as_posix(), "PIP_CONFIG_FILE": os.devnull}
        return subprocess.run(
            [sys._base_executable, *way, *arguments],
            cwd=self.root,
            env={**clean, **offline, **environment},
            capture_output=True,
            encoding="utf-8",
            timeout=100,
        )


# A Python that is newer than what packages are offered for, as far as the way in can tell.
FROM_THE_FUTURE = ("-c", "import sys, runpy; sys.version_info = (3, 15, 0); runpy.run_module('app', run_name='__main__')")


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy whose .venv has been made by a first start, over one that was left half made.

    The Python that it was started with would not do, and another was there.
    """
    folder = tmp_path_factory.mktemp("first")
    made, tools = Copy(folder), folder / "tools"
    (made.root / ".venv" / "bin").mkdir(parents=True)
    tools.mkdir()
    (tools / "python3.14").symlink_to(sys._base_executable)
    first = made.start("schema", way=FROM_THE_FUTURE, PATH=f"{tools}{os.pathsep}{os.environ['PATH']}")
    assert first.returncode == 0, first.stderr
    why, making, *_, ready = first.stderr.splitlines()
    assert why.startswith("Lane Ledger takes Python 3.11 to 3.14, and not this one: it is Python 3.15. Another is here")
    assert "Making a folder" in making
    assert ready == "Ready."
    return made


def test_the_first_start_installs_what_the_lock_says_and_hands_over(copy: Copy) -> None:
    told = json.loads(copy.start("recount", "a file.json", "--json").stdout)
    assert told["arguments"] == ["recount", "a file.json", "--json"]
    assert Path(told["prefix"]) == copy.root / ".venv"
    assert told["package"] == "1.0"


def test_a_second_start_is_silent_and_costs_little(copy: Copy) -> None:
    before = worked_s()
    again = copy.start("schema")
    assert (again.returncode, again.stderr) == (0, "")
    assert worked_s() - before < 1.0


def worked_s() -> float:
    """The processor time of all that these tests have started and seen the end of, whatever else the machine has to do."""
    times = os.times()
    return times.children_user + times.children_system


def test_the_exit_code_comes_through(copy: Copy) -> None:
    assert copy.start("fail").returncode == 3


def test_the_driver_of_postgresql_is_installed_when_its_database_is_named_and_only_then(copy: Copy) -> None:
    copy.start("schema")
    driver = [*(copy.root / ".venv").glob("**/slate_and_chalk.py")]
    assert driver == []
    named = copy.start("schema", DATABASE_URL="postgresql://u:p@h/d")
    assert "Installing about 2 packages" in named.stderr
    assert [*(copy.root / ".venv").glob("**/slate_and_chalk.py")]
    assert copy.start("schema").stderr == "", "what holds more is not made smaller"


def test_a_changed_lock_is_installed_at_the_next_start(copy: Copy) -> None:
    copy.lock(a_wheel(copy.shelf, "2.0"))
    after = copy.start("schema")
    assert json.loads(after.stdout)["package"] == "2.0"
    assert "Making a folder" not in after.stderr


def test_testing_installs_its_own_lock(copy: Copy) -> None:
    assert "Installing" in copy.start("test").stderr
    assert copy.start("test").stderr == ""
    assert copy.start("schema").stderr == "", "the packages for testing hold those for running"


def test_what_is_ready_is_used_whatever_python_calls_it(copy: Copy) -> None:
    again = copy.start("schema", way=FROM_THE_FUTURE, PATH=os.devnull)
    assert (again.returncode, again.stderr) == (0, "")


def test_a_python_that_will_not_do_and_stands_alone_is_told_so_and_nothing_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(packages, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(packages, "this_python", lambda: {**pythons.this_python(), "version": [3, 15]})
    monkeypatch.setattr(packages, "another", lambda: None)
    with pytest.raises(Trouble, match=r"takes Python 3\.11 to 3\.14, .* it is Python 3\.15\. Install the 64-bit Python 3\.13"):
        packages.prepare("run")
    assert not (tmp_path / ".venv").exists()


def test_an_environment_whose_python_was_taken_away_is_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packages, "VENV", tmp_path)
    for made_with, there in ((sys.executable, True), (str(tmp_path / "gone" / "python.exe"), False)):
        (tmp_path / "pyvenv.cfg").write_text(f"home = x\nexecutable = {made_with}\n", encoding="utf-8")
        assert packages.base_is_there() is there


def test_an_environment_is_made_again_unless_its_python_starts_and_has_pip(copy: Copy, tmp_path: Path) -> None:
    assert packages.works(packages.venv_python(copy.root / ".venv", os.name == "nt"))
    assert not packages.works(tmp_path / "bin" / "python")
    broken = tmp_path / "python"
    broken.write_text("#!/bin/sh\nexit 1\n")
    broken.chmod(0o755)
    assert not packages.works(broken)


def test_a_package_that_is_not_the_tested_one_is_refused(copy: Copy) -> None:
    line = a_wheel(copy.shelf, "3.0")
    copy.lock(line[:-5] + ("0000\n" if line[-5:-1] != "0000" else "1111\n"))
    refused = copy.start("schema")
    assert_a_sentence(refused, "fingerprint differs")
    copy.lock(line)
    assert copy.start("schema").returncode == 0


def test_a_first_start_without_network_says_so(copy: Copy) -> None:
    copy.lock("not-on-the-shelf==1.0 --hash=sha256:" + "0" * 64 + "\n")
    # Port 9 (discard) of this machine: nobody answers, as when a hall has no internet.
    refused = copy.start("schema", PIP_NO_INDEX="", PIP_INDEX_URL="http://127.0.0.1:9/", PIP_PROXY="", NO_PROXY="*")
    assert_a_sentence(refused, "needs the internet once")


def test_what_would_have_to_be_built_here_is_not_installed_and_told(copy: Copy) -> None:
    source = copy.shelf / "from-source-1.0.tar.gz"
    with tarfile.open(source, "w:gz") as packed:
        setup = copy.shelf / "setup.py"
        setup.write_text(f"open({str(copy.shelf / 'built')!r}, 'w').close()\nraise SystemExit('built')\n")
        packed.add(setup, "from-source-1.0/setup.py")
    copy.lock(f"from-source==1.0 --hash=sha256:{hashlib.sha256(source.read_bytes()).hexdigest()}\n")
    assert_a_sentence(copy.start("schema"), "not offered ready-made")
    assert not (copy.shelf / "built").exists()


def test_a_missing_lock_is_told(tmp_path: Path) -> None:
    made = Copy(tmp_path)
    (made.root / "requirements.lock").unlink()
    assert_a_sentence(made.start("schema"), "requirements.lock is missing")


def assert_a_sentence(run: subprocess.CompletedProcess[str], words: str) -> None:
    """A refusal is a sentence on stderr with exit code 1, never a traceback."""
    assert run.returncode == 1
    assert words in run.stderr
    assert "Traceback" not in run.stderr
    assert run.stdout == ""


READ_BY_ANY_PYTHON = (
    *(ROOT / "app" / name for name in ("__init__.py", "__main__.py", "calling.py")),
    *(ROOT / "app" / "first_start").glob("*.py"),
)


def test_an_old_python_reads_no_more_than_the_way_in() -> None:
    pretending = "sys.version_info = (3, 9); import app.first_start.packages"
    loaded = bare(f"{pretending}; print(*[name for name in sys.modules if name.startswith('app.')])").split()
    assert {name.removeprefix("app.").split(".")[0] for name in loaded} == {"first_start", "calling"}


@pytest.mark.parametrize("file", READ_BY_ANY_PYTHON, ids=lambda file: file.name)
def test_any_python_can_read_the_way_in_with_its_standard_library_alone(file: Path) -> None:
    tree = ast.parse(file.read_text(encoding="utf-8"), feature_version=(3, 7))
    names = [alias.name for node in tree.body if isinstance(node, ast.Import) for alias in node.names]
    names += [str(node.module) for node in tree.body if isinstance(node, ast.ImportFrom)]
    others = [name for name in names if name.split(".")[0] not in sys.stdlib_module_names]
    assert [name for name in others if not name.startswith(("app.first_start.", "app.calling"))] == []


@pytest.mark.parametrize("missing", ["venv", "ensurepip"])
def test_a_python_without_venv_is_told_which_package_has_it(missing: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pythons.importlib.util, "find_spec", lambda name: None if name == missing else object())
    with pytest.raises(Trouble, match="apt install python3-venv"):
        packages.make_venv(sys.executable)


def test_the_environments_python_is_found_on_windows_too() -> None:
    venv = Path("checkout/.venv")
    assert packages.venv_python(venv, windows=True) == venv / "Scripts" / "python.exe"
    assert packages.venv_python(venv, windows=False) == venv / "bin" / "python"


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Collecting argon2-cffi==25.1.0 (from -r requirements.lock (line 1))\n", "argon2-cffi"),
        ("Requirement already satisfied: fastapi==1.0 in ./lib\n", "fastapi"),
        ("Processing ./shelf/click-8.5.1-py3-none-any.whl (from -r requirements.lock)\n", "click"),
        ("  Downloading fastapi-1.0-py3-none-any.whl (90 kB)\n", ""),
    ],
)
def test_the_installers_talk_tells_which_package_it_is_at(line: str, name: str) -> None:
    assert packages.package_named(line) == name
