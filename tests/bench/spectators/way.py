"""Where the time goes between a tap's answer and the board: the pace, the count, the rows, the pieces, the sending.

The server notes each version of the board that it makes, by the clock that it shares with whoever taps and looks. What the
browser adds is measured by the bench `touch`.
"""

import json
from bisect import bisect_left, bisect_right
from collections.abc import Generator, Sequence
from dataclasses import asdict, dataclass, field
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar

from app.live.slices import Slices
from app.rehearsal.clock import true_ms
from app.watch.pages import feed
from tests.bench.figures import Figure, percentile

STEPS = {"caught_up": "counted", "board_steps": "rows", "_pieces": "pieces"}  # what is waited for while a version is made
WIDTH = 60  # letters of the picture

T = TypeVar("T")


@dataclass(slots=True)
class Made:
    """One version of the board: at which moments in ms it was begun and there, and how long its steps took, with all that had
    its turn between their slices."""

    begun_ms: float
    made_ms: float = 0.0
    steps: dict[str, float] = field(default_factory=dict)


def note_versions(file: Path) -> None:
    """Has every version that this process makes added to a file."""
    now: list[Made] = []
    made, through, caught_up = feed.Feed._make, Slices.through, feed.caught_up

    def took(name: str, since_ms: float) -> None:
        if now and name in STEPS:
            now[0].steps[STEPS[name]] = now[0].steps.get(STEPS[name], 0.0) + true_ms() - since_ms

    @wraps(made)
    async def make(self: feed.Feed) -> None:
        now[:] = [Made(true_ms())]
        await made(self)
        now[0].made_ms = true_ms()
        with file.open("a", encoding="utf-8") as out:
            out.write(json.dumps(asdict(now.pop())) + "\n")

    @wraps(through)
    async def timed(self: Slices, steps: Generator[None, None, Any]) -> Any:
        begun = true_ms()
        found = await through(self, steps)
        took(getattr(steps, "__name__", ""), begun)
        return found

    @wraps(caught_up)
    async def counted(*given: Any) -> None:
        begun = true_ms()
        await caught_up(*given)
        took("caught_up", begun)

    feed.Feed._make, Slices.through, feed.caught_up = make, timed, counted  # type: ignore[method-assign]


def versions(file: Path) -> list[Made]:
    """The versions in a file, in the order made."""
    lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    return [Made(**json.loads(line)) for line in lines]


def parts(acks: Sequence[tuple[float, float]], shown: Sequence[tuple[float, float]], made: Sequence[Made]) -> dict[str, float]:
    """The medians of the parts of the way, in ms. acks, shown: when each tap was answered, and seen on the board (in ms), and how
    long after the tap."""
    begun, there = [one.begun_ms for one in made], [one.made_ms for one in made]
    waits = [begun[at] - when for when, _ in acks if (at := bisect_left(begun, when)) < len(begun)]
    sent = [when - there[at - 1] for when, _ in shown if (at := bisect_right(there, when)) > 0]
    found = {"answered": [ms for _, ms in acks], "waits for the pace": waits}
    found |= {name: [one.steps[name] for one in made if name in one.steps] for name in STEPS.values()}
    found["told and sent"] = sent
    return {name: percentile(values, 50) for name, values in found.items() if values}


def figures(key: str, found: dict[str, float]) -> list[Figure]:
    """The parts as lines of the table."""
    return [Figure(f"{key}.way.{name.split()[0]}", f"… … of it {name}, p50", ms, "ms") for name, ms in found.items()]


def picture(found: dict[str, float]) -> str:
    """The parts side by side, each as wide as it lasts."""
    whole = sum(found.values()) or 1.0
    return "".join(f"|{f' {name} {ms:.0f} ms '.center(round(ms / whole * WIDTH), '·')}" for name, ms in found.items()) + "|"
