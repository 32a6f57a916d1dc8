"""Loading a bar: ten loads with twelve kinds of plate, heavy plates inside, and how many moves looking ahead saves."""

import random
import time
from collections.abc import Callable, Sequence
from fractions import Fraction

from app.rules.values.units import Load
from app.rules.workout import plates
from app.rules.workout.loading import greedy, plan
from app.rules.workout.plates import Kind, Kit
from tests.bench.figures import Figure, Goal, percentile

KINDS = (
    ("55", 1),
    ("45", 4),
    ("35", 2),
    ("25", 2),
    ("15", 2),
    ("10", 2),
    ("5", 2),
    ("2.5", 2),
    ("1.25", 1),
    ("1", 1),
    ("0.5", 1),
)
LOADS, PLANS, ROUNDS = 10, 60, 5
PLAN_MS = Goal("at most", 20)
MORE_THAN_GREEDY = Goal("at most", 0)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Times plans that go up by odd steps, as a lifter's does, and compares their moves with going load by load."""
    tell("plates: ten loads, twelve kinds")
    times, saved, worse = [], [], 0
    for loads in _plans():
        kit = _kit(True)
        found = plan(kit, loads)
        times.append(min(_timed(kit, loads) for _ in range(ROUNDS)))
        plain = greedy(kit, loads)
        worse += found.moves > plain.moves
        saved.append(100 * (plain.moves - found.moves) / plain.moves)
    free = [plan(_kit(False), loads[:5]).moves / plan(_kit(True), loads[:5]).moves for loads in list(_plans())[:5]]
    return [
        Figure(
            "plates.plan_ms",
            f"a plan of {LOADS} loads, {len(KINDS) + 1} kinds of plate, at the 99th percentile",
            percentile(times, 99),
            "ms",
            PLAN_MS,
        ),
        Figure("plates.worse", "… plans with more moves than load by load", worse, "", MORE_THAN_GREEDY),
        Figure("plates.saved", "… moves saved by looking ahead", sum(saved) / len(saved), "%"),
        Figure("plates.free", "… moves in any order as a part of those heavy inside (5 loads)", sum(free) / len(free)),
    ]


def _timed(kit: Kit, loads: Sequence[Load]) -> float:
    """Milliseconds of one plan; a lane's first plan pays for its plates."""
    plates._steps.cache_clear()
    start = time.perf_counter()
    plan(kit, loads)
    return (time.perf_counter() - start) * 1000


def _kit(heavy: bool) -> Kit:
    pairs = (*KINDS, ("0.25", 1))
    kinds = tuple(Kind(Load(weight, "lb"), count, 450, Fraction(30), None) for weight, count in pairs)
    return Kit(kinds, Load("45", "lb"), None, heavy)


def _plans() -> Sequence[list[Load]]:
    chance = random.Random(12)
    made = []
    for _ in range(PLANS):
        pounds, loads = chance.randrange(95, 200), []
        for _ in range(LOADS):
            loads.append(Load(str(pounds), "lb"))
            pounds += chance.choice((1, 2, 3, 5, 5, 10, 10, 20, -10))
        made.append(loads)
    return made
