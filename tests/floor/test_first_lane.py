"""Whose first lane of the day it is."""

from hypothesis import given
from hypothesis import strategies as st

from app.floor.first_lane import judged_before, judged_today
from app.rules.records.document import Run
from app.rules.records.roster import Assignment, Heat

NOON = 1_700_000_000_000
DAY_MS = 86_400_000


def a_heat(number: int, *judges: str) -> Heat:
    lanes = tuple(
        Assignment(id=f"asg_{number}_{lane}", lane=lane, entry=f"ent_{lane}", judge=judge) for lane, judge in enumerate(judges, 1)
    )
    return Heat(id=f"heat_{number}", event="evt", number=number, lanes=lanes)


def a_run(number: int, go_wall_ms: int = NOON, state: str = "set") -> Run:
    told = {"heat": f"heat_{number}", "number": 1, "go_server_ms": 0, "go_wall_ms": go_wall_ms, "state": state}
    return Run.model_validate(told)


HEATS = (a_heat(1, "Imre", "", "Joss"), a_heat(2, "Joss", "Imre", ""))


@given(lane=st.sampled_from(["Imre", "Joss", "Kim"]), state=st.sampled_from(["set", "closed", "stopped"]), days=st.integers(0, 3))
def test_a_judge_is_met_once_a_heat_of_theirs_had_its_go_today(lane: str, state: str, days: int) -> None:
    judged = judged_today(HEATS, [a_run(1, NOON - days * DAY_MS, state)], NOON)
    met = lane in ("Imre", "Joss") and state != "stopped" and days == 0
    assert judged_before(judged, lane, "heat_2") == met
    assert not judged_before(judged, lane, "heat_1"), "the heat itself is no other"


def test_of_a_lane_whose_judge_has_no_name_nobody_knows() -> None:
    assert not judged_before(judged_today(HEATS, [a_run(1)], NOON), "", "heat_2")
