"""A heat plan of 120 entries, 4 events, 10 lanes and 14 judges: how soon there is one, and how good it is after ten seconds."""

import time
from collections.abc import Callable

from app.planning.making import make_plan
from app.planning.parts import Limits, Progress
from app.rules.day.heats import PlanEntry, PlanEvent, Problem, drawn
from app.rules.day.plan_check import broken_rules, judge_loads
from app.rules.records.day import Break, DayRules, EventDay
from app.rules.records.judges import Judge, minutes_of
from tests.bench.figures import Figure, Goal

ENTRIES, LANES, JUDGES, CLUBS = 120, 10, 14, 12
LENGTHS = (10, 12, 8, 14)  # minutes of the four events
SECONDS = 10.0
FIRST_S = Goal("at most", 1.0)
GAP = Goal("at most", 8.0)
FAIR = Goal("at most", 1)


def a_large_day(take_turns: bool) -> Problem:
    """The day of the promise: three divisions, each event in an order of its own, a lunch break, a heat of rest in four."""
    people = tuple(
        PlanEntry(id=f"e{n}", division="abc"[n % 3], members=(f"m{n}",), clubs=(f"c{n % CLUBS}",)) for n in range(ENTRIES)
    )
    ids = [one.id for one in people]
    events = tuple(
        PlanEvent(id=f"v{n}", name=f"Event {n + 1}", minutes=length, order=tuple(drawn(ids, 1, f"v{n}")))
        for n, length in enumerate(LENGTHS)
    )
    rules = DayRules(
        start="08:00",
        end="22:00",
        breaks=(Break(name="Lunch", start="12:30", end="13:15"),),
        events=tuple(EventDay(event=event.id, last_lane=LANES) for event in events),
        take_turns=take_turns,
    )
    judges = tuple(Judge(id=f"j{n}", name=f"Judge {n}", club=f"c{n % CLUBS}") for n in range(JUDGES))
    return Problem(rules=rules, divisions=("a", "b", "c"), entries=people, events=events, judges=judges)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures a day whose events follow one another, and one whose events may take turns."""
    figures = []
    for key, turns, words in (("apart", False, "events one after another"), ("turns", True, "events in turns")):
        tell(f"planning: {words}")
        figures += _measured(a_large_day(turns), key, words)
    return figures


def _measured(problem: Problem, key: str, words: str) -> list[Figure]:
    heard: list[float] = []
    begun = time.perf_counter()

    def hear(_progress: Progress) -> None:
        heard.append(time.perf_counter() - begun)

    plan = make_plan(problem, Limits(SECONDS, hear, lambda: False))
    whole = time.perf_counter() - begun
    assert broken_rules(problem, plan.heats) == []
    loads = judge_loads(problem, plan.heats).values()
    above = (plan.end - plan.bound) * 100 / (plan.end - minutes_of(problem.rules.start))
    return [
        Figure(f"planning.{key}.first_s", f"first whole plan, checked; {words}", heard[0], "s", FIRST_S),
        Figure(f"planning.{key}.gap", "… end of the day above the solver's bound", above, "%", GAP),
        Figure(f"planning.{key}.whole_s", "… all of the search", whole, "s"),
        Figure(
            f"planning.{key}.spread", "… lanes between the busiest judge and the least busy", max(loads) - min(loads), "", FAIR
        ),
    ]
