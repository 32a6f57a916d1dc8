"""The packages that Lane Ledger is built on, in a place of their own: what the locks say, checked against its hashes."""

import hashlib
import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

from app.calling import command
from app.first_start.pythons import INSTALL, another, asked, taken, this_python, unfit
from app.first_start.troubles import Trouble, meaning

CHECKOUT = Path(__file__).resolve().parent.parent.parent
VENV = CHECKOUT / ".venv"
STAMP = VENV / "installed.json"
LOG = VENV / "install.log"
BROUGHT = CHECKOUT / "wheels"  # what a program on a stick has with it

# What each kind of start is made of; the packages for testing hold all others, in the same versions.
LOCKS = {
    "run": (CHECKOUT / "requirements.lock",),
    "postgresql": (CHECKOUT / "requirements.lock", CHECKOUT / "requirements-postgresql.lock"),
    "test": (CHECKOUT / "requirements-dev.lock",),
}
HOLDS = {"run": ("run",), "postgresql": ("run", "postgresql"), "test": ("run", "postgresql", "test")}

# What has to be importable before the command line can start, and for what is more than that.
RUN_PACKAGES = (
    "alembic argon2 cryptography fastapi httptools jinja2 lark msgspec ortools pydantic_settings python_multipart segno sqlmodel "
    "uvicorn websockets"
)
TEST_PACKAGES = (
    "axe_playwright_python build hatchling httpx hypothesis icalendar importlinter jsonschema krippendorff mypy pandas pint "
    "playwright pypdf pytest pytest_timeout ruff scipy sklearn xdist"
)
IMPORTED = {"run": RUN_PACKAGES, "postgresql": RUN_PACKAGES + " psycopg", "test": f"{RUN_PACKAGES} psycopg {TEST_PACKAGES}"}

NEEDS_TEST_PACKAGES = ("test", "bench")
DATABASE_SETTINGS = ("LANE_LEDGER_DATABASE_URL", "DATABASE_URL")
QUIETLY = ["--no-input", "--disable-pip-version-check", "--retries", "2"]


def kind_of(arguments: "list[str]") -> str:
    """Which packages a command needs: PostgreSQL's driver only where its database is named."""
    if arguments[:1] and arguments[0] in NEEDS_TEST_PACKAGES:
        return "test"
    named = [os.environ.get(name, "") for name in DATABASE_SETTINGS]
    return "postgresql" if any(url.startswith("postgres") for url in named) else "run"


def can_run_here(kind: str) -> bool:
    """Whether the running Python has what is needed: an installed wheel, or .venv when it is up to date."""
    if Path(sys.prefix).resolve() == VENV.resolve():
        return is_current(kind)
    return all(importlib.util.find_spec(name) for name in IMPORTED[kind].split())


def venv_python(venv: Path, windows: bool) -> Path:
    """The Python inside a virtual environment."""
    return venv / "Scripts" / "python.exe" if windows else venv / "bin" / "python"


def own_python() -> Path:
    """The Python in .venv."""
    return venv_python(VENV, os.name == "nt")


def is_current(kind: str) -> bool:
    """Whether .venv holds what the lock file says, installed by a Python that is still there."""
    return stamped().get(kind) == fingerprint(kind) and own_python().exists() and base_is_there()


def base_is_there() -> bool:
    """Whether the Python that .venv was made with is still installed: on Windows .venv's own would start, only to miss it."""
    try:
        lines = (VENV / "pyvenv.cfg").read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return False
    made_with = dict(line.split(" = ", 1) for line in lines if " = " in line).get("executable", "")
    return not made_with or Path(made_with).exists()


def stamped() -> "dict[str, str]":
    """What was installed last: the fingerprint of each kind."""
    try:
        return dict(json.loads(STAMP.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return {}


def fingerprint(kind: str) -> str:
    """The fingerprint of a kind's lock files."""
    found = hashlib.sha256()
    for lock in LOCKS[kind]:
        try:
            found.update(lock.read_bytes())
        except OSError:
            raise Trouble(f"The file {lock.name} is missing from {CHECKOUT}. Fetch Lane Ledger again.") from None
    return found.hexdigest()


def prepare(kind: str) -> None:
    """Make .venv if there is none that works, and install what the lock says. Raises Trouble."""
    fresh = {held: fingerprint(held) for held in HOLDS[kind]}
    try:
        if not works(own_python()):
            make_venv(suitable_python())
        install(own_python(), LOCKS[kind])
        STAMP.write_text(json.dumps(fresh), encoding="utf-8")
    except OSError as wrong:
        raise Trouble(meaning(str(wrong))) from wrong


def works(python: Path) -> bool:
    """Whether a virtual environment's Python starts, will do, and has pip; a half-made or moved one does not."""
    about = asked([str(python)])
    return about is not None and bool(about["has_pip"]) and not unfit(about)


def suitable_python() -> str:
    """This Python if it will do, else another that this computer has. Raises Trouble before anything is fetched."""
    why_not = unfit(this_python())
    if not why_not:
        return sys.executable
    found = another()
    if found is None:
        raise Trouble(f"{taken()}, and not this one: {why_not}. {INSTALL} beside it, and start again: {command()}")
    say(f"{taken()}, and not this one: {why_not}. Another is here and is used: {found['executable']}")
    return str(found["executable"])


def make_venv(base: str) -> None:
    """Make .venv with a Python, or say what this computer lacks for it."""
    say("Making a folder for Lane Ledger's packages (.venv).")
    if base == sys.executable and not this_python()["has_venv"]:
        raise Trouble(no_venv_sentence())
    made = heard([base, "-m", "venv", "--clear", str(VENV)])
    if made.returncode == 0:
        return
    if "ensurepip" in made.stdout:
        raise Trouble(no_venv_sentence())
    raise Trouble(f"The folder {VENV} could not be made. {meaning(made.stdout)}")


def no_venv_sentence() -> str:
    """What to do when Python came without the venv module."""
    return (
        "This Python has no venv module, which Lane Ledger needs once, to keep its packages apart. On Debian or Ubuntu: "
        f"sudo apt install python3-venv (or python3.{sys.version_info[1]}-venv). Elsewhere install Python from python.org."
    )


def install(python: Path, locks: "tuple[Path, ...]") -> None:
    """Install exactly what the locks name, telling how far it is; everything pip says goes to a log."""
    total = sum("==" in line for lock in locks for line in lock.read_text(encoding="utf-8").splitlines())
    say(f"Installing about {total} packages, each checked against its fingerprint. This happens once and takes about a minute.")
    # Ready-made packages only: to build one, its author's own code would run here before anybody has looked at it.
    wanted = [part for lock in locks for part in ("-r", str(lock))]
    pip = [str(python), "-m", "pip", "install", "--require-hashes", "--only-binary", ":all:", *QUIETLY, *wanted]
    code, said = followed([*pip, *brought()], total)
    if code != 0 and brought():
        say("The packages on the stick are not for this computer and its Python, or not complete. Trying the internet.")
        code, said = followed(pip, total)
    LOG.write_text(said, encoding="utf-8")
    if code != 0:
        raise Trouble(f"{meaning(said)}\n(Everything the installer said is in {LOG}.)")
    # A first start without compiled files takes three times as long.
    heard([str(python), "-m", "compileall", "-q", str(CHECKOUT / "app")])
    say("Ready.")


def brought() -> "list[str]":
    """By what an installer takes the packages that came with the program, and asks no network; nothing where none came."""
    return ["--no-index", "--find-links", str(BROUGHT)] if BROUGHT.is_dir() else []


def heard(command: "list[str]") -> "subprocess.CompletedProcess[str]":
    """Run another Python to its end; all that it says is its output."""
    both = subprocess.STDOUT
    return subprocess.run(command, stdout=subprocess.PIPE, stderr=both, env=in_utf8(), encoding="utf-8", errors="replace")


def in_utf8() -> "dict[str, str]":
    """An environment in which Python speaks UTF-8, whatever the system's own encoding is: people have named the folders."""
    return dict(os.environ, PYTHONIOENCODING="utf-8")


def followed(pip: "list[str]", total: int) -> "tuple[int, str]":
    """The exit code of an installer and all that it said, told step by step as it goes on."""
    both, said = subprocess.STDOUT, ""
    count = 0
    with subprocess.Popen(pip, stdout=subprocess.PIPE, stderr=both, env=in_utf8(), encoding="utf-8", errors="replace") as running:
        assert running.stdout is not None
        for line in running.stdout:
            said += line
            count += bool(package_named(line))
            tell_progress(line, count, total)
    return running.returncode, said


def tell_progress(line: str, count: int, total: int) -> None:
    """Tell about every tenth package, and the last, long step. `count`: how many the installer has turned to."""
    name = package_named(line)
    if name and count % 10 == 1:
        say(f"  {count} of {total}: {name}")
    elif line.startswith("Installing collected"):
        say("  All downloaded; installing them.")


def package_named(line: str) -> str:
    """The package that the installer turns to in a line of its talk, or nothing."""
    words = line.split()
    if line.startswith("Collecting "):
        return words[1].split("==")[0]
    if line.startswith("Requirement already satisfied: "):
        return words[3].split("==")[0]
    if line.startswith("Processing "):  # a file that lies on this machine
        return words[1].split("/")[-1].split("-")[0]
    return ""


def say(sentence: str) -> None:
    """Tell the person what is going on; to stderr, because stdout belongs to the command's own result."""
    print(sentence, file=sys.stderr, flush=True)
