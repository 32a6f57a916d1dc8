"""`test` and `bench`: everything that must hold before a change is kept, in one command with one summary."""

import functools
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from app.paths import CHECKOUT, in_checkout

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
# Chromium with no window: the same engine, which opens a page for a third of the work.
WITHOUT_WINDOW = ("chromium-headless-shell", "chrome-headless-shell")
BROWSER_PLACES = (
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
    r"C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
)
NO_BROWSER = (
    "Chromium is missing, so the tests in a real browser can't run. On Debian or Ubuntu: sudo apt install chromium. "
    "Elsewhere install Chromium or Chrome, or name it in LANE_LEDGER_CHROMIUM."
)
# A file's tests stay together where they share a server; the files in the order that tests/conftest.py gives.
SPREAD = ("-q", "--dist", "loadfile", "--no-loadscope-reorder")
# What failed just before, one after another, each named with how it ended.
ALONE = ("-q", "-rpfE", "--last-failed", "--last-failed-no-failures", "none")
MOST_TRIED_AGAIN = 3  # more than that is no accident
# Tests wait for servers, browsers and bells: one process more than there are cores keeps the cores busy.
MORE_THAN_CORES = 1


# What the words of a file of tests say of it. A process that runs a stage reads the stage's files and no others: to read all of
# them costs each of five processes as much as a hundred tests.
KEEPS_TIME = re.compile(r"\bmark\.paced\b")
TAKES_LONG = re.compile(r"\bmark\.(paced|slow)\b|\bplaywright\b")
# What a room's run leaves to the whole run, so that it takes less than a minute, and names.
A_ROOM = "not slow"
HAS_SLOW = re.compile(r"\bmark\.slow\b")
LEFT = "left to the whole run: "


@dataclass(frozen=True, slots=True)
class Stage:
    """Tests that run together: what the summary calls them, their files, by how many processes."""

    name: str
    files: tuple[str, ...]
    processes: int

    @property
    def cache(self) -> tuple[str, str]:
        """Where pytest keeps what failed; stages that run side by side would write over one another's."""
        return ("-o", f"cache_dir=.pytest_cache/{self.name}")

    @property
    def arguments(self) -> tuple[str, ...]:
        """What pytest is asked."""
        return (*SPREAD, "-n", str(self.processes), *self.cache, *self.files)

    @property
    def failed_alone(self) -> tuple[str, ...]:
        """The same for what failed in it."""
        return (*ALONE, *self.cache, *self.files)


def stages() -> tuple[Stage, Stage]:
    """All tests, each in one stage: those that play along with a clock, in a browser or long, the first of these first; the plain
    ones."""
    words = {
        str(file.relative_to(CHECKOUT)): file.read_text(encoding="utf-8") for file in (CHECKOUT / "tests").rglob("test_*.py")
    }
    long = tuple(sorted(name for name, text in words.items() if TAKES_LONG.search(text)))
    plain = tuple(sorted(words.keys() - set(long)))
    cores = os.cpu_count() or 1
    return (
        # Which sleep for much of their time, those that play along for most of it; the plain ones beside them give way.
        Stage("long", long, cores + MORE_THAN_CORES),
        Stage("plain", plain, cores),
    )


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one check ended: its name, whether it held, its seconds, its closing words, and what it said that was not yet shown."""

    name: str
    held: bool
    seconds: float
    words: str = ""
    said: str = ""


def find_browser() -> Path | None:
    """The Chromium (or a kin of it) that people use, or None."""
    named = os.environ.get("LANE_LEDGER_CHROMIUM")
    found = [named] if named else [*filter(None, map(shutil.which, BROWSERS)), *BROWSER_PLACES]
    return next((Path(place) for place in found if Path(place).is_file()), None)


def find_quick_browser() -> Path | None:
    """What the browser tests drive unless they are about the browser itself: one without a window, or the one that people use."""
    found = None if "LANE_LEDGER_CHROMIUM" in os.environ else next(filter(None, map(shutil.which, WITHOUT_WINDOW)), None)
    return Path(found) if found else find_browser()


def run_checks(pytest_arguments: Sequence[str]) -> int:
    """Run every check; or only pytest, when arguments for it or names of rooms (folders of tests/) are given. 0 if all held."""
    if not _has_tests():
        return 1
    browser = find_browser()
    if browser is None:
        print(NO_BROWSER, file=sys.stderr)
    elif (quick := find_quick_browser()) != browser:
        print(f"Pages are tried in {quick}, and in {browser} where the browser is the subject.", flush=True)
    outcomes = [run_pytest("tests", with_rooms(pytest_arguments))] if pytest_arguments else _everything()
    if browser is None and os.environ.get("CI") == "true":
        # A machine that is there to test must not pass without having tried the pages.
        outcomes.append(Outcome("browser", False, 0.0, "Chromium is missing"))
    return _summary(outcomes)


def run_benches(arguments: Sequence[str]) -> int:
    """Measure what the project promises; the benches live with the tests."""
    if not _has_tests():
        return 1
    return subprocess.run([sys.executable, "-m", "tests.bench", *arguments], cwd=CHECKOUT).returncode


def with_rooms(arguments: Sequence[str]) -> tuple[str, ...]:
    """Arguments for pytest in which the name of a room stands for its tests, but for the slow ones where it has others.

    They share the cores as all tests do.
    """
    tests = {folder.name: str(folder.relative_to(CHECKOUT)) for folder in (CHECKOUT / "tests").iterdir() if folder.is_dir()}
    named = [argument for argument in arguments if argument in tests]
    processes = (os.cpu_count() or 1) + MORE_THAN_CORES
    spread = (*SPREAD, "-n", str(processes)) if named else ()
    chosen = () if all(_has_slow_alone(CHECKOUT / tests[name]) for name in named) else ("-m", A_ROOM)
    return (*spread, *chosen, *(tests.get(argument, argument) for argument in arguments))


def _has_slow_alone(folder: Path) -> bool:
    return all(HAS_SLOW.search(file.read_text(encoding="utf-8")) for file in folder.rglob("test_*.py"))


def _everything() -> list[Outcome]:
    """First the tests that play along with a clock, then the other long ones; beside them, giving way, house checks and plain
    tests."""
    long, plain = stages()
    with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as other:
        house = [one.submit(_quietly, name, command) for name, command in house_checks().items()]
        beside = other.submit(run_pytest, plain.name, plain.arguments, gives_way=True)
        ended = run_pytest(long.name, long.arguments)
        checks = [check.result() for check in house]
        quiet = beside.result()
    for outcome in (*(check for check in checks if not check.held), quiet):
        print(f"--- {outcome.name}\n{outcome.said}", flush=True)
    return [*checks, tried_again(long, ended), tried_again(plain, quiet)]


def tried_again(stage: Stage, found: Outcome) -> Outcome:
    """What came of a stage. Where changes are checked, very few that failed among others are tried once more alone, and the
    summary says so: a machine with other work on it is late in ways that no wait for a state foresees. What is broken fails alone
    too."""
    failed = sum(map(int, re.findall(r"(\d+) (?:failed|error)", found.words)))
    if found.held or os.environ.get("CI") != "true" or not 0 < failed <= MOST_TRIED_AGAIN:
        return found
    print(f"--- {stage.name}: {failed} failed; tried again, alone", flush=True)
    again = run_pytest(stage.name, stage.failed_alone)
    return Outcome(stage.name, again.held, found.seconds + again.seconds, f"{found.words}; TRIED AGAIN ALONE: {again.words}")


OTHER_SYSTEMS = tuple(system for system in ("linux", "darwin", "win32") if system != sys.platform)


def house_checks() -> dict[str, list[str]]:
    """The checks before the tests, by name: style, layout, types here and as on the other systems, arrows."""
    python = [sys.executable, "-m"]
    return {
        "style": [*python, "ruff", "check", "."],
        "layout": [*python, "ruff", "format", "--check", "."],
        "types": [*python, "mypy"],
        **{f"types as on {system}": [*python, "mypy", *as_on(system)] for system in OTHER_SYSTEMS},
        "arrows": [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"],
    }


# Through these a module reaches what one system has and another lacks; the rules are pure, and none of them does.
OF_THE_SYSTEM = re.compile(
    r"^\s*(?:import|from) (?:asyncio|ctypes|errno|fcntl|getpass|grp|importlib|locale|mmap|multiprocessing|os|pathlib|platform|pty"
    r"|pwd|resource|select|selectors|shutil|signal|socket|ssl|subprocess|sys|tempfile|termios|threading|time|tty|webbrowser)\b",
    re.M,
)


def as_on(system: str) -> tuple[str, ...]:
    """What mypy is asked for another system: of the modules that reach what is a system's own, for all others say the same
    everywhere; in a cache of its own, for what it keeps is of one system only."""
    kept = ("--platform", system, "--cache-dir", f".mypy_cache/{system}")
    return ("--config-file", "tests/imitations/other_systems.ini", *kept, *near_the_system())


@functools.cache
def near_the_system() -> tuple[str, ...]:
    """The modules that reach what is a system's own."""
    outside_rules = sorted({*CHECKOUT.glob("app/**/*.py")} - {*CHECKOUT.glob("app/rules/**/*.py")})
    found = (path for path in outside_rules if OF_THE_SYSTEM.search(path.read_text(encoding="utf-8")))
    return tuple(str(path.relative_to(CHECKOUT)) for path in found)


def _has_tests() -> bool:
    if in_checkout() and (CHECKOUT / "tests").is_dir():
        return True
    print("The tests are in the source of Lane Ledger, not in the installed package. Run this from a checkout.", file=sys.stderr)
    return False


def _quietly(name: str, command: list[str]) -> Outcome:
    """Run a check, giving way to what runs beside it."""
    begun = time.perf_counter()
    done = subprocess.run(
        [*_giving_way(), *command],
        cwd=CHECKOUT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    )
    return Outcome(name, done.returncode == 0, time.perf_counter() - begun, said=done.stdout)


def _giving_way() -> tuple[str, ...]:
    """What stands before a command that takes only the time that others leave; nothing, where the system has no such thing."""
    return ("nice", "-n", "19") if shutil.which("nice") else ()


def run_pytest(name: str, arguments: Sequence[str], gives_way: bool = False) -> Outcome:
    """Run tests and keep their closing line; what they say is passed on as they say it, or kept when they give way to others."""
    command = [*(_giving_way() if gives_way else ()), sys.executable, "-m", "pytest", *arguments]
    colour = ["--color=yes"] if sys.stdout.isatty() else []
    # The tests start Python a hundred times: each start may use what an earlier one compiled, whatever this shell prefers.
    keeping = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    begun = time.perf_counter()
    running = subprocess.Popen([*command, *colour], cwd=CHECKOUT, stdout=subprocess.PIPE, env=keeping)
    said = _heard(running, show=not gives_way)
    lines = said.strip().splitlines()
    words = "; ".join([*lines[-1:], *(line for line in lines if line.startswith(LEFT))])
    return Outcome(name, running.wait() == 0, time.perf_counter() - begun, words, said if gives_way else "")


def _heard(running: subprocess.Popen[bytes], show: bool) -> str:
    """What a process says until it ends."""
    assert running.stdout is not None
    said = b""
    with running.stdout as spoken:
        while piece := os.read(spoken.fileno(), 65536):
            said += piece
            if show:
                sys.stdout.buffer.write(piece)
                sys.stdout.flush()
    return said.decode(errors="replace")


def _summary(outcomes: list[Outcome]) -> int:
    print()
    widest = max(len(outcome.name) for outcome in outcomes)
    for outcome in outcomes:
        end = "held" if outcome.held else "FAILED"
        print(f"{outcome.name:<{widest}} {end:<7} {outcome.seconds:6.1f} s  {outcome.words}".rstrip())
    held = all(outcome.held for outcome in outcomes)
    print("Everything held." if held else "Not everything held; see above.", flush=True)
    return 0 if held else 1
