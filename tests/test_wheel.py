"""The wheel carries everything: built here, installed beside what the lock says and nothing else, served from elsewhere."""

import json
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Iterable, Iterator
from importlib.metadata import distribution
from pathlib import Path
from urllib.request import urlopen

import pytest
from packaging.requirements import Requirement

from app.first_start.packages import venv_python

ROOT = Path(__file__).resolve().parent.parent
pytestmark = pytest.mark.slow


def run(*command: str | Path, cwd: Path) -> str:
    done = subprocess.run([str(part) for part in command], cwd=cwd, capture_output=True, text=True, timeout=110, env=clean())
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def clean() -> dict[str, str]:
    """The environment without what would lend the checkout's Python to the installed one."""
    return {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV", "LANE_LEDGER"))}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout."""
    out = tmp_path_factory.mktemp("wheel")
    # Without isolation: the builder is in the lock for testing, and fetching another would need the network.
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", out, ROOT, cwd=out)
    (built,) = out.glob("*.whl")
    return built


def locked() -> dict[str, str]:
    """The packages of the lock for running, each with its version."""
    lines = re.findall(r"^([a-z][^\\\n]+)", (ROOT / "requirements.lock").read_text(encoding="utf-8"), re.M)
    wanted = [one for one in map(Requirement, lines) if one.marker is None or one.marker.evaluate()]
    return {one.name: str(one.specifier).removeprefix("==") for one in wanted}


def lend(names: Iterable[str], packages: Path) -> None:
    """Puts installed packages into another environment, by links: to install them anew would only try pip."""
    for name in names:
        found = distribution(name)
        tops = {file.parts[0] for file in found.files or () if file.parts[0] not in ("..", "__pycache__")}
        for top in tops:
            shared = packages / top
            if not shared.exists():
                shared.symlink_to(Path(str(found.locate_file(top))), target_is_directory=True)


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The `lane-ledger` command in an environment that holds what the lock says and the wheel, and nothing else."""
    venv = tmp_path_factory.mktemp("clean") / "venv"
    run(sys.executable, "-m", "venv", "--without-pip", venv, cwd=venv.parent)
    python = venv_python(venv, os.name == "nt")
    (packages,) = venv.glob("**/site-packages")
    lend(locked(), packages)
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "-q", "--disable-pip-version-check")
    run(*pip, "--no-deps", "--no-index", wheel, cwd=venv.parent)
    return python.parent / ("lane-ledger.exe" if os.name == "nt" else "lane-ledger")


def test_what_is_tested_is_what_the_lock_says() -> None:
    here = {name: distribution(name).version for name in locked()}
    assert here == locked()


@pytest.fixture
def address(installed: Path, tmp_path: Path) -> Iterator[str]:
    """The address of the installed server, started in a directory that has nothing to do with the checkout."""
    command = [str(installed), "serve", "--no-browser", "--host", "127.0.0.1", "--port", "0"]
    with subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE, text=True, env=clean()) as server:
        assert server.stdout is not None
        try:
            said = [server.stdout.readline() for _ in range(2)]
            found = re.search(r"http://127\.0\.0\.1:\d+", "".join(said))
            assert found, said
            yield found[0]
        finally:
            server.terminate()
            server.wait(timeout=20)


def test_the_wheel_holds_the_rooms_beside_the_package_whole(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        inside = set(archive.namelist())
    for room in ("templates", "static", "migrations"):
        beside = {path.relative_to(ROOT).as_posix() for path in (ROOT / room).rglob("*") if path.is_file()}
        wanted = {f"app/_shipped/{name}" for name in beside if "__pycache__" not in name}
        assert wanted
        assert wanted <= inside
    tables = {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "app" / "library").iterdir() if path.suffix in (".json", ".lark")
    }
    assert tables and tables <= inside
    assert not [name for name in inside if name.startswith(("tests/", "data", ".venv"))]


def test_the_installed_server_serves_pages_and_static_files(address: str, tmp_path: Path) -> None:
    with urlopen(f"{address}/", timeout=10) as answer:
        page = answer.read().decode()
        assert answer.status == 200
    sheets = re.findall(r'href="(/static/[^"]+\.css)"', page)
    assert sheets
    for sheet in sheets:
        with urlopen(f"{address}{sheet}", timeout=10) as answer:
            assert answer.status == 200
            assert answer.headers["Content-Type"].startswith("text/css")
    assert (tmp_path / "data" / "lane-ledger.sqlite3").is_file()


def test_the_installed_command_prints_the_schema(installed: Path, tmp_path: Path) -> None:
    assert json.loads(run(installed, "schema", cwd=tmp_path))["title"] == "CompetitionFile"


def test_the_installed_module_needs_no_checkout(installed: Path, tmp_path: Path) -> None:
    python = installed.with_name("python.exe" if os.name == "nt" else "python")
    assert run(python, "-m", "app", "--version", cwd=tmp_path).strip()


def test_the_installed_command_says_where_the_tests_are(installed: Path, tmp_path: Path) -> None:
    refused = subprocess.run([str(installed), "test"], cwd=tmp_path, capture_output=True, text=True, env=clean())
    assert refused.returncode == 1
    assert "Run this from a checkout" in refused.stderr
