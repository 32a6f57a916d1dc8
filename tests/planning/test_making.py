"""Plans that the solver makes, held to a checker that shares nothing with it; plans broken on purpose, which it must catch."""

from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import event, given, settings

from app.planning.judging import find_judges
from app.planning.making import Plan, make_plan
from app.planning.parts import Limits, NoPlan, Progress
from app.planning.times import find_times
from app.rules.day.heats import PlanEntry, PlannedHeat, Problem, groups_of
from app.rules.day.plan_check import broken_rules, judge_loads
from app.rules.day.plan_numbers import earliest_end, obstacles
from app.rules.records.day import EventDay, Lock
from app.rules.records.judges import Hours, clock_of
from tests.planning.days import a_day, days, limits

Heats = list[PlannedHeat]


def made_or_not(problem: Problem) -> Plan | NoPlan:
    """The plan, or why there is none."""
    try:
        return make_plan(problem, limits(2.0))
    except NoPlan as why:
        return why


@settings(max_examples=25)
@given(days())
def test_every_plan_that_is_made_keeps_every_rule(problem: Problem) -> None:
    plan = made_or_not(problem)
    if isinstance(plan, NoPlan):
        event("no plan")
        assert "breaks a rule" not in str(plan)
        return
    event("a plan")
    assert broken_rules(problem, plan.heats) == []
    assert earliest_end(problem, groups_of(problem)) <= plan.bound <= plan.end == max(heat.end for heat in plan.heats)


@settings(max_examples=25)
@given(days())
def test_what_the_arithmetic_calls_impossible_the_solver_does_not_find(problem: Problem) -> None:
    groups = groups_of(problem)
    in_the_way = obstacles(problem, groups)
    event("obstacle" if in_the_way else "none")
    if not in_the_way or not groups:
        return

    def without_arithmetic() -> list[str]:
        heats, _ = find_times(problem, groups, limits(1.0))
        judges = find_judges(problem, heats, limits(1.0)) if problem.rules.with_judges else heats
        return broken_rules(problem, judges) or pytest.fail(f"{in_the_way} is in the way of a plan that keeps every rule")

    with suppress(NoPlan):
        assert without_arithmetic() != []


def test_ten_lanes_with_a_heat_of_rest_in_four_need_fourteen_judges() -> None:
    many: dict[str, Any] = {"entries": 80, "minutes": (10,), "lanes": 10, "clubs": 40}
    with pytest.raises(NoPlan, match="10 lanes and a heat of rest in 4 need at least 14 judges; 12 are here"):
        make_plan(a_day(judges=12, **many), limits())
    plan = make_plan(a_day(judges=14, **many), limits())
    assert set(judge_loads(a_day(judges=14, **many), plan.heats).values()) == {5, 6}  # 80 lanes between 14


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"end": "09:30"}, "8 heats on the same lanes take at least"),
        ({"rest": 700}, "The day needs a rest of at most"),
        ({"minutes": (500, 10)}, "no stretch between breaks is that long"),
        ({"judges": 2}, "3 lanes at once need at least 3 judges"),
        ({"clubs": 1}, "no judge is of another club or of none"),
        ({"events": ()}, "nothing to plan"),
    ],
)
def test_what_can_not_fit_is_said_at_once_with_the_number_to_change(changed: dict[str, Any], sentence: str) -> None:
    if changed == {"events": ()}:
        problem = a_day().model_copy(update={"events": ()})
    elif "judges" in changed:
        problem = a_day(judge_work=1, judge_of=1, **changed)
    else:
        problem = a_day(**changed)
    heard: list[Progress] = []
    with pytest.raises(NoPlan, match=sentence):
        make_plan(problem, limits(heard=heard))
    assert heard == []  # nothing was searched for


def test_a_search_tells_of_its_first_plan_and_can_be_stopped_with_the_best_so_far() -> None:
    heard: list[Progress] = []
    stopped = Limits(60.0, heard.append, lambda: True)
    problem = a_day(entries=40, minutes=(10, 9, 8), take_turns=True, rest=45)
    plan = make_plan(problem, stopped)
    assert heard[0].stage == "first" and heard[0].end >= plan.end >= heard[0].bound
    assert broken_rules(problem, plan.heats) == []


def test_choices_to_keep_are_kept() -> None:
    locks = (
        Lock(event="v0", group="a.2", start="10:17"),
        Lock(event="v0", group="b.1", entry="e1", lane=4),
        Lock(event="v1", group="a.1", lane=2, judge="j4"),
    )
    problem = a_day(locks=locks)
    plan = make_plan(problem, limits())
    heats = {(heat.event, heat.group): heat for heat in plan.heats}
    assert clock_of(heats["v0", "a.2"].start) == "10:17"
    assert [spot.lane for spot in heats["v0", "b.1"].spots if spot.entry == "e1"] == [4]
    assert [spot.judge for spot in heats["v1", "a.1"].spots if spot.lane == 2] == ["j4"]


def test_an_athlete_in_two_teams_is_never_in_one_heat_twice_and_rests_between() -> None:
    problem = a_day(entries=12, minutes=(10,), rest=25)
    twice = problem.entries[2].model_copy(update={"members": ("m0", "m2")})
    problem = problem.model_copy(update={"entries": (*problem.entries[:2], twice, *problem.entries[3:])})
    plan = make_plan(problem, limits())
    own = sorted((heat.start, heat.end) for heat in plan.heats for spot in heat.spots if spot.entry in ("e0", "e2"))
    assert len(own) == 2 and own[1][0] - own[0][1] >= 25


def test_heats_that_have_run_stay_and_the_rest_is_planned_after_them() -> None:
    problem = a_day(minutes=(10,))
    first = make_plan(problem, limits()).heats[0]
    ran = first.model_copy(update={"done": True, "start": first.start + 20, "key": "h1"})
    plan = make_plan(problem.model_copy(update={"fixed": (ran,)}), limits())
    assert plan.heats[0] == ran
    assert plan.heats[1].start >= ran.end + problem.rules.changeover and plan.heats[1].number == 2
    assert sorted(spot.entry for heat in plan.heats for spot in heat.spots) == sorted(e.id for e in problem.entries)


def test_the_best_run_last_in_the_middle_lanes() -> None:
    plan = make_plan(a_day(entries=16, minutes=(10,), lanes=4, clubs=9, judges=8), limits())
    last = max((heat for heat in plan.heats if heat.group.startswith("a.")), key=lambda heat: heat.start)
    assert {spot.entry: spot.lane for spot in last.spots} == {"e0": 2, "e2": 3, "e4": 1, "e6": 4}


def whole(plan: Plan, n: int, **changed: Any) -> Heats:
    """The plan with one heat changed."""
    return [heat.model_copy(update=changed) if m == n else heat for m, heat in enumerate(plan.heats)]


def spot(plan: Plan, n: int, **changed: Any) -> Heats:
    """The plan with the first lane of a heat changed."""
    first, *others = plan.heats[n].spots
    return whole(plan, n, spots=(first.model_copy(update=changed), *others))


def busiest(plan: Plan) -> Heats:
    """One judge on the first lane of every heat."""
    return [
        heat.model_copy(update={"spots": (heat.spots[0].model_copy(update={"judge": "j5"}), *heat.spots[1:])})
        for heat in plan.heats
    ]


BREAKS: dict[str, tuple[Callable[[Problem, Plan], Heats], str]] = {
    "an entry left out": (lambda p, plan: whole(plan, 0, spots=plan.heats[0].spots[1:]), "is in no heat of Event"),
    "an entry twice": (lambda p, plan: spot(plan, 0, entry=plan.heats[1].spots[0].entry), "is in 2 heats"),
    "a stranger": (lambda p, plan: spot(plan, 0, entry="e99"), "which is not theirs"),
    "a lane twice": (lambda p, plan: spot(plan, 0, lane=plan.heats[0].spots[1].lane), "two entries on one lane"),
    "a lane that is not there": (lambda p, plan: spot(plan, 0, lane=5), "uses a lane that its event does not have"),
    "a heat number twice": (lambda p, plan: whole(plan, 0, number=2), "has 2 heats with the number 2"),
    "numbers out of order": (lambda p, plan: whole(plan, 0, number=50), "not run in number order"),
    "an empty heat": (lambda p, plan: [*plan.heats, plan.heats[0].model_copy(update={"spots": (), "number": 9})], "is empty"),
    "before the day": (lambda p, plan: whole(plan, 0, start=8 * 60), "outside the day"),
    "after the day": (lambda p, plan: whole(plan, len(plan.heats) - 1, start=20 * 60 - 5), "outside the day"),
    "into lunch": (lambda p, plan: whole(plan, len(plan.heats) - 1, start=12 * 60 + 40), "runs into Lunch"),
    "too short": (lambda p, plan: whole(plan, 0, minutes=9), "is shorter than its event"),
    "no changeover": (lambda p, plan: whole(plan, 1, start=plan.heats[0].end + 3), "lanes need 4"),
    "no reset": (lambda p, plan: whole(plan, 4, start=plan.heats[3].end + 14), "lanes need 15"),
    "off the step": (lambda p, plan: whole(plan, 5, start=plan.heats[5].start + 1), "on a multiple of 2"),
    "no rest": (lambda p, plan: hurried(plan), "min of rest before"),
    "no judge": (lambda p, plan: spot(plan, 0, judge=None), "has no judge"),
    "a judge twice": (lambda p, plan: spot(plan, 0, judge=plan.heats[0].spots[1].judge), "stands on 2 lanes"),
    "a judge without rest": (lambda p, plan: busiest(plan), "judges 4 of the 4 heats"),
    "a lock broken": (lambda p, plan: whole(plan, len(plan.heats) - 1, start=15 * 60), "was to start at"),
    "events mixed up": (lambda p, plan: [*plan.heats[4:], *plan.heats[:4]] and swapped(plan), "the events don't alternate"),
    "a judge at two places": (lambda p, plan: [h.model_copy(update={"start": 540}) for h in busiest(plan)], "at once"),
}


def hurried(plan: Plan) -> Heats:
    """The first heat only ten minutes before the one in which the entry on its first lane starts again."""
    first = plan.heats[0].spots[0].entry
    again = next(heat for heat in plan.heats[1:] if first in {spot.entry for spot in heat.spots})
    return whole(plan, 0, start=again.start - 20)


def swapped(plan: Plan) -> Heats:
    """The last heat before all others."""
    return whole(plan, len(plan.heats) - 1, start=9 * 60)


@pytest.fixture(scope="module")
def made() -> tuple[Problem, Plan]:
    """A plan in which every rule has something to do."""
    start = clock_of(13 * 60)
    problem = a_day(step=2, rest=30, lanes=4, judges=6, locks=(Lock(event="v1", group="b.2", start=start),))
    plan = make_plan(problem, limits())
    assert broken_rules(problem, plan.heats) == [] and len(plan.heats) == 8
    return problem, plan


@pytest.mark.parametrize("what", sorted(BREAKS))
def test_the_checker_catches(made: tuple[Problem, Plan], what: str) -> None:
    problem, plan = made
    broken, sentence = BREAKS[what]
    found = broken_rules(problem, broken(problem, plan))
    assert any(sentence in one for one in found), found


def test_what_is_said_of_a_plan_names_people_and_events_as_people_do(made: tuple[Problem, Plan]) -> None:
    problem, plan = made
    entry, athlete = plan.heats[0].spots[0].entry, problem.entry(plan.heats[0].spots[0].entry).members[0]
    named = problem.model_copy(update={"names": {entry: "Quay Runners", athlete: "Ida Moor"}})
    missing = broken_rules(named, whole(plan, 0, spots=plan.heats[0].spots[1:]))
    assert any(one == "Quay Runners is in no heat of Event 1." for one in missing), missing
    rested = broken_rules(named, hurried(plan))
    assert any(one.startswith("Ida Moor has ") for one in rested), rested


def test_the_checker_catches_what_depends_on_who_judges(made: tuple[Problem, Plan]) -> None:
    problem, plan = made
    first = plan.heats[0].spots[0]
    own = next(judge for judge in problem.judges if judge.club in problem.entry(first.entry).clubs)
    assert any("judges their own club" in one for one in broken_rules(problem, spot(plan, 0, judge=own.id)))
    gone = tuple(judge.model_copy(update={"away": judge.id == first.judge}) for judge in problem.judges)
    assert any("is away" in one for one in broken_rules(problem.model_copy(update={"judges": gone}), plan.heats))
    later = (Hours(start="14:00", end="18:00"),)
    late = tuple(judge.model_copy(update={"hours": later}) if judge.id == first.judge else judge for judge in problem.judges)
    assert any("is not here for" in one for one in broken_rules(problem.model_copy(update={"judges": late}), plan.heats))


def test_the_checker_catches_too_many_machines_and_mixed_divisions(made: tuple[Problem, Plan]) -> None:
    problem, plan = made
    few = problem.rules.model_copy(update={"events": tuple(EventDay(event=f"v{n}", last_lane=4, most=2) for n in range(2))})
    assert any("there is equipment for 2" in one for one in broken_rules(problem.model_copy(update={"rules": few}), plan.heats))
    people = (PlanEntry(**{**dict(problem.entries[0]), "division": "b"}), *problem.entries[1:])
    assert any("mixes divisions" in one for one in broken_rules(problem.model_copy(update={"entries": people}), plan.heats))


def test_a_rerun_is_one_heat_more_and_what_has_run_asks_no_judge_to_be_elsewhere() -> None:
    problem = a_day(minutes=(10,))
    plan = make_plan(problem, limits())
    first, second, *others = plan.heats
    ran = [first.model_copy(update={"done": True}), second.model_copy(update={"done": True, "start": first.start})]
    twice = ran[1].model_copy(update={"spots": (ran[1].spots[0].model_copy(update={"judge": first.spots[0].judge}),)})
    again = [*ran, *others, others[-1].model_copy(update={"number": 99, "start": 15 * 60, "spots": (first.spots[0],)})]
    entry = first.spots[0].entry
    assert any("is in 2 heats" in words for words in broken_rules(problem, again))
    granted = problem.model_copy(update={"again": ((first.event, entry),)})
    assert not any("is in 2 heats" in words for words in broken_rules(granted, again))
    assert not any("at once" in words for words in broken_rules(problem, [first.model_copy(update={"done": True}), twice]))
    assert any("at once" in words for words in broken_rules(problem, [first, twice.model_copy(update={"done": False})]))
