"""Who changes heats, withdraws or runs again: told where it is done, and wherever it is counted who still waits for a heat."""

import html
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.plan.heat_views import heat_typed
from app.rules.records.day import DayRules, Withdrawn
from tests.builders.halls import House, TestClient, a_house
from tests.builders.mixed_day import a_mixed_day

PAGE = {"accept": "text/html"}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=a_mixed_day()) as opened:
        yield opened


def post(desk: TestClient, path: str, status: int, **typed: str) -> str:
    answer = desk.post(path, data=typed, headers=PAGE)
    assert answer.status_code == status, answer.text[:1500]
    return html.unescape(answer.text)


def stands(house: House) -> list[tuple[int, int, str]]:
    """Heat, lane and entry, of every lane."""
    heats = house.app.state.hall.projection.roster.heats
    return sorted((heat.number, lane.lane, lane.entry) for heat in heats for lane in heat.lanes)


def two_heats(house: House, desk: TestClient) -> tuple[Any, Any]:
    post(desk, "/desk/heats", 303, event="for-2", lanes="1", first="10:00", every="10")
    first, second = house.app.state.hall.projection.roster.heats
    assert stands(house) == [(1, 1, "pairs1"), (2, 1, "pairs2")]
    return first, second


def test_who_is_chosen_from_a_waiting_heat_leaves_it_and_comes_back_by_undo(house: House) -> None:
    desk = house.desk()
    _first, second = two_heats(house, desk)
    form = html.unescape(desk.get(f"/desk/heats/{second.id}/lanes", headers=PAGE).text)
    assert "Entry pairs1 (moves from heat 1)" in form
    typed = heat_typed(house.app.state.hall, second.id) | {"lanes": "2", "lane-2-entry": "pairs1", "do": "store"}
    told = post(desk, f"/desk/heats/{second.id}/lanes", 200, **typed)
    assert "Heat 2 is saved. Entry pairs1 moved here from heat 1." in told
    assert stands(house) == [(2, 1, "pairs2"), (2, 2, "pairs1")]
    step = re.search(r'name="step" value="([^"]+)"', told)
    assert step
    post(desk, "/desk/undo", 303, step=step[1])
    assert stands(house) == [(1, 1, "pairs1"), (2, 1, "pairs2")]


def test_who_has_had_a_go_stays_in_that_heat_too(house: House) -> None:
    desk = house.desk()
    first, second = two_heats(house, desk)
    assert desk.post(f"/desk/heats/{first.id}/go", data={"lead": "5"}).status_code < 400
    assert "Entry pairs1 (in heat 1)" in html.unescape(desk.get(f"/desk/heats/{second.id}/lanes", headers=PAGE).text)
    typed = heat_typed(house.app.state.hall, second.id) | {"lanes": "2", "lane-2-entry": "pairs1", "do": "store"}
    post(desk, f"/desk/heats/{second.id}/lanes", 303, **typed)
    assert stands(house) == [(1, 1, "pairs1"), (2, 1, "pairs2"), (2, 2, "pairs1")]
    assert "Entry pairs1 is in 2 heats of" in html.unescape(desk.get("/desk/plan", headers=PAGE).text)


def test_who_was_called_late_in_a_heat_is_not_moved_out_of_it_in_silence(house: House) -> None:
    desk = house.desk()
    first, second = two_heats(house, desk)
    assert desk.post(f"/desk/lanes/{first.lanes[0].id}/call", data={"call": "late"}).status_code == 303
    typed = heat_typed(house.app.state.hall, second.id) | {"lanes": "2", "lane-2-entry": "pairs1", "do": "store"}
    said = post(desk, f"/desk/heats/{second.id}/lanes", 409, **typed)
    assert "There is a ruling on lane 1 of heat 1, so it can't be given to another entry or heat." in said
    assert stands(house) == [(1, 1, "pairs1"), (2, 1, "pairs2")]


def test_nobody_is_taken_out_of_a_heat_that_another_desk_has_started_meanwhile(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = house.desk()
    first, second = two_heats(house, desk)
    typed = heat_typed(house.app.state.hall, second.id) | {"lanes": "2", "lane-2-entry": "pairs1", "do": "store"}
    assert desk.post(f"/desk/heats/{first.id}/go", data={"lead": "5"}).status_code < 400
    # Another desk saw it before the GO.
    monkeypatch.setattr("app.plan.start_list.waiting_heats", lambda hall, _: hall.projection.roster.heats)
    said = post(desk, f"/desk/heats/{second.id}/lanes", 409, **typed)
    assert "Heat 1 has just been started, so nobody is taken out of it. Nothing was changed." in said
    assert stands(house) == [(1, 1, "pairs1"), (2, 1, "pairs2")]


def test_a_rerun_that_was_granted_breaks_no_rule_of_the_plan(house: House) -> None:
    desk = house.desk()
    first, second = two_heats(house, desk)
    assert desk.post(f"/desk/heats/{first.id}/go", data={"lead": "5"}).status_code < 400
    house.clocks.pass_ms(3_600_000)
    post(desk, f"/desk/lanes/{first.lanes[0].id}/again", 303, heat=second.id, why="The rope broke")
    assert [entry for _, _, entry in stands(house)] == ["pairs1", "pairs2", "pairs1"]
    assert "in 2 heats" not in desk.get("/desk/plan", headers=PAGE).text
    form = html.unescape(desk.get(f"/desk/heats/{first.id}/lanes", headers=PAGE).text)
    assert "Entry pairs1 (in heat 2)" in form
    typed = heat_typed(house.app.state.hall, first.id) | {"lane-1-judge": "Jo Ames", "do": "store"}
    post(desk, f"/desk/heats/{first.id}/lanes", 303, **typed)
    assert [entry for _, _, entry in stands(house)] == ["pairs1", "pairs2", "pairs1"], "the rerun is still to come"


def test_who_has_withdrawn_waits_for_no_heat_and_is_given_none(tmp_path: Path) -> None:
    out = DayRules(withdrawn=(Withdrawn(entry="pairs2"),))
    with a_house(tmp_path, file=a_mixed_day().model_copy(update={"day": out})) as house:
        desk = house.desk()
        post(desk, "/desk/heats", 303, event="for-2", lanes="4")
        assert [entry for _, _, entry in stands(house)] == ["pairs1"]
        assert "Entry pairs2" not in desk.get("/desk/heats", headers=PAGE).text
        assert "Without a heat: 2 in Event of 1 and 2 in Event of 3." in desk.get("/desk/setup", headers=PAGE).text
        assert "in no heat" not in desk.get("/desk", headers=PAGE).text
