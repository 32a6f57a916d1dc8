"""`python3 -m app …` on a bare Python: makes .venv, installs the pinned packages, hands over to the command line.

Only the standard library is used here, and only syntax that Python 3.6 can read, so that an old Python is told
what is wrong in a sentence instead of a traceback. The annotations are quoted for the same reason.
"""

import hashlib
import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)
CHECKOUT = Path(__file__).resolve().parent.parent
VENV = CHECKOUT / ".venv"
STAMP = VENV / "lane-ledger.json"
LOG = VENV / "install.log"
LOCKS = {"run": CHECKOUT / "requirements.lock", "test": CHECKOUT / "requirements-dev.lock"}

# What has to be importable before the command line can start; the second set is for `test` and `bench` too.
RUN_PACKAGES = (
    "alembic argon2 cryptography fastapi httptools jinja2 msgspec ortools pydantic_settings python_multipart segno sqlmodel "
    "uvicorn websockets zeroconf"
)
TEST_PACKAGES = (
    "axe_playwright_python build hatchling httpx hypothesis icalendar importlinter jsonschema krippendorff mypy pandas pint "
    "playwright pypdf pytest pytest_timeout ruff scipy sklearn xdist"
)
NEEDS_TEST_PACKAGES = ("test", "bench")

# Words in what pip prints, and what they mean for the person at the keyboard. The first that is found is told.
NETWORK = (
    "The first start needs the internet once, to fetch the packages that Lane Ledger is built on; it could not reach them. "
    "Connect this computer for a minute and start again. After that no internet is needed."
)
WRONG_PACKAGE = "A downloaded package is not the one that was tested: its fingerprint differs. It was not installed."
NO_SAFE_CONNECTION = (
    "The package index could not be reached safely. Check this computer's date, and whether the network asks you to sign in."
)
NOT_OFFERED = (
    "A package that Lane Ledger needs is not offered ready-made for this kind of computer or this version of Python, and nothing "
    "is built here. On a usual 64-bit computer install Python 3.13 from python.org and start with that one."
)
TROUBLES = (
    ("DO NOT MATCH THE HASHES", WRONG_PACKAGE),
    ("No space left", "The disk is full. Free about 200 MB and start again."),
    ("Permission denied", "This folder can't be written to. Copy Lane Ledger to a folder of your own and start again."),
    ("SSLError", NO_SAFE_CONNECTION),
    ("NewConnectionError", NETWORK),
    ("ConnectTimeout", NETWORK),
    ("Max retries exceeded", NETWORK),
    ("Connection refused", NETWORK),
    ("name resolution", NETWORK),
    ("getaddrinfo failed", NETWORK),
    ("ProxyError", NETWORK),
    ("No matching distribution", NOT_OFFERED),
)


class Trouble(Exception):
    """Raised when the app can't be made ready; its text is a sentence for the person who started it."""


def main() -> int:
    """Make the app ready if it is not, then run the command line; returns the exit code."""
    arguments = sys.argv[1:]
    try:
        return start(arguments)
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


def start(arguments: "list[str]") -> int:
    """Run the command line here if this Python can, else in .venv."""
    check_python(sys.version_info[:2])
    kind = "test" if arguments[:1] and arguments[0] in NEEDS_TEST_PACKAGES else "run"
    if can_run_here(kind):
        # Imported only now: it needs packages that a bare Python does not have.
        from app.cli import main as command_line

        return command_line(arguments)
    if not is_current(kind):
        prepare(kind)
    return hand_over(arguments)


def check_python(version: "tuple[int, ...]") -> None:
    """Refuse a Python that is too old for the app."""
    if tuple(version) < OLDEST:
        have = ".".join(str(part) for part in version)
        want = ".".join(str(part) for part in OLDEST)
        raise Trouble(f"Lane Ledger needs Python {want} or newer; this is Python {have}. Try: python{want} -m app")


def can_run_here(kind: str) -> bool:
    """Whether the running Python has what is needed: an installed wheel, or .venv when it is up to date."""
    if Path(sys.prefix).resolve() == VENV.resolve():
        return is_current(kind)
    wanted = RUN_PACKAGES if kind == "run" else RUN_PACKAGES + " " + TEST_PACKAGES
    return all(importlib.util.find_spec(name) for name in wanted.split())


def venv_python(venv: Path, windows: bool) -> Path:
    """The Python inside a virtual environment."""
    return venv / "Scripts" / "python.exe" if windows else venv / "bin" / "python"


def is_current(kind: str) -> bool:
    """Whether .venv holds what the lock file says, installed by a Python that is still there."""
    return stamped().get(kind) == fingerprint(kind) and venv_python(VENV, os.name == "nt").exists()


def stamped() -> "dict[str, str]":
    """What was installed last: the fingerprint of each lock."""
    try:
        return dict(json.loads(STAMP.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return {}


def fingerprint(kind: str) -> str:
    """The fingerprint of a lock file."""
    try:
        return hashlib.sha256(LOCKS[kind].read_bytes()).hexdigest()
    except OSError:
        raise Trouble(f"The file {LOCKS[kind].name} is missing from {CHECKOUT}. Fetch Lane Ledger again.") from None


def prepare(kind: str) -> None:
    """Make .venv if there is none that works, and install what the lock says."""
    wanted = fingerprint(kind)
    python = venv_python(VENV, os.name == "nt")
    if not works(python):
        make_venv()
    install(python, LOCKS[kind])
    # The packages for testing hold those for running, in the same versions.
    fresh = {"run": fingerprint("run"), "test": wanted} if kind == "test" else {"run": wanted}
    STAMP.write_text(json.dumps(fresh), encoding="utf-8")


def works(python: Path) -> bool:
    """Whether a virtual environment's Python starts and has pip; a half-made or moved one does not."""
    try:
        tried = subprocess.run([str(python), "-c", "import pip, sys; sys.exit(sys.version_info < (3, 11))"], capture_output=True)
    except OSError:
        return False
    return tried.returncode == 0


def make_venv() -> None:
    """Make .venv, or say what this computer lacks for it."""
    say("Making a place for Lane Ledger's packages (.venv).")
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        raise Trouble(no_venv_sentence())
    made = subprocess.run([sys.executable, "-m", "venv", "--clear", str(VENV)], capture_output=True, text=True)
    if made.returncode == 0:
        return
    said = made.stdout + made.stderr
    if "ensurepip" in said:
        raise Trouble(no_venv_sentence())
    raise Trouble(f"The folder {VENV} could not be made. {meaning(said)}")


def no_venv_sentence() -> str:
    """What to do when Python came without the venv module."""
    return (
        "This Python has no venv module, which Lane Ledger needs once, to keep its packages apart. On Debian or Ubuntu: "
        f"sudo apt install python3-venv (or python3.{sys.version_info[1]}-venv). Elsewhere install Python from python.org."
    )


def install(python: Path, lock: Path) -> None:
    """Install exactly what the lock names, telling how far it is; everything pip says goes to a log."""
    total = sum("==" in line for line in lock.read_text(encoding="utf-8").splitlines())
    say(f"Installing about {total} packages, each checked against its fingerprint. This is done once and takes about a minute.")
    quiet = ["--no-input", "--disable-pip-version-check", "--retries", "2"]
    # Ready-made packages only: to build one, its author's own code would run here before anybody has looked at it.
    command = [str(python), "-m", "pip", "install", "--require-hashes", "--only-binary", ":all:", *quiet]
    command += ["-r", str(lock)]
    pip = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace")
    said = []
    assert pip.stdout is not None
    for line in pip.stdout:
        said.append(line)
        tell_progress(line, said, total)
    code = pip.wait()
    LOG.write_text("".join(said), encoding="utf-8")
    if code != 0:
        raise Trouble(f"{meaning(''.join(said))}\n(All that the installer said is in {LOG}.)")
    # A first start without compiled files takes three times as long.
    subprocess.run([str(python), "-m", "compileall", "-q", str(CHECKOUT / "app")], capture_output=True)
    say("Ready.")


def tell_progress(line: str, said: "list[str]", total: int) -> None:
    """Tell about every tenth package, and the last, long step."""
    name = package_named(line)
    if name:
        count = sum(bool(package_named(one)) for one in said)
        if count % 10 == 1:
            say(f"  {count} of {total}: {name}")
    elif line.startswith("Installing collected"):
        say("  All are here; putting them in place.")


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


def meaning(said: str) -> str:
    """What the installer's words mean, as a sentence."""
    for sign, sentence in TROUBLES:
        if sign in said:
            return sentence
    errors = [line for line in said.splitlines() if line.startswith("ERROR")]
    return "The packages could not be installed. " + (errors[-1] if errors else "The installer gave no reason.")


def hand_over(arguments: "list[str]") -> int:
    """Go on in .venv's Python. On Windows a process can't be replaced, so this one waits for it."""
    command = [str(venv_python(VENV, os.name == "nt")), "-m", "app", *arguments]
    if os.name != "nt":
        sys.stdout.flush()
        os.execv(command[0], command)
    child = subprocess.Popen(command)
    while True:
        try:
            return child.wait()
        except KeyboardInterrupt:
            continue  # the child got the same Ctrl-C and ends by itself


def say(sentence: str) -> None:
    """Tell the person what is going on; to stderr, because stdout belongs to the command's own result."""
    print(sentence, file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main())
