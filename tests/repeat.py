"""Runs the whole suite again and again, and keeps a table of every test that ever failed.

`python3 -m tests.repeat 5` runs `python3 -m app test` five times, prints how long each took, and then the table over all runs
that were ever kept in bench-results/repeats.jsonl. What comes after the number goes on to `test`: `tests.repeat 20 floor`.
The suite tries its properties by the same examples in every run; `tests.repeat 20 --hypothesis-profile=chance -m hypothesis`
looks for what is rare by others, and belongs before a release.
"""

import json
import re
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from app.checks import house_checks
from app.paths import CHECKOUT

KEPT = CHECKOUT / "bench-results" / "repeats.jsonl"
# The short summary of pytest, with a reason behind the name or without; a name may hold spaces between its brackets.
FAILED_TEST = re.compile(r"^(?:FAILED|ERROR) (?P<test>tests/\S+?(?:\[.*?\])?)(?: - .*)?$", re.M)
FAILED_ROW = re.compile(r"^(?P<row>\S.*?) +FAILED +\d+\.\d s", re.M)  # of the closing summary: a house check, or a stage of tests
NOBODY_NAMED = "(a run that ended before it could say what failed)"
COLOUR = re.compile(r"\x1b\[[0-9;]*m")


@dataclass(frozen=True, slots=True)
class Run:
    """One run of the suite: when and of what commit, its seconds, whether all held, and what failed in it."""

    at: str
    commit: str
    asked: tuple[str, ...]
    seconds: float
    held: bool
    failed: tuple[str, ...]


def failures(said: str) -> tuple[str, ...]:
    """The tests and checks that failed, by what a run printed, each once. A stage stands for tests only where none is named:
    one that ended before it could say which."""
    plain = COLOUR.sub("", said)
    tests = [found["test"] for found in FAILED_TEST.finditer(plain)]
    rows = [found["row"] for found in FAILED_ROW.finditer(plain)]
    return tuple(dict.fromkeys([*tests, *(row for row in rows if not tests or row in house_checks())]))


def run_once(asked: Sequence[str]) -> Run:
    """Runs the suite, or what is asked of it, once; what it says is shown when it did not hold."""
    at, commit, begun = datetime.now(UTC).isoformat(timespec="seconds"), _commit(), time.perf_counter()
    command = [sys.executable, "-m", "app", "test", *asked]
    done = subprocess.run(
        command, cwd=CHECKOUT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, encoding="utf-8", errors="replace"
    )
    held = done.returncode == 0
    if not held:
        print(done.stdout)
    failed = () if held else failures(done.stdout) or (NOBODY_NAMED,)
    return Run(at, commit, tuple(asked), round(time.perf_counter() - begun, 1), held, failed)


def keep(run: Run, file: Path = KEPT) -> None:
    """Adds a run to those that were kept."""
    file.parent.mkdir(exist_ok=True)
    with file.open("a", encoding="utf-8") as more:
        more.write(json.dumps(asdict(run)) + "\n")


def kept(file: Path = KEPT) -> list[Run]:
    """All runs that were kept, the oldest first."""
    lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    return [Run(**json.loads(line)) for line in lines]


def table(runs: Iterable[Run]) -> str:
    """Every test that ever failed, with how often and in how many runs, the worst first."""
    runs = list(runs)
    times = Counter(test for run in runs for test in run.failed)
    rows = [f"{count:>6}  {test}" for test, count in times.most_common()]
    return "\n".join([f"failed  in {len(runs)} runs", *(rows or ["  none"])])


def main(arguments: Sequence[str]) -> int:
    """Runs as often as asked; 0 if every run held."""
    if not arguments or not arguments[0].isdecimal():
        print(__doc__)
        return 2
    held = []
    for number in range(1, int(arguments[0]) + 1):
        run = run_once(arguments[1:])
        keep(run)
        held.append(run.held)
        print(f"run {number}: {'held' if run.held else 'FAILED'} in {run.seconds:.0f} s", flush=True)
    print(table(kept()))
    return 0 if all(held) else 1


def _commit() -> str:
    asked = subprocess.run(["git", "rev-parse", "--short", "HEAD"], cwd=CHECKOUT, capture_output=True, text=True)
    return asked.stdout.strip()


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
