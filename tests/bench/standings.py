"""Overall standings: places in seven events added up, equal totals counted back, for a hall and for many halls.

Beside ours, in the same run and with the same answer checked: numpy as one would write it, and DuckDB's window functions.
"""

import gc
import random
import time
import tracemalloc
from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import cycle

import duckdb
import numpy as np
import numpy.typing as npt

from app.rules.records.overall_rule import Column, OverallRule, Result
from app.rules.records.point_formulas import PointFormula
from app.rules.result.overall import Overall, overall
from app.rules.result.standings_many import event_places, order_of
from tests.bench.figures import Figure, Goal

EVENTS = 7
SCORES = 400  # different scores in an event: ties are common, as they are in counted events
HALL, MANY, MOST = 1_000, 100_000, 1_000_000
PLAINLY = 5_000  # entries whose standing is made in plain Python where points are not simply added up
ROUNDS = {HALL: 30, PLAINLY: 8, MANY: 5, MOST: 2}
# Of no sport: numbers of the usual size.
FORMULA = PointFormula(
    name="Points", a=Fraction(3), b=Fraction(10), c=Fraction(6, 5), unit="reps", better="more", source="made up for the bench"
)
PLAIN_RULES = {
    "weights": OverallRule(weights={"evt_1": Fraction(3, 2)}),
    "drops": OverallRule(by="linear", drop=2),
    "percent": OverallRule(by="percent"),
    "formulas": OverallRule(by="formula", formulas={f"evt_{n}": FORMULA for n in range(EVENTS)}),
}
HALL_MS = Goal("at most", 3)
OF_BEST = Goal("at most", 2)

Whole = npt.NDArray[np.int64]

DUCK = f"""
with placed as (
  select who, {", ".join(f"rank() over (order by s{n} desc) as p{n}" for n in range(EVENTS))} from scores
), summed as (
  select who, {" + ".join(f"p{n}" for n in range(EVENTS))} as total,
         list_sort([{", ".join(f"p{n}" for n in range(EVENTS))}]) as best
  from placed
)
select who, rank() over (order by total, best) as place from summed order by who
"""


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Times all sizes in the three ways."""
    tell("standings: a hall")
    figures = _looked_again("hall", OverallRule(), HALL, HALL_MS)
    tell(f"standings: {PLAINLY:,} entries in plain Python")
    for name, rule in PLAIN_RULES.items():
        figures += _looked_again(name, rule, PLAINLY)
    for entries in (HALL, MANY, MOST):
        tell(f"standings: {entries:,} entries in three ways")
        figures += _three_ways(entries)
    tell("standings: many, rows and all")
    return figures + _rows()


def _looked_again(name: str, rule: OverallRule, entries: int, goal: Goal | None = None) -> list[Figure]:
    """A standing that is looked at again after one event has changed, and the same from nothing."""
    columns, (changed, *_) = _columns(_scores(entries)), _columns(_scores(entries, seed=8))
    turns = cycle([[changed, *columns[1:]], columns])
    kept = Overall(rule, range(entries))
    again, anew = (
        _best(lambda: kept.plainly(next(turns)), entries),
        _best(lambda: Overall(rule, range(entries)).plainly(columns), entries),
    )
    if kept.plainly(columns) != Overall(rule, range(entries)).plainly(columns):
        raise RuntimeError(f"The standing that is kept differs ({name}).")
    what = f"overall standing of {entries:,} entries in {EVENTS} events" + (f", {name}" if goal is None else "")
    return [
        Figure(f"standings.{name}_ms", f"{what}, one of them changed", again * 1000, "ms", goal),
        Figure(f"standings.{name}_anew_ms", "… from nothing", anew * 1000, "ms"),
    ]


def _three_ways(entries: int) -> list[Figure]:
    """From scores to places, by ours, numpy and DuckDB."""
    scores = np.array(_scores(entries))
    with duckdb.connect() as duck:
        duck.register("arrays", {"who": np.arange(entries), **{f"s{n}": own for n, own in enumerate(scores)}})
        duck.execute("create table scores as select * from arrays")
        ways: dict[str, Callable[[], Whole]] = {
            "ours": lambda: _our_places(scores),
            "numpy": lambda: _numpy_places(scores),
            "duckdb": lambda: duck.execute(DUCK).fetchnumpy()["place"],
        }
        answers = [way() for way in ways.values()]
        if any(not np.array_equal(answer, answers[0]) for answer in answers):
            raise RuntimeError(f"The standings of {entries} entries differ.")
        times = _in_turns(ways, entries)
    name = f"standings.{entries}"
    best = min(times["numpy"], times["duckdb"])
    return [
        Figure(f"{name}.ours_ms", f"places of {entries:,} entries from their scores", times["ours"] * 1000, "ms"),
        Figure(f"{name}.numpy_ms", "… by numpy, sorting", times["numpy"] * 1000, "ms"),
        Figure(f"{name}.duckdb_ms", "… by DuckDB's window functions", times["duckdb"] * 1000, "ms"),
        Figure(f"{name}.of_best", "… ours, as a multiple of the better of them", times["ours"] / best, "", OF_BEST),
    ]


def _rows() -> list[Figure]:
    """From results as a competition has them to a standing whose rows can be looked at, and by the plain way."""
    scores = _scores(MANY)
    columns, arrays = _columns(scores), np.array(scores)
    ours, theirs = overall(OverallRule(), range(MANY), columns), _numpy_places(arrays)
    if {int(str(row.who)): row.place for row in ours} != dict(enumerate(theirs.tolist())):
        raise RuntimeError("The two standings differ.")
    times = _in_turns(
        {
            "ours": lambda: overall(OverallRule(), range(MANY), columns),
            "looked": lambda: list(overall(OverallRule(), range(MANY), columns)),
            "plain": lambda: Overall(OverallRule(), range(MANY)).plainly(columns),
            "numpy": lambda: _numpy_places(arrays),
        },
        MANY,
    )
    return [
        Figure("standings.many_ms", f"overall standing of {MANY:,} entries from their results", times["ours"] * 1000, "ms"),
        Figure("standings.many_rows_ms", "… every row looked at", times["looked"] * 1000, "ms"),
        Figure("standings.plain_ms", "… in plain Python", times["plain"] * 1000, "ms"),
        Figure("standings.of_numpy", "… from results, times numpy from arrays", times["ours"] / times["numpy"], "", OF_BEST),
        Figure("standings.many_mb", "… memory it takes at its most", _peak(columns) / 1e6, "MB"),
    ]


def _scores(entries: int, seed: int = 7) -> list[list[int]]:
    chance = random.Random(seed)
    return [[chance.randrange(SCORES) for _ in range(entries)] for _ in range(EVENTS)]


def _columns(scores: Sequence[Sequence[int]]) -> list[Column]:
    columns = []
    for number, event in enumerate(scores):
        placed = enumerate(zip(event_places(np.array(event)).tolist(), event, strict=True))
        results = {n: Result(place, Fraction(score)) for n, (place, score) in placed}
        columns.append(Column(f"evt_{number}", "score", results, unit="reps"))
    return columns


def _our_places(scores: Whole) -> Whole:
    places = np.stack([event_places(event) for event in scores])
    found = order_of(places.sum(axis=0), places)
    made = np.empty(len(found.order), dtype=np.int64)
    made[found.order] = found.places
    return made


def _numpy_places(scores: Whole) -> Whole:
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


def _in_turns(ways: dict[str, Callable[[], object]], entries: int) -> dict[str, float]:
    """The quickest of some rounds of each way, in seconds; in turns, so that a busy moment hits all."""
    times: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(ROUNDS[entries]):
        for name, work in ways.items():
            times[name].append(_timed(work))
    return {name: min(taken) for name, taken in times.items()}


def _best(work: Callable[[], object], entries: int) -> float:
    return min(_timed(work) for _ in range(ROUNDS[entries]))


def _timed(work: Callable[[], object]) -> float:
    gc.collect()
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _peak(columns: Sequence[Column]) -> int:
    tracemalloc.start()
    overall(OverallRule(), range(MANY), columns)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak
