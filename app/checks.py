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
# A file's tests stay together, because they share a server; the files in the order that tests/conftest.py gives.
SPREAD = ("-q", "--dist", "loadfile", "--no-loadscope-reorder")
# What failed just before, one after another, each named with how it ended.
ALONE = ("-q", "-rpfE", "--last-failed", "--last-failed-no-failures", "none")
MOST_TRIED_AGAIN = 8  # more than that is no accident
# Tests wait for servers, browsers and bells: one process more than there are cores keeps the cores busy.
MORE_THAN_CORES = 1


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one check ended: its name, whether it held, how long it took in seconds, and its closing words."""

    name: str
    held: bool
    seconds: float
    words: str = ""


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
    outcomes = [_pytest("tests", with_rooms(pytest_arguments))] if pytest_arguments else _everything()
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
    """First the tests that play along with a clock, with few beside them; then the others and the house checks."""
    paced = some_tests("in time", (*SPREAD, *_workers(), "-m", "paced"))
    with ThreadPoolExecutor(1) as beside:
        house = [beside.submit(_quietly, name, command) for name, command in house_checks().items()]
        others = some_tests("tests", (*SPREAD, *_workers(MORE_THAN_CORES), "-m", "not paced"))
        return [*(check.result() for check in house), paced, others]


def some_tests(name: str, arguments: Sequence[str]) -> Outcome:
    """Run tests. Where changes are checked, a few that failed among others are tried once more alone, and the summary says so:
    a machine with other work on it is late in ways that no wait for a state foresees. What is broken fails alone too."""
    found = _pytest(name, arguments)
    failed = sum(map(int, re.findall(r"(\d+) (?:failed|error)", found.words)))
    if found.held or os.environ.get("CI") != "true" or not 0 < failed <= MOST_TRIED_AGAIN:
        return found
    print(f"--- {name}: {failed} failed; tried again, alone", flush=True)
    again = _pytest(name, ALONE)
    return Outcome(name, again.held, found.seconds + again.seconds, f"{found.words}; TRIED AGAIN ALONE: {again.words}")


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
    """Run a check and show what it says only if it did not hold."""
    begun = time.perf_counter()
    done = subprocess.run(command, cwd=CHECKOUT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace")
    seconds = time.perf_counter() - begun
    if done.returncode:
        print(f"--- {name}\n{done.stdout}", flush=True)
    print(f"{name}: {'held' if done.returncode == 0 else 'FAILED'} ({seconds:.1f} s)", flush=True)
    return Outcome(name, done.returncode == 0, seconds)


def _pytest(name: str, arguments: Sequence[str]) -> Outcome:
    """Run tests, passing on what they say as they say it, and keep their closing line."""
    command = [sys.executable, "-m", "pytest", *arguments]
    colour = ["--color=yes"] if sys.stdout.isatty() else []
    # The tests start Python a hundred times: each start may use what an earlier one compiled, whatever this shell prefers.
    keeping = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    begun = time.perf_counter()
    running = subprocess.Popen([*command, *colour], cwd=CHECKOUT, stdout=subprocess.PIPE, env=keeping)
    assert running.stdout is not None
    said = b""
    while piece := os.read(running.stdout.fileno(), 65536):
        sys.stdout.buffer.write(piece)
        sys.stdout.flush()
        said = (said + piece)[-65536:]
    lines = said.decode(errors="replace").strip().splitlines()
    return Outcome(name, running.wait() == 0, time.perf_counter() - begun, lines[-1] if lines else "")


def _summary(outcomes: list[Outcome]) -> int:
    print()
    for outcome in outcomes:
        print(f"{outcome.name:<8} {'held' if outcome.held else 'FAILED':<7} {outcome.seconds:6.1f} s  {outcome.words}".rstrip())
    held = all(outcome.held for outcome in outcomes)
    print("Everything held." if held else "Not everything held; see above.", flush=True)
    return 0 if held else 1
