"""A meet of 24 lifters in two flights on one platform, three lifts with three attempts, through the application's own doors.

Marshal, loaders and three referees are imitated, and so is the clock, so that six hours take minutes. Each next lifter on the
warm-up page is held against a caller that shares no code with the product, totals and places against sums made by hand.
"""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.bench.figures import Figure, Goal
from tests.builders.halls import a_house
from tests.builders.platform_meets import Size, by_hand, played, published, the_file

SIZE, SEED = Size(lifters=24, flight=12, attempts=3, lifts_s=(0, 4_200, 8_400)), 24
MOVEMENTS = "Back squat\nBench press\nDeadlift"
NONE = Goal("at most", 0)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Plays it. Fails where another lifter is called than the caller's."""
    tell("A meet of 24 lifters: 216 attempts")
    with tempfile.TemporaryDirectory() as folder, a_house(Path(folder) / "meet", file=the_file(SIZE, MOVEMENTS)) as house:
        begun = time.perf_counter()
        meet = played(house, SIZE, SEED)
        took = time.perf_counter() - begun
        expected, told = by_hand(meet, SIZE), published(house)
        lanes = [house.app.state.hall.projection.counting_tally(f"asg_{n}") for n in range(1, SIZE.lifters + 1)]
        flagged = {flag.mark for lane in lanes for flag in lane.flags if flag.why == "changes-over"}
    wrong = sum(one != other for one, other in zip(expected, told, strict=False)) + abs(len(expected) - len(told))
    return [
        Figure("meet.called", "lifters called in the order of the caller by hand", meet.called),
        Figure("meet.wrong", "totals and places of 24 lifters that differ from those by hand", wrong, goal=NONE),
        Figure(
            "meet.refused", "changes that the rules refuse, or allow, told otherwise", len(flagged ^ set(meet.refused)), goal=NONE
        ),
        Figure("meet.changed", "changes of the last attempt that the rules allow", len(meet.changed)),
        Figure("meet.marks", "marks of marshal, loaders and referees", meet.count),
        Figure("meet.placed", "lifters with a total", len(told)),
        Figure("meet.mark", "a mark of the meet, with the looks at the warm-up page", took / meet.count * 1000, "ms"),
    ]
