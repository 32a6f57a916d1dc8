"""Competition days for tests: small, invented, and as different from one another as days can be."""

from typing import Any

from hypothesis import strategies as st

from app.planning.parts import Limits, Progress
from app.rules.day.heats import PlanEntry, PlanEvent, Problem
from app.rules.records.day import Break, DayRules, EventDay, Lock
from app.rules.records.judges import Hours, Judge


def limits(seconds: float = 5.0, heard: list[Progress] | None = None) -> Limits:
    """Limits of a search that nobody stops; what it says goes to `heard`."""
    return Limits(seconds, (heard if heard is not None else []).append, lambda: False)


def a_day(
    entries: int = 12, minutes: tuple[int, ...] = (10, 12), lanes: int = 4, judges: int = 6, clubs: int = 5, **rules: Any
) -> Problem:
    """Entries of one athlete each in two divisions, a club each in turn, all in every event; judges of the same clubs."""
    people = tuple(
        PlanEntry(id=f"e{n}", division="ab"[n % 2], members=(f"m{n}",), clubs=(f"c{n % clubs}",)) for n in range(entries)
    )
    events = tuple(
        PlanEvent(id=f"v{n}", name=f"Event {n + 1}", minutes=length, order=tuple(one.id for one in people))
        for n, length in enumerate(minutes)
    )
    here = tuple(Judge(id=f"j{n}", name=f"Judge {n}", club=f"c{n % clubs}") for n in range(judges))
    usual: dict[str, Any] = {
        "end": "20:00",
        "breaks": (Break(name="Lunch", start="12:00", end="12:45"),),
        "events": tuple(EventDay(event=event.id, last_lane=lanes) for event in events),
    }
    return Problem(rules=DayRules(**usual | rules), divisions=("a", "b"), entries=people, events=events, judges=here)


@st.composite
def days(draw: st.DrawFn) -> Problem:
    """Any small day: teams that share athletes, events beside one another, few machines, judges with hours, choices to keep."""
    athletes = [f"m{n}" for n in range(draw(st.integers(4, 16)))]
    members = st.lists(st.sampled_from(athletes), min_size=1, max_size=2, unique=True).map(tuple)
    teams = draw(st.lists(st.tuples(members, st.sampled_from("ab")), min_size=2, max_size=12))
    clubs = {name: draw(st.sampled_from(("c0", "c1", "c2", ""))) for name in athletes}
    people = tuple(
        PlanEntry(id=f"e{n}", division=division, members=who, clubs=tuple(clubs[m] for m in who if clubs[m]))
        for n, (who, division) in enumerate(teams)
    )
    events, hows = [], []
    for n in range(draw(st.integers(1, 3))):
        order = draw(st.permutations([one.id for one in people]))
        events.append(
            PlanEvent(id=f"v{n}", name=f"Event {n}", minutes=draw(st.integers(5, 15)), order=order[: draw(st.integers(1, 12))])
        )
        first = draw(st.sampled_from((1, 1, 1, 4)))
        hows.append(
            EventDay(
                event=f"v{n}",
                first_lane=first,
                last_lane=first + draw(st.integers(0, 3)),
                most=draw(st.sampled_from((None, None, 2))),
                best_last=draw(st.booleans()),
                from_middle=draw(st.booleans()),
                apart=draw(st.booleans()),
                even=draw(st.booleans()),
            )
        )
    rules = DayRules(
        end="23:30",
        changeover=draw(st.integers(0, 5)),
        reset=draw(st.integers(0, 15)),
        rest=draw(st.integers(0, 30)),
        step=draw(st.sampled_from((1, 5))),
        judge_work=draw(st.sampled_from((2, 3))),
        judge_of=draw(st.sampled_from((3, 4))),
        own_club=draw(st.booleans()),
        with_judges=draw(st.booleans()),
        take_turns=draw(st.booleans()),
        breaks=(Break(name="Lunch", start="12:00", end="12:45"), Break(name="Tea", start="10:00", end="10:10")),
        events=tuple(hows),
        locks=draw(st.sampled_from(((), (Lock(event="v0", group="a.1", start="13:00"),)))),
    )
    hours = st.sampled_from(((), (Hours(start="09:00", end="15:00"),)))
    judges = tuple(
        Judge(id=f"j{n}", name=f"Judge {n}", club=draw(st.sampled_from(("c0", "c1", None))), hours=draw(hours))
        for n in range(draw(st.integers(3, 10)))
    )
    both = draw(st.sampled_from(((), (("j0", athletes[0]),), (("j0", athletes[0]), ("j1", athletes[-1])))))
    return Problem(rules=rules, divisions=("a", "b"), entries=people, events=tuple(events), judges=judges, both=both)
