"""Two revisions measured in turns in one run: what the machine does meanwhile, it does to both.

Each turn is the bench's own command in that revision's files, with this environment's packages. What is compared are ratios.
"""

import json
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from tests.bench.figures import aligned, number

TURNS = 3  # of each, the first to begin changing
Values = Mapping[str, float]


class NoRevision(ValueError):
    """Raised when another revision can't be had or measured; its text is the sentence to show."""


def in_turns(here: Path, revision: str, arguments: Sequence[str], results: str, tell: Callable[[str], None]) -> str:
    """A table: what each figure is there and here, medians of the turns, and here as a multiple of there. Raises NoRevision.

    results: the name of the folder in a checkout in which its bench saves a run.
    """
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder) / "there"
        _git(here, "worktree", "add", "--detach", str(there), revision)
        try:
            found: tuple[list[Values], list[Values]] = ([], [])
            for turn in range(TURNS):
                for side in (0, 1) if turn % 2 == 0 else (1, 0):
                    tell(f"turn {turn + 1} of {TURNS}: {'here' if side else revision}")
                    found[side].append(_measured(here if side else there, arguments, results))
        finally:
            _git(here, "worktree", "remove", "--force", str(there))
    return compared(revision, *found)


def compared(revision: str, there: Sequence[Values], here: Sequence[Values]) -> str:
    """The table of what was measured there and here, turn by turn."""
    keys = [key for key in here[0] if all(key in run for run in (*there, *here))]
    return aligned([("figure", revision, "here", "here x", "least and most"), *(_row(key, there, here) for key in keys)])


def _row(key: str, there: Sequence[Values], here: Sequence[Values]) -> tuple[str, str, str, str, str]:
    before, now = [run[key] for run in there], [run[key] for run in here]
    ratios = [new / old for old, new in zip(before, now, strict=True) if old]
    most = f"{min(ratios):.2f} to {max(ratios):.2f}" if ratios else ""
    middle = statistics.median(before), statistics.median(now)
    return key, number(middle[0]), number(middle[1]), f"{middle[1] / middle[0]:.2f}" if middle[0] else "", most


def _measured(folder: Path, arguments: Sequence[str], results: str) -> Values:
    """The figures of one run of the bench in a checkout. Raises NoRevision."""
    before = set((folder / results).glob("*.json"))
    command = [sys.executable, "-m", "tests.bench", *arguments]
    ran = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    new = sorted(set((folder / results).glob("*.json")) - before)
    if not new:
        why = (ran.stderr or ran.stdout).strip().splitlines()[-1:]
        raise NoRevision(f"The bench saved nothing in {folder.name}: {' '.join(why)}")
    run = json.loads(new[-1].read_text(encoding="utf-8"))
    return {str(figure["key"]): float(figure["value"]) for figure in run["figures"]}


def _git(folder: Path, *arguments: str) -> None:
    try:
        subprocess.run(["git", *arguments], cwd=folder, capture_output=True, text=True, check=True)
    except FileNotFoundError:
        raise NoRevision("git is not here, and another revision comes from it.") from None
    except subprocess.CalledProcessError as wrong:
        raise NoRevision(f"git {arguments[0]} failed: {wrong.stderr.strip()}") from None
