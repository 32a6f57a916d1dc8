"""What a failed plan says of its cause: for each rule a small day in which it stands in the way, and nobody else is blamed."""

import re
from typing import Any

import pytest

from app.planning.making import make_plan
from app.planning.parts import NoPlan
from app.rules.day.heats import Problem
from app.rules.day.plan_check import broken_rules
from app.rules.records.day import Break, EventDay, Lock
from app.rules.records.judges import Hours, Judge
from tests.planning.days import a_day, limits

SMALL: dict[str, Any] = {"entries": 8, "lanes": 4, "clubs": 8, "breaks": ()}
DAY, BREAKS, REST, GAPS = "the hours of the day", "the breaks", "min of rest for an athlete", "min between heats"
LOCKS, TURNS, STEPS = "the choices that are kept", "events don't alternate", "start times rounded"
HOURS, WORK, CLUB, BOTH = "the hours of the judges", "the rest of the judges", "their own club", "judges while competing"


def short_stretches() -> Problem:
    """Judges who are here for eight minutes at a time, and heats of ten: their hours add up, and fit no heat."""
    stretches = tuple(Hours(start=f"{hour:02d}:00", end=f"{hour:02d}:08") for hour in range(9, 17))
    day = a_day(**SMALL)
    return day.model_copy(update={"judges": tuple(one.model_copy(update={"hours": stretches}) for one in day.judges)})


def of_both_clubs() -> Problem:
    """A pair from two clubs, and judges from these two alone."""
    day = a_day(**SMALL)
    pair = day.entries[0].model_copy(update={"clubs": ("c0", "c1")})
    judges = tuple(Judge(id=f"j{n}", name=f"Judge {n}", club=f"c{n % 2}") for n in range(6))
    return day.model_copy(update={"entries": (pair, *day.entries[1:]), "judges": judges})


def one_who_competes(**more: Any) -> Problem:
    """Four lanes, and four judges of whom one is in that heat."""
    day = a_day(**SMALL | {"entries": 8, "minutes": (10,), "judges": 4, "own_club": True, "judge_of": 3} | more)
    return day.model_copy(update={"both": (("j0", "m0"),)})


def two_full_heats() -> Problem:
    """Heats of one, four and four, six judges, and each judges one of two heats."""
    how = (EventDay(event="v0", last_lane=4, even=False, apart=False),)
    return a_day(**SMALL | {"entries": 9, "minutes": (10,), "events": how, "judge_work": 1, "judge_of": 2})


def the_other_event_first() -> Problem:
    """Two events of different people, and the second is kept at the begin of the day."""
    day = a_day(**SMALL, locks=(Lock(event="v1", group="a.1", start="09:00"),))
    first, second = day.events
    mine = tuple(first.model_copy(update={"order": day.events[0].order[n::4]}) for n in (0,))
    others = second.model_copy(update={"order": day.events[1].order[2::4]})
    return day.model_copy(update={"events": (*mine, others)})


def between_breaks(**rules: Any) -> Problem:
    """Half an hour, a break of hours, and ten minutes: the two heats of everybody must both be in the first half-hour."""
    lunch = Break(name="Lunch", start="09:30", end="12:50")
    return a_day(**SMALL | {"entries": 4, "breaks": (lunch,), "end": "13:00", "own_club": True} | rules)


def apart(**rules: Any) -> Problem:
    """`between_breaks` with both divisions on the floor together."""
    how = tuple(EventDay(event=f"v{n}", last_lane=4, apart=False) for n in range(2))
    return between_breaks(**{"events": how, "rest": 0, "reset": 0, "changeover": 0} | rules)


twice = (Lock(event="v0", group="a.1", start="10:00"), Lock(event="v0", group="b.1", start="10:05"))

CAUSES: dict[str, tuple[Problem, set[str]]] = {
    "judges' hours": (short_stretches(), {HOURS}),
    "own club": (of_both_clubs(), {CLUB}),
    "a judge who competes": (one_who_competes(), {BOTH}),
    "judges' rest": (two_full_heats(), {WORK}),
    "choices kept": (a_day(**SMALL, locks=twice), {LOCKS}),
    "don't alternate": (the_other_event_first(), {DAY, TURNS, LOCKS}),
    "rest": (apart(rest=20), {DAY, BREAKS, REST}),
    "between heats": (apart(reset=15), {DAY, BREAKS, GAPS}),
    "steps": (a_day(**SMALL, step=30, end="10:40"), {DAY, STEPS}),
}


def why(problem: Problem) -> str:
    with pytest.raises(NoPlan) as raised:
        make_plan(problem, limits(5.0))
    return str(raised.value)


@pytest.mark.parametrize("what", CAUSES)
def test_a_plan_that_fails_names_the_rules_without_which_one_stands_and_no_other(what: str) -> None:
    problem, causes = CAUSES[what]
    said = why(problem)
    named = {one for one in (DAY, BREAKS, REST, GAPS, LOCKS, TURNS, STEPS, HOURS, WORK, CLUB, BOTH) if one in said}
    assert named == causes, said


def test_where_no_one_rule_is_the_cause_none_is_blamed() -> None:
    said = why(one_who_competes(locks=twice))
    assert "Dropping any one rule is not enough" in said and not re.search("without the", said)


def test_a_judge_who_competes_judges_no_heat_of_their_own() -> None:
    five = one_who_competes(judges=5)
    plan = make_plan(five, limits())
    own = [heat for heat in plan.heats if any(spot.entry == "e0" for spot in heat.spots)]
    assert len(own) == 1 and all(spot.judge != "j0" for spot in own[0].spots)
    assert any(spot.judge == "j0" for heat in plan.heats for spot in heat.spots)
    first, others = own[0], [heat for heat in plan.heats if heat not in own]
    spots = (first.spots[0].model_copy(update={"judge": "j0"}), *first.spots[1:])
    found = broken_rules(five, [first.model_copy(update={"spots": spots}), *others])
    assert any("Judge 0 judges Event 1, heat" in one and "competes in Event 1" in one for one in found), found
