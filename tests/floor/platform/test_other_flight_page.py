"""A lifter who is moved to another flight: before its GO with the opener that was declared, and while a round is going on."""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.plan.heat_views import heat_typed
from app.watch.warm_up import warm_up
from tests.builders.halls import House, a_house, a_mark
from tests.builders.ledger_doors import by_request
from tests.builders.platform_meets import Meet, Size
from tests.builders.platforms import a_meet, a_platform_file, lifter

PAGE = {"accept": "text/html"}
ADA, BO, CY, DOT, EDDA, FINN = (lifter(n) for n in range(1, 7))


@pytest.fixture
def meet(tmp_path: Path) -> Iterator[Meet]:
    """Six lifters in two flights of one bar, both before their GO; the opener of each is known."""
    with a_house(tmp_path, file=a_platform_file(a_meet(), lifters=6, flight=3)) as house:
        yield Meet(house, 1, Size(6, 3, 3, (0,)))


def opener(meet: Meet, who: int, kg: int) -> str:
    """What the marshal declares before a GO."""
    meet.count += 1
    body = {"load": {"amount": str(kg), "unit": "kg"}, "by": "desk"}
    said = {"device": meet.device["marshal"], "kind": "declare", "at": 0, "body": body, "win": 0}
    mark = a_mark(meet.count, f"asg_{who}/1/lane", **said)
    assert by_request(meet.by["marshal"], mark).json()["refused"] == []
    return str(mark["id"])


def put(house: House, heat: str, lane: int, entry: str, status: int) -> str:
    """What the desk is told who puts an entry on a lane of a heat, or nobody."""
    typed = {**heat_typed(house.app.state.hall, heat), f"lane-{lane}-entry": entry}
    answer = house.desk().post(f"/desk/heats/{heat}/lanes", data=typed, headers=PAGE, follow_redirects=False)
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


def order(house: House, number: int) -> list[tuple[str, str, str]]:
    """Who lifts next in a flight, as the warm-up area is told: whom, what and which attempt."""
    heats = {one.title[-1]: one for one in warm_up(house.app.state.hall).heats}
    return [(row.entry, row.load.split(" (")[0], row.attempt) for row in heats[str(number)].rows]


def test_what_was_declared_before_go_is_told_and_goes_along_to_another_flight_and_back(meet: Meet) -> None:
    house = meet.house
    opener(meet, 1, 120)
    assert order(house, 1) == [(BO, "110 kg", "attempt 1"), (CY, "115 kg", "attempt 1"), (ADA, "120 kg", "attempt 1")]
    told = put(house, "heat_2", 4, "ent_1", 200)
    assert f"{ADA} moved here from heat 1." in told
    assert [who for who, *_ in order(house, 1)] == [BO, CY]
    step = re.search(r'name="step" value="([^"]+)"', told)
    assert step
    house.desk().post("/desk/undo", data={"step": step[1]}, headers=PAGE)
    assert order(house, 1)[-1] == (ADA, "120 kg", "attempt 1")
    put(house, "heat_2", 4, "ent_1", 200)
    house.desk().post("/desk/heats/heat_1/go", data={})
    assert order(house, 2)[-1] == (ADA, "120 kg", "attempt 1") and len(order(house, 2)) == 4
    house.clocks.pass_ms(30_000)
    house.desk().post("/desk/heats/heat_1/close", data={"why": "Nobody came", "by": "Kim"})
    assert house.desk().post("/desk/heats/heat_2/go", data={}).status_code == 200
    house.clocks.pass_ms(10_000)
    assert order(house, 2) == [(ADA, "120 kg", "attempt 1")], "it stands after GO; the others' are to be put in"


def test_who_only_leaves_a_flight_is_not_lost_with_the_opener(meet: Meet) -> None:
    opener(meet, 4, 120)
    told = put(meet.house, "heat_2", 1, "", 409)
    assert (
        "Lane 1 of heat 2 already has marks, so it can't be removed. They were made before GO: move the entry to another heat"
        in told
    )


def test_a_flight_that_is_joined_in_the_middle_of_a_round_calls_the_newcomer_first(meet: Meet) -> None:
    house = meet.house
    assert house.desk().post("/desk/heats/heat_1/go", data={}).status_code == 200
    house.clocks.pass_ms(10_000)
    said = {who: meet.declare(who, 0, kg) for who, kg in ((1, 105), (2, 110), (3, 115))}
    meet.lift(1, 0, *said[1])
    meet.declare(1, 0, 112)
    meet.lift(2, 0, *said[2])
    meet.declare(2, 0, 115)
    opener(meet, 4, 130)
    put(house, "heat_1", 4, "ent_4", 200)
    firsts, seconds = [(CY, "115 kg"), (DOT, "130 kg")], [(ADA, "112 kg"), (BO, "115 kg")]
    assert order(house, 1) == [(*one, "attempt 1") for one in firsts] + [(*one, "attempt 2") for one in seconds]


def test_nobody_who_is_on_the_floor_at_a_shared_bar_stands_in_a_second_flight(meet: Meet) -> None:
    house = meet.house
    house.desk().post("/desk/heats/heat_1/go", data={})
    house.clocks.pass_ms(10_000)
    meet.lift(1, 0, *meet.declare(1, 0, 105))
    assert f"{ADA} is on the floor in heat 1, and attempts stay where they were made." in put(house, "heat_2", 4, "ent_1", 422)
    assert "Lane 1 of heat 1 already has marks, so it can't be removed." in put(house, "heat_1", 1, "", 409)
    assert [len(heat.lanes) for heat in house.app.state.hall.projection.roster.heats] == [3, 3]
    put(house, "heat_1", 2, "", 200)  # nothing was marked of him yet
    put(house, "heat_2", 4, "ent_2", 303)
    assert [row[0] for row in order(house, 2)] == [DOT, EDDA, FINN, BO]
