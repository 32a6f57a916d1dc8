"""A heat's GO, abort, restart and close: what is legal, what is stored, and who is told."""

import asyncio
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from app.floor import timing
from app.floor.floor import day
from app.floor.lane_packet import lane_packet
from app.hall.devices import Who
from app.hall.forms import BadForm
from app.hall.views import Day, HeatAtHand
from app.rules.records.document import Run
from app.rules.records.holding import MOST_HOLDS, Hold
from app.rules.records.moves import IllegalMove
from app.store.heats import put_heat
from app.store.kinds import RUNS
from app.store.refusals import NotThere
from tests.builders.halls import Clocks, House, a_house

HEAT, NEXT = "het_1", "het_2"


class Desk:
    """Somebody at the desk, with the clocks in hand."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.hall = house.app.state.hall

    def do(self, action: Any, heat: str = HEAT, **typed: str) -> Run:
        assert self.house.inside.portal is not None
        made: Run = self.house.inside.portal.call(partial(action, self.hall, heat, typed))
        return made

    def wait(self, seconds: float) -> None:
        self.house.clocks.pass_ms(int(seconds * 1000))

    def runs(self, heat: str = HEAT) -> list[Run]:
        stored = self.hall.database.read(RUNS.all)
        assert stored == self.hall.projection.runs
        return [run for run in stored if run.heat == heat]

    def day(self, wanted: str = "") -> Day:
        view = day(self.hall, wanted)
        assert view is not None
        return view

    def at_hand(self, wanted: str = HEAT) -> HeatAtHand:
        heat = self.day(wanted).heat
        assert heat is not None
        return heat


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with a_house(tmp_path) as house:
        yield Desk(house)


def test_go_lies_as_far_ahead_as_asked_on_both_timelines(desk: Desk) -> None:
    run = desk.do(timing.go, lead="5")
    clocks = desk.house.clocks
    assert (run.number, run.go_server_ms, run.go_wall_ms) == (1, clocks.server + 5000, clocks.wall + 5000)
    assert (run.boot, run.state) == ("boot-one", "set")
    assert desk.runs() == [run]


def test_without_a_number_the_usual_countdown_is_taken(desk: Desk) -> None:
    assert desk.do(timing.go).go_server_ms == desk.house.clocks.server + timing.LEAD_S * 1000


@pytest.mark.parametrize("lead", ["2", "61", "-5", "soon", "5.5", "9" * 30])
def test_a_countdown_out_of_bounds_is_refused(desk: Desk, lead: str) -> None:
    with pytest.raises(BadForm, match="countdown in seconds is a whole number from 3 to 60"):
        desk.do(timing.go, lead=lead)
    assert desk.runs() == []


def test_an_unknown_heat_is_not_there(desk: Desk) -> None:
    with pytest.raises(NotThere):
        desk.do(timing.go, heat="heat_99")


def test_the_state_follows_the_clock_from_set_to_over(desk: Desk) -> None:
    assert desk.at_hand().state_name == "planned"
    desk.do(timing.go, lead="5")
    assert desk.at_hand().state_name == "set"
    desk.wait(5)
    assert desk.at_hand().state_name == "running"
    desk.wait(desk.at_hand().length_ms / 1000)
    assert desk.at_hand().state_name == "over"


def test_what_is_not_legal_now_is_refused_and_nothing_happens(desk: Desk) -> None:
    for action in (timing.abort, timing.restart, timing.close):
        with pytest.raises(IllegalMove, match="not started"):
            desk.do(action)
    desk.do(timing.go, lead="5")
    with pytest.raises(IllegalMove, match="already counting down"):
        desk.do(timing.go)
    with pytest.raises(IllegalMove, match="has not started"):
        desk.do(timing.close)
    desk.wait(10)
    with pytest.raises(IllegalMove, match="is running"):
        desk.do(timing.go)
    assert len(desk.runs()) == 1


def test_an_abort_keeps_its_reason_and_the_next_go_is_a_new_run(desk: Desk) -> None:
    desk.do(timing.go)
    assert desk.do(timing.abort, why=" The music stopped ").why == "The music stopped"
    assert desk.at_hand().state_name == "stopped"
    desk.do(timing.go)
    assert [(run.number, run.state) for run in desk.runs()] == [(1, "stopped"), (2, "set")]


def test_a_restart_stops_the_old_run_and_sets_a_new_one_in_one_step(desk: Desk) -> None:
    desk.do(timing.go)
    desk.wait(60)
    run = desk.do(timing.restart, why="Lane 2 had no bar", lead="10")
    assert [(r.number, r.state, r.why) for r in desk.runs()] == [(1, "stopped", "Lane 2 had no bar"), (2, "set", "")]
    assert run.go_server_ms == desk.house.clocks.server + 10_000
    assert desk.hall.projection.counting_sheet("asg_1_1") == "asg_1_1/2/lane"


def test_a_heat_that_is_over_can_be_run_again(desk: Desk) -> None:
    desk.do(timing.go)
    desk.wait(7200)
    with pytest.raises(IllegalMove, match="This heat is over"):
        desk.do(timing.abort)
    assert desk.do(timing.restart).number == 2


def test_a_closed_heat_is_over_and_its_run_still_counts(desk: Desk) -> None:
    desk.do(timing.go)
    desk.wait(30)
    desk.do(timing.close)
    assert desk.at_hand().state_name == "over"
    assert desk.hall.projection.counting_sheet("asg_1_1") == "asg_1_1/1/lane"


def test_two_heats_cant_share_the_floor(desk: Desk) -> None:
    desk.do(timing.go)
    desk.wait(30)
    with pytest.raises(IllegalMove, match=r"Turn about, heat 1, is on the floor on the same lanes"):
        desk.do(timing.go, heat=NEXT)
    desk.do(timing.close)
    assert desk.do(timing.go, heat=NEXT).number == 1


def test_a_heat_with_empty_lanes_gets_no_go(desk: Desk) -> None:
    heat = next(one for one in desk.hall.projection.roster.heats if one.id == HEAT)
    desk.hall.database.write(lambda session: put_heat(session, heat.model_copy(update={"lanes": ()})))
    with pytest.raises(IllegalMove, match="Nobody is on the lanes"):
        desk.do(timing.go)


def test_two_desks_that_press_go_together_make_one_run(desk: Desk) -> None:
    async def both() -> list[object]:
        presses = [timing.go(desk.hall, HEAT, {}) for _ in range(8)]
        return await asyncio.gather(*presses, return_exceptions=True)

    assert desk.house.inside.portal is not None
    answers = desk.house.inside.portal.call(both)
    assert sum(isinstance(answer, Run) for answer in answers) == 1
    assert sum(isinstance(answer, IllegalMove) for answer in answers) == 7
    assert len(desk.runs()) == 1


def test_the_heats_lanes_and_the_desk_are_told_and_no_other_lane(desk: Desk) -> None:
    async def told() -> tuple[list[Any], Any]:
        hub = desk.hall.hub
        with hub.subscribe("lane:2") as lane, hub.subscribe("desk") as at_desk, hub.subscribe("lane:9") as elsewhere:
            await timing.go(desk.hall, HEAT, {"lead": "5"})
            await timing.restart(desk.hall, HEAT, {"lead": "5"})
            lanes = [await lane.next(1) for _ in range(2)]
            await at_desk.next(1)
            try:
                return lanes, await elsewhere.next(0.05)
            except TimeoutError:
                return lanes, None

    assert desk.house.inside.portal is not None
    lanes, elsewhere = desk.house.inside.portal.call(told)
    go = desk.house.clocks.server + 5000
    told = {"boot": desk.hall.time.boot, "number": 0, "at": desk.hall.time.fine_ms()}
    assert lanes[0] == {"type": "run", "heat": HEAT, "told": told, "number": 1, "go_server_ms": go, "state": "set", "holds": []}
    assert [(message["number"], message["state"]) for message in lanes] == [(1, "set"), (2, "set")]
    assert elsewhere is None


def test_a_run_outlives_a_restart_of_the_server_and_a_reboot(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        desk = Desk(house)
        desk.do(timing.go, lead="5")
        desk.wait(65)
        clocks = Clocks(77, house.clocks.wall, "boot-two")  # as after a reboot: another timeline, the wall goes on
    with a_house(tmp_path, competition=False, clocks=clocks) as again:
        heat = Desk(again).at_hand()
        assert heat.state_name == "running"
        assert heat.go_ms == 77 - 60_000


def test_a_held_heat_stands_until_it_goes_on_and_then_from_where_it_stood(desk: Desk) -> None:
    desk.do(timing.go, lead="5")
    desk.wait(65)
    assert desk.do(timing.hold).holds == (Hold(at_ms=60_000),)
    desk.wait(600)
    assert (desk.at_hand().state_name, desk.at_hand().state.words) == ("held", "Held")
    run = desk.do(timing.go_on, lead="5")
    assert run.holds == (Hold(at_ms=60_000, for_ms=605_000),)
    assert desk.at_hand().state_name == "going-on"
    desk.wait(5)
    assert desk.at_hand().state_name == "running"
    desk.wait(desk.at_hand().length_ms / 1000 - 60.001)
    assert desk.at_hand().state_name == "running", "the last bell comes as much later as the heat was held"
    desk.wait(0.001)
    assert desk.at_hand().state_name == "over"


def test_a_hold_in_the_countdown_to_going_on_takes_it_back(desk: Desk) -> None:
    desk.do(timing.go, lead="5")
    desk.wait(65)
    desk.do(timing.hold)
    desk.wait(10)
    desk.do(timing.go_on, lead="8")
    desk.wait(3)
    assert desk.do(timing.hold).holds == (Hold(at_ms=60_000),)
    desk.wait(30)
    assert desk.do(timing.go_on, lead="5").holds == (Hold(at_ms=60_000, for_ms=48_000),)


def test_a_heat_can_be_held_again_and_again_up_to_a_bound(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    most = 5
    assert most < MOST_HOLDS
    monkeypatch.setattr(timing, "MOST_HOLDS", most)
    desk.do(timing.go, lead="3")
    desk.wait(4)
    for _ in range(most):
        desk.do(timing.hold)
        desk.do(timing.go_on, lead="3")
        desk.wait(4)
    assert len(desk.runs()[0].holds) == most
    with pytest.raises(IllegalMove, match="can be held at most 5 times"):
        desk.do(timing.hold)


def test_only_a_running_heat_is_held_and_only_a_held_one_goes_on(desk: Desk) -> None:
    with pytest.raises(IllegalMove, match="nothing to hold"):
        desk.do(timing.hold)
    desk.do(timing.go, lead="5")
    with pytest.raises(IllegalMove, match="not started yet"):
        desk.do(timing.hold)
    desk.wait(6)
    with pytest.raises(IllegalMove, match="it is running"):
        desk.do(timing.go_on)
    desk.do(timing.hold)
    with pytest.raises(IllegalMove, match="held already"):
        desk.do(timing.hold)
    with pytest.raises(IllegalMove, match="on the floor on the same lanes"):
        desk.do(timing.go, heat=NEXT)
    with pytest.raises(BadForm, match="countdown in seconds"):
        desk.do(timing.go_on, lead="1")


@pytest.mark.parametrize(("action", "state"), [(timing.abort, "stopped"), (timing.close, "closed")])
def test_a_held_heat_can_be_ended(desk: Desk, action: Any, state: str) -> None:
    desk.do(timing.go, lead="5")
    desk.wait(65)
    desk.do(timing.hold)
    run = desk.do(action, why="Fire alarm")
    assert (run.state, run.holds) == (state, (Hold(at_ms=60_000),))


def test_what_is_told_over_the_line_and_in_the_packet_carries_when_it_was_so(desk: Desk) -> None:
    async def told() -> list[Any]:
        with desk.hall.hub.subscribe("lane:2") as lane:
            await timing.go(desk.hall, HEAT, {"lead": "5"})
            packet = lane_packet(desk.hall, Who("dev_1", "lane", 2), 2)
            desk.wait(15)
            await timing.hold(desk.hall, HEAT, {})
            return [(await lane.next(1))["told"], packet["told"], (await lane.next(1))["told"]]

    assert desk.house.inside.portal is not None
    went, packet, held = desk.house.inside.portal.call(told)
    assert went == packet, "nothing happened in between"
    assert held["boot"] == packet["boot"] and held["at"] - packet["at"] == 15_000


def test_a_hold_is_told_to_the_heats_lanes(desk: Desk) -> None:
    async def told() -> Any:
        with desk.hall.hub.subscribe("lane:2") as lane:
            await timing.hold(desk.hall, HEAT, {})
            return await lane.next(1)

    desk.do(timing.go, lead="5")
    desk.wait(15)
    assert desk.house.inside.portal is not None
    assert desk.house.inside.portal.call(told)["holds"] == [{"at_ms": 10_000, "for_ms": None}]


def test_a_hold_outlives_a_restart_of_the_server(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        desk = Desk(house)
        desk.do(timing.go, lead="5")
        desk.wait(65)
        desk.do(timing.hold)
        desk.wait(30)
        clocks = house.clocks
    with a_house(tmp_path, competition=False) as again:
        again.clocks.server, again.clocks.wall = clocks.server, clocks.wall
        desk = Desk(again)
        assert desk.at_hand().state_name == "held"
        assert desk.do(timing.go_on, lead="5").holds == (Hold(at_ms=60_000, for_ms=35_000),)


@pytest.mark.parametrize("hours", [-1, 1])
def test_a_step_of_the_laptops_wall_clock_moves_neither_a_running_heat_nor_a_held_one(desk: Desk, hours: int) -> None:
    desk.do(timing.go, lead="5")
    desk.wait(35)
    go_ms = desk.at_hand().go_ms
    desk.house.clocks.wall += hours * 3_600_000
    assert (desk.at_hand().state_name, desk.at_hand().go_ms) == ("running", go_ms)
    assert desk.do(timing.hold).holds == (Hold(at_ms=30_000),)
    desk.house.clocks.wall += hours * 3_600_000
    desk.wait(10)
    assert desk.do(timing.go_on, lead="5").holds == (Hold(at_ms=30_000, for_ms=15_000),)
