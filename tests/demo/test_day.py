"""The demo's day as it is when somebody starts it: everything that the pages have to show is there, and legal."""

from typing import Any

import pytest

from app.demo.cast import BAR, CLUBS, DIVISIONS, GO_ON, LANES, LIST, RELAY, TEAMS, demo_file
from app.demo.judges import with_judges
from app.hall.heats import newest_runs, state_of
from app.live.projection import Projection
from app.review.flags import open_flags
from app.rules.count.tally import Tally
from app.rules.records.in_force import signed_off
from app.rules.records.marks import sheet_key
from app.rules.records.moves import HeatState
from app.rules.records.roster import Heat, Roster
from app.rules.result.protests import decisions
from tests.builders.halls import House

PAGE = {"accept": "text/html"}


@pytest.fixture(scope="module")
def hall(demo: House) -> Any:
    return demo.app.state.hall


@pytest.fixture(scope="module")
def roster(hall: Any) -> Roster:
    found: Roster = hall.projection.roster
    return found


def states(hall: Any, event: str) -> list[HeatState]:
    runs = newest_runs(hall.projection.runs)
    roster = hall.projection.roster
    return [state_of(hall, roster, heat, runs.get(heat.id)) for heat in roster.heats if heat.event == event]


def test_one_event_is_signed_off_one_is_under_way_and_one_is_to_come(hall: Any) -> None:
    assert signed_off(hall.projection.rulings, LIST) and set(states(hall, LIST)) == {HeatState.OVER}
    assert states(hall, BAR) == [HeatState.OVER, HeatState.OVER, HeatState.RUNNING]
    assert states(hall, RELAY) == [HeatState.PLANNED] * 3


def test_names_are_short_and_long_and_in_several_scripts() -> None:
    names = [team.name for teams in TEAMS for team in teams]
    assert len(names) == len(set(names)) and 20 <= len(names) <= 30 and len(CLUBS) >= 4
    assert min(map(len, names)) <= 3 and max(map(len, names)) >= 40
    scripts = {
        block
        for name in names
        for block in (0x400, 0x370, 0x600, 0x3040, 0x4E00)
        if any(block <= ord(c) < block + 0x100 for c in name)
    }
    assert len(scripts) >= 4


def test_every_lane_has_a_judge_of_another_club_who_stands_nowhere_else(roster: Roster) -> None:
    judges = {judge.id: judge for judge in roster.judges}
    clubs = {athlete.id: athlete.club for athlete in roster.athletes}
    members = {entry.id: entry.members for entry in roster.entries}
    for heat in roster.heats:
        own = [judges[lane.judge_id or ""] for lane in heat.lanes]
        assert len({judge.id for judge in own}) == len(heat.lanes) == LANES
        for judge, lane in zip(own, heat.lanes, strict=True):
            assert judge.club is None or judge.club not in {clubs[member] for member in members[lane.entry]}


def test_the_best_of_each_division_after_the_list_go_on_and_nobody_else(hall: Any, roster: Roster) -> None:
    for event in (BAR, RELAY):
        assert {heat.event for heat in roster.heats if heat.event == event and len(heat.lanes) == GO_ON} == {event}
        on_lanes = {lane.entry for heat in roster.heats if heat.event == event for lane in heat.lanes}
        for table in hall.projection.event_results(LIST).tables:
            places = {row.entry.id: row.place for row in table.rows}
            assert {key for key in on_lanes if key in places} == {
                key for key, place in places.items() if place and place <= GO_ON
            }


def test_two_who_end_in_the_same_second_are_parted_by_what_they_had_done_at_the_stated_moment(hall: Any) -> None:
    rows = [row for table in hall.projection.event_results(LIST).tables for row in table.rows if row.score is not None]
    finished = [row for row in rows if row.score.left is None]
    equal = [(one, two) for one in finished for two in finished if one.place < two.place and same_second(one, two)]
    assert equal and all(one.place != two.place for one, two in equal)


def same_second(one: Any, two: Any) -> bool:
    return bool(one.entry.division == two.entry.division and one.score.value == two.score.value)


def test_a_protest_is_open_one_is_answered_a_ruling_stands_and_something_waits_for_the_head_judge(
    hall: Any, roster: Roster
) -> None:
    decided = decisions(hall.projection.rulings)
    assert [protest.event for protest in roster.protests if protest.id in decided] == [LIST]
    assert [protest.event for protest in roster.protests if protest.id not in decided] == [BAR]
    assert any(ruling.kind == "reps" for ruling in hall.projection.standing_rulings)
    assert any(ruling.kind == "flag" for ruling in hall.projection.standing_rulings)
    assert {hall.projection.place_of(flag.assignment).event.id for flag in open_flags(hall)} == {BAR}


def test_a_paper_a_shadow_and_the_other_lights_are_there(hall: Any) -> None:
    kinds = {sheet_key(mark.sheet).kind for mark in hall.ledger.all_marks()}
    assert {"lane", "paper", "shadow", "second", "third"} <= kinds


def test_what_was_marked_is_not_odd(hall: Any, roster: Roster) -> None:
    """Nothing simulated is flagged but two marks after a bell, which were ruled on, and a bar that left its rack too late."""
    odd = {
        heat.id: [flag.why for lane in heat.lanes for flag in flags_of(hall.projection, heat, lane.id)] for heat in roster.heats
    }
    assert odd["het_stairs_1"] == ["outside", "outside"] and "begun-late" in odd["het_bar_1"]
    assert not any(odd[heat] for heat in odd if heat not in ("het_stairs_1", "het_bar_1"))


def flags_of(projection: Projection, heat: Heat, assignment: str) -> tuple[Any, ...]:
    tally: Tally | None = projection.counting_tally(assignment)
    return () if tally is None else tuple(flag for flag in tally.flags if not flag.why.startswith("judges-"))


def test_a_file_of_it_reads_back_before_anything_was_judged() -> None:
    whole = with_judges(demo_file(("10:00", "10:30", "11:00", "11:30")))
    assert whole.model_validate(whole.model_dump()) == whole
    assert [division.id for division in whole.divisions] == [key for key, _ in DIVISIONS]
