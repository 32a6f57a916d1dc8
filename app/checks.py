"""`test` and `bench`: everything that must hold before a change is kept, in one command with one summary."""

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
MOST_TRIED_AGAIN = 8  # more than that is no accident
# Tests wait for servers, browsers and bells: one process more than there are cores keeps the cores busy.
MORE_THAN_CORES = 1


@dataclass(frozen=True, slots=True)
class Stage:
    """Tests that run together: what the summary calls them, how pytest chooses them, by how many processes more than cores."""

    name: str
    chosen: str
    more: int = 0

    @property
    def cache(self) -> tuple[str, str]:
        """Where pytest keeps what failed; stages that run side by side would write over one another's."""
        return ("-o", f"cache_dir=.pytest_cache/{self.name.replace(' ', '-')}")

    @property
    def arguments(self) -> tuple[str, ...]:
        """What pytest is asked."""
        return (*SPREAD, *_workers(self.more), "-m", self.chosen, *self.cache)


IN_TIME = Stage("in time", "paced", more=MORE_THAN_CORES)
PLAIN = Stage("plain", "not paced and not browser and not slow")
THE_REST = Stage("the rest", "not paced and (browser or slow)", more=MORE_THAN_CORES)


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
    """Arguments for pytest in which the name of a room stands for its tests, which then share the cores as all tests do."""
    tests = {folder.name: str(folder.relative_to(CHECKOUT)) for folder in (CHECKOUT / "tests").iterdir() if folder.is_dir()}
    named = [argument for argument in arguments if argument in tests]
    spread = (*SPREAD, *_workers()) if named else ()
    return (*spread, *(tests.get(argument, argument) for argument in arguments))


def _workers(more: int = 0) -> tuple[str, str]:
    return ("-n", str((os.cpu_count() or 1) + more))


def _everything() -> list[Outcome]:
    """First the tests that play along with a clock; beside them, giving way, house checks and plain tests; then the rest."""
    stages = (IN_TIME, PLAIN, THE_REST)
    with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as other:
        house = [one.submit(_quietly, name, command) for name, command in house_checks().items()]
        plain = other.submit(run_pytest, PLAIN.name, PLAIN.arguments, gives_way=True)
        paced, rest = (run_pytest(stage.name, stage.arguments) for stage in (IN_TIME, THE_REST))
        checks = [check.result() for check in house]
        found = (paced, plain.result(), rest)
    for outcome in (*(check for check in checks if not check.held), found[1]):
        print(f"--- {outcome.name}\n{outcome.said}", flush=True)
    return [*checks, *map(tried_again, stages, found)]


def tried_again(stage: Stage, found: Outcome) -> Outcome:
    """What came of a stage. Where changes are checked, a few that failed among others are tried once more alone, and the summary
    says so: a machine with other work on it is late in ways that no wait for a state foresees. What is broken fails alone too."""
    failed = sum(map(int, re.findall(r"(\d+) (?:failed|error)", found.words)))
    if found.held or os.environ.get("CI") != "true" or not 0 < failed <= MOST_TRIED_AGAIN:
        return found
    print(f"--- {stage.name}: {failed} failed; tried again, alone", flush=True)
    again = run_pytest(stage.name, (*ALONE, *stage.cache))
    return Outcome(stage.name, again.held, found.seconds + again.seconds, f"{found.words}; TRIED AGAIN ALONE: {again.words}")


def house_checks() -> dict[str, list[str]]:
    """The checks before the tests, by name: style, layout, types, arrows."""
    python = [sys.executable, "-m"]
    return {
        "style": [*python, "ruff", "check", "."],
        "layout": [*python, "ruff", "format", "--check", "."],
        "types": [*python, "mypy"],
        "arrows": [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"],
    }


def _has_tests() -> bool:
    if in_checkout() and (CHECKOUT / "tests").is_dir():
        return True
    print("The tests are in the source of Lane Ledger, not in the installed package. Run this from a checkout.", file=sys.stderr)
    return False


def _quietly(name: str, command: list[str]) -> Outcome:
    """Run a check, giving way to what runs beside it."""
    begun = time.perf_counter()
    done = subprocess.run(
        [*_giving_way(), *command], cwd=CHECKOUT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace"
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
    last, left = (lines[-1] if lines else ""), (said if gives_way else "")
    return Outcome(name, running.wait() == 0, time.perf_counter() - begun, last, left)


def _heard(running: subprocess.Popen[bytes], show: bool) -> str:
    """What a process says until it ends."""
    assert running.stdout is not None
    said = b""
    while piece := os.read(running.stdout.fileno(), 65536):
        said += piece
        if show:
            sys.stdout.buffer.write(piece)
            sys.stdout.flush()
    return said.decode(errors="replace")


def _summary(outcomes: list[Outcome]) -> int:
    print()
    for outcome in outcomes:
        print(f"{outcome.name:<8} {'held' if outcome.held else 'FAILED':<7} {outcome.seconds:6.1f} s  {outcome.words}".rstrip())
    held = all(outcome.held for outcome in outcomes)
    print("Everything held." if held else "Not everything held; see above.", flush=True)
    return 0 if held else 1
