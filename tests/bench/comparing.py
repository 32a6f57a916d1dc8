"""Two sheets of 500 marks laid side by side, beside the whole table of costs that the band leaves out; both cost the same."""

import random
import time
from collections.abc import Callable, Sequence

from app.rules.agree.aligning import Seen, align, alone_cost, cost, pair_cost
from tests.bench.figures import Figure, Goal

MARKS = 500
WITHIN_MS = 1_000
EVERY_MS = 400  # a quick rope: two and a half a second, so that several marks could meet any one
ROUNDS = 7
ALIGN_MS = Goal("at most", 50)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Times both, with the same least cost from each."""
    tell("comparing: two sheets")
    first, second = _sheets(random.Random(7))
    if cost(align(first, second, WITHIN_MS), WITHIN_MS) != _whole_table(first, second):
        raise RuntimeError("The two ways differ in what they cost.")
    ours, whole = _best(lambda: align(first, second, WITHIN_MS)), _best(lambda: _whole_table(first, second))
    return [
        Figure("comparing.align_ms", f"two sheets of {MARKS} marks aligned", ours * 1000, "ms", ALIGN_MS),
        Figure("comparing.table_ms", "… the whole table, for its cost alone", whole * 1000, "ms"),
    ]


def _sheets(chance: random.Random) -> tuple[list[Seen], list[Seen]]:
    times = [EVERY_MS * i for i in range(MARKS)]
    first = [Seen(f"a{i}", at, "refused" if chance.random() < 0.05 else "good") for i, at in enumerate(times)]
    later = sorted(max(0, at + round(chance.gauss(150, 120))) for at in times)
    return first, [Seen(f"b{i}", at, "refused" if chance.random() < 0.05 else "good") for i, at in enumerate(later)]


def _whole_table(first: Sequence[Seen], second: Sequence[Seen]) -> int:
    """The least cost by the plain table of all pairs."""
    alone = alone_cost(WITHIN_MS)
    row = [j * alone for j in range(len(second) + 1)]
    for one in first:
        left = [row[0] + alone]
        for j, other in enumerate(second):
            ways = [row[j + 1] + alone, left[-1] + alone]
            if abs(one.at - other.at) <= WITHIN_MS:
                ways.append(row[j] + pair_cost(one, other, WITHIN_MS))
            left.append(min(ways))
        row = left
    return row[-1]


def _best(work: Callable[[], object]) -> float:
    """The quickest of some rounds, in seconds."""
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)
