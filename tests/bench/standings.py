"""Overall standings: places in seven events added up, equal totals counted back; for a hall, and for many beside numpy."""

import gc
import random
import time
import tracemalloc
from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from app.rules.overall import Column, OverallRule, Result, overall
from tests.bench.figures import Figure, Goal

EVENTS = 7
SCORES = 400  # different scores in an event: ties are common, as they are in counted events
HALL, MANY = 1_000, 100_000
ROUNDS = {HALL: 30, MANY: 3}
HALL_MS = Goal("at most", 3)
OF_NUMPY = Goal("at most", 2)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Times both sizes, the larger one beside numpy, with the same answer from each."""
    tell("standings: a hall")
    few = _columns(_scores(HALL))
    hall = _best(lambda: overall(OverallRule(), range(HALL), few), HALL)
    tell("standings: many halls, beside numpy")
    scores = _scores(MANY)
    columns, arrays = _columns(scores), np.array(scores)
    ours, theirs = overall(OverallRule(), range(MANY), columns), _numpy_places(arrays)
    if {int(str(row.who)): row.place for row in ours} != dict(enumerate(theirs.tolist())):
        raise RuntimeError("The two standings differ.")
    plain = _best(lambda: overall(OverallRule(), range(MANY), columns), MANY)
    numpy = _best(lambda: _numpy_places(arrays), MANY)
    return [
        Figure("standings.hall_ms", f"overall standing of {HALL:,} entries in {EVENTS} events", hall * 1000, "ms", HALL_MS),
        Figure("standings.many_ms", f"… of {MANY:,} entries, rows and all", plain * 1000, "ms"),
        Figure("standings.numpy_ms", "… the same places from arrays by numpy", numpy * 1000, "ms"),
        Figure("standings.of_numpy", "… ours as a multiple of numpy's", plain / numpy, "", OF_NUMPY),
        Figure("standings.many_mb", "… memory it takes at its most", _peak(columns) / 1e6, "MB"),
    ]


def _scores(entries: int) -> list[list[int]]:
    chance = random.Random(7)
    return [[chance.randrange(SCORES) for _ in range(entries)] for _ in range(EVENTS)]


def _columns(scores: Sequence[Sequence[int]]) -> list[Column]:
    columns = []
    for number, event in enumerate(scores):
        place, places = 1, {}
        for score, several in sorted(Counter(event).items(), reverse=True):
            places[score] = place
            place += several
        columns.append(Column(f"evt_{number}", "score", {n: Result(places[score], None) for n, score in enumerate(event)}))
    return columns


def _numpy_places(scores: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """The same rule over arrays: shared places by sorting, their sum, then the sorted places of each entry."""
    places = np.empty_like(scores)
    for event, own in zip(places, scores, strict=True):
        _, inverse, counts = np.unique(-own, return_inverse=True, return_counts=True)
        event[:] = (np.cumsum(counts) - counts + 1)[inverse]
    keys = np.vstack([np.sort(places, axis=0)[::-1], places.sum(axis=0)])
    order = np.lexsort(keys)
    ranked = keys[:, order]
    new = np.concatenate([[True], np.any(ranked[:, 1:] != ranked[:, :-1], axis=0)])
    made = np.empty(len(order), dtype=np.int64)
    made[order] = np.maximum.accumulate(np.where(new, np.arange(1, len(order) + 1), 0))
    return made


def _best(work: Callable[[], object], entries: int) -> float:
    """The quickest of some rounds, in seconds."""
    times = []
    for _ in range(ROUNDS[entries]):
        gc.collect()
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def _peak(columns: Sequence[Column]) -> int:
    tracemalloc.start()
    overall(OverallRule(), range(MANY), columns)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak
