"""A published day that changes late: what must move moves, and nothing else."""

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.planning.making import make_plan
from app.planning.parts import NoPlan
from app.planning.replanning import make_replan
from app.rules.day.heats import PlanEntry, PlannedHeat, Problem
from app.rules.day.late_change import LateChange, Move, moves
from app.rules.day.plan_check import broken_rules
from app.rules.records.day import Break
from tests.planning.days import a_day, limits


def published(problem: Problem) -> tuple[PlannedHeat, ...]:
    """The plan of a day as it is stored: with ids, and the names of groups forgotten."""
    plan = make_plan(problem, limits())
    return tuple(heat.model_copy(update={"key": f"h{n}", "group": ""}) for n, heat in enumerate(plan.heats))


def ran(heats: Sequence[PlannedHeat], many: int, late: int = 0) -> tuple[PlannedHeat, ...]:
    """The same day with its first heats run, so many minutes late."""
    return tuple(
        heat.model_copy(update={"done": True, "start": heat.start + late}) if n < many else heat for n, heat in enumerate(heats)
    )


def changed(problem: Problem, heats: Sequence[PlannedHeat], not_before: int = 0) -> tuple[list[Move], list[PlannedHeat]]:
    """The moves that a change asks for, and the day after them; every rule is kept."""
    plan = make_replan(LateChange(given=problem, published=tuple(heats), not_before=not_before), limits())
    assert broken_rules(problem, plan.heats, late=True) == []
    found = moves(heats, plan.heats, {}, {})
    return found, list(plan.heats)


def without(problem: Problem, entry: str) -> Problem:
    """The day after an entry has withdrawn."""
    events = tuple(e.model_copy(update={"order": tuple(o for o in e.order if o != entry)}) for e in problem.events)
    return problem.model_copy(update={"events": events})


def test_a_day_that_nothing_happened_to_stays_as_it_is() -> None:
    problem = a_day()
    assert changed(problem, published(problem))[0] == []


def test_a_withdrawal_empties_lanes_and_moves_nobody() -> None:
    problem = a_day()
    heats = ran(published(problem), 2)
    gone = next(spot.entry for spot in heats[2].spots)
    found, _ = changed(without(problem, gone).model_copy(update={"fixed": heats[:2]}), heats)
    assert {move.kind for move in found} == {"out"} and len(found) == 2


def test_the_last_of_a_heat_who_withdraws_takes_the_heat_along() -> None:
    problem = a_day(entries=3, minutes=(10,), lanes=1, judges=4)
    heats = published(problem)
    found, left = changed(without(problem, heats[1].spots[0].entry), heats)
    assert sorted(move.kind for move in found) == ["gone", "out"] and len(left) == 2


def test_an_absent_judge_is_replaced_on_the_own_lanes_and_nobody_else_changes() -> None:
    problem = a_day(judges=8)
    heats = ran(published(problem), 1)
    absent = next(spot.judge for spot in heats[1].spots)
    judges = tuple(judge.model_copy(update={"away": judge.id == absent}) for judge in problem.judges)
    found, after = changed(problem.model_copy(update={"judges": judges}), heats)
    own = [(h.event, h.number) for h in heats if not h.done for spot in h.spots if spot.judge == absent]
    assert sorted((move.event, move.number) for move in found) == sorted(own) and {move.kind for move in found} == {"judge"}
    assert after[0] == heats[0]


def test_too_few_judges_are_told_with_the_arithmetic() -> None:
    problem = a_day(entries=16, judges=6, minutes=(10,))
    heats = published(problem)
    judges = tuple(judge.model_copy(update={"away": judge.id in ("j0", "j1")}) for judge in problem.judges)
    with pytest.raises(NoPlan, match="4 lanes and a heat of rest in 4 need at least 6 judges; 4 are here"):
        changed(problem.model_copy(update={"judges": judges}), heats)


def test_an_overrun_shifts_what_comes_and_a_break_that_may_shrink_takes_it_up() -> None:
    lunch = Break(name="Lunch", start="10:00", end="10:45", least=30)
    problem = a_day(breaks=(lunch,))
    heats = ran(published(problem), 3, late=12)
    found, after = changed(problem, heats)
    assert {move.kind for move in found} == {"time"}
    before_lunch = [h for h in heats if not h.done and h.start < 600]
    assert len(found) == len(before_lunch) and before_lunch
    last = max(h.end for h in after if h.start < 615)
    assert 600 < last <= 615  # lunch begins late, and ends on time


def test_a_break_that_may_not_shrink_is_moved_whole() -> None:
    problem = a_day(breaks=(Break(name="Lunch", start="10:00", end="10:45"),))
    heats = ran(published(problem), 3, late=12)
    found, after = changed(problem, heats)
    assert len(found) == len([heat for heat in heats if not heat.done])
    afternoon = min(heat.start for heat in after if heat.start >= 645)
    assert afternoon - max(heat.end for heat in after if heat.start < 645) >= 45


def test_nothing_starts_before_now_and_nothing_before_it_was_announced() -> None:
    problem = a_day()
    heats = ran(published(problem), 1)
    _, after = changed(problem, heats, not_before=heats[1].start + 7)
    assert after[1].start == heats[1].start + 7
    assert all(new.start >= old.start for new, old in zip(after, heats, strict=True))


def test_a_late_entry_takes_a_free_lane_of_its_division() -> None:
    problem = a_day(entries=10, minutes=(10,), lanes=4, judges=8)
    heats = published(problem)
    late = PlanEntry(id="late", division="b", members=("m99",), clubs=())
    events = tuple(e.model_copy(update={"order": (*e.order, "late")}) for e in problem.events)
    found, after = changed(problem.model_copy(update={"entries": (*problem.entries, late), "events": events}), heats)
    assert [move.kind for move in found] == ["in", "judge"]
    (heat,) = [heat for heat in after if any(spot.entry == "late" for spot in heat.spots)]
    assert {problem.entry(spot.entry).division for spot in heat.spots if spot.entry != "late"} == {"b"}


def test_a_late_entry_that_fits_nowhere_gets_a_new_heat_at_the_end_of_its_event() -> None:
    problem = a_day(entries=8, minutes=(10, 12), lanes=4, judges=8)
    heats = published(problem)
    late = PlanEntry(id="late", division="a", members=("m99",), clubs=())
    events = (problem.events[0], problem.events[1].model_copy(update={"order": (*problem.events[1].order, "late")}))
    found, after = changed(problem.model_copy(update={"entries": (*problem.entries, late), "events": events}), heats)
    assert sorted(move.kind for move in found) == ["in", "new"]
    assert [spot.entry for spot in max(after, key=lambda heat: heat.start).spots] == ["late"]
    assert max(after, key=lambda heat: heat.start).number == 3


@settings(max_examples=15)
@given(
    st.integers(0, 5), st.integers(0, 40), st.sets(st.sampled_from([f"e{n}" for n in range(12)]), max_size=3), st.integers(0, 7)
)
def test_any_mix_of_changes_keeps_every_rule_and_what_has_run(done: int, late: int, gone: set[str], judge: int) -> None:
    problem = a_day(judges=8, rest=20)
    heats = ran(published(problem), done, late)
    for entry in gone:
        if not any(spot.entry == entry for heat in heats[:done] for spot in heat.spots):
            problem = without(problem, entry)
    away = tuple(one.model_copy(update={"away": one.id == f"j{judge}"}) for one in problem.judges)
    _, after = changed(problem.model_copy(update={"judges": away}), heats)
    assert after[:done] == list(heats[:done])
