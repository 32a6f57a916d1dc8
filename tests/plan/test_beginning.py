"""Whole competitions to begin from: each in every combination of its answers is one whose events, plan and paper hold."""

from itertools import count
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.plan.beginning import fits, latest_start, problem_with, room
from app.plan.day_problem import problem_of
from app.plan.day_times import rules_of
from app.plan.planning import store_heats
from app.planning.parts import numbered
from app.planning.quick import quick_times
from app.rules.beginning.begun import Answers, begun
from app.rules.beginning.ready import Ready, ready_competitions
from app.rules.day.heats import groups_of
from app.rules.day.plan_check import broken_rules
from app.rules.records.judges import clock_of, minutes_of
from app.rules.records.roster import Competition, Roster
from tests.builders.halls import House

READY = ready_competitions()
BY_KEY = {one.key: one for one in READY}
PAGE = {"accept": "text/html"}


def answered(ready: Ready, start: str, lanes: int, unit: Any, held: tuple[str, ...]) -> Roster:
    names = {one.key: f"{one.name} of the day" for one in ready.divisions if one.key in held}
    ids = count()
    competition = Competition(id="c", name="Quay Day", unit=unit)
    return begun(ready, Answers(competition, start, lanes, names), lambda: f"id-{next(ids)}")


@st.composite
def beginnings(draw: Any) -> tuple[Ready, Roster]:
    ready = draw(st.sampled_from(READY))
    start = clock_of(draw(st.integers(0, minutes_of(latest_start(ready)))))
    held = draw(st.lists(st.sampled_from([one.key for one in ready.divisions]), min_size=1, unique=True))
    return ready, answered(ready, start, draw(st.integers(1, 30)), draw(st.sampled_from(["kg", "lb"])), tuple(held))


@given(beginnings())
@settings(max_examples=25)
def test_whatever_is_answered_the_competition_is_whole(begins: tuple[Ready, Roster]) -> None:
    ready, made = begins
    again = Roster.model_validate(made.model_dump(mode="json"))
    assert again == made and len(made.events) == len(ready.events)
    lighter = {f"{one.name} of the day" for one in ready.divisions if one.lighter}
    for event in made.events:
        assert event.format.members == ready.members and event.format.unit == made.competition.unit
        assert all(movement.standards for movement in event.format.movements.values())
        expected = {one.id for one in made.divisions if one.name in lighter} if event.format.variants else set()
        assert set(event.variants) == expected
    assert made.day is not None and {how.event for how in made.day.events} == {event.id for event in made.events}
    assert minutes_of(made.day.end) - minutes_of(made.day.start) == ready.hours * 60


@given(st.sampled_from(READY), st.integers(1, 16), st.integers(0, 3))
@settings(max_examples=12)
def test_the_room_that_is_told_is_there_and_no_more(ready: Ready, lanes: int, divisions: int) -> None:
    held = tuple(one.key for one in ready.divisions[: 1 + divisions % len(ready.divisions)])
    made = answered(ready, ready.start, lanes, "kg", held)
    most = room(made)
    assert most >= lanes * 3
    assert fits(problem_with(made, most)) and not fits(problem_with(made, most + lanes * len(held)))


@pytest.mark.parametrize("key", BY_KEY)
def test_after_choosing_only_entries_are_missing_then_the_plan_holds_and_all_paper_prints(empty_house: House, key: str) -> None:
    desk, hall, ready = empty_house.desk(), empty_house.app.state.hall, BY_KEY[key]
    text = desk.get("/desk/competition", headers=PAGE).text
    assert all(f'href="/desk/begin/{one.key}"' in text and one.name in text for one in READY)
    form = {
        "name": "Quay Day",
        "unit": "lb",
        "start": ready.start,
        "lanes": "4",
        "division-women": "Ladies",
        "division-men": "Men",
    }
    assert desk.post(f"/desk/begin/{key}", data=form).status_code == 303
    steps = desk.get("/desk/setup", headers=PAGE).text
    assert "Next: Entries" in steps and "2 divisions" in steps
    who = ["; ".join(f"P{n}.{m}" for m in range(ready.members)) for n in range(10)]
    lines = "\n".join(f"{('Ladies', 'Men')[n % 2]}; Entry {n}; {members}" for n, members in enumerate(who))
    assert desk.post("/desk/entries/paste", data={"lines": lines, "do": "store"}).status_code == 303
    problem = problem_of(hall, rules_of(hall.projection.roster))
    heats = numbered(problem, groups_of(problem), quick_times(problem, groups_of(problem)))
    assert broken_rules(problem, heats) == []
    empty_house.do(store_heats, heats, [event.id for event in problem.events], "Published")
    assert "Next: " + hall.projection.roster.events[0].name in desk.get("/desk/setup", headers=PAGE).text
    sheets = list(empty_house.app.printed())
    assert sheets
    for event in hall.projection.roster.events:
        for page in [*(path.format(event=event.id) for path in sheets), f"/brief/{event.id}"]:
            answer = desk.get(page, headers=PAGE)
            assert answer.status_code == 200 and event.name in answer.text, page
    assert all(f"Entry {n}" in desk.get("/timetable", headers=PAGE).text for n in range(10))


def test_answers_that_cannot_be_are_told_and_nothing_is_stored(empty_house: House) -> None:
    desk, hall = empty_house.desk(), empty_house.app.state.hall
    form = {"name": "", "unit": "kg", "start": "23:30", "lanes": "0", "division-women": "Same", "division-men": "same"}
    answer = desk.post("/desk/begin/saturday", data=form, headers=PAGE)
    assert answer.status_code == 422 and hall.projection.roster is None
    for said in (
        "name is missing",
        "ends before midnight: begin at 14:59",
        "number of lanes",
        "Two divisions have the same name",
    ):
        assert said in answer.text, said
    assert 'value="23:30"' in answer.text
    assert desk.post("/desk/begin/saturday", data={**form, "division-women": "", "division-men": ""}).status_code == 422
    assert desk.get("/desk/begin/nothing", headers=PAGE).status_code == 404


def test_a_competition_that_is_named_is_never_written_over(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    before = hall.projection.roster
    assert desk.get("/desk/begin/saturday", headers=PAGE).headers["location"] == "/desk/setup"
    form = {"name": "Other", "unit": "kg", "start": "09:00", "lanes": "4", "division-women": "Women"}
    assert desk.post("/desk/begin/saturday", data=form, headers=PAGE).status_code == 409
    assert hall.projection.roster == before
