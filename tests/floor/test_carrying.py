"""A GO that was given before the laptop was changed or started anew: tablets know better than its wall clock, a person best."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from app.floor import timing
from app.floor.lane_packet import lane_packet
from app.hall.devices import Who
from app.rules.records.holding import Hold
from app.rules.records.moves import IllegalMove
from tests.builders.halls import Clocks, House, a_house, a_mark, sent

HEAT, SHEET = "het_1", "asg_1_1/1/lane"
RUN = f"{HEAT}/1"
LATE = Who("dev_late", "lane", 2)  # who joins later, and knows what the desk tells
PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}
SOCKET = "ws://localhost/lane/socket"


def moved(house: House, action: Any, **typed: str) -> Any:
    return house.inside.portal.call(partial(action, house.app.state.hall, HEAT, typed))  # type: ignore[union-attr]


def since_go(house: House, lane: int = 2) -> int:
    """What a tablet that joins now takes the heat clock for, its holds aside."""
    run = lane_packet(house.app.state.hall, LATE, lane)["heats"][0]["run"]
    return int(house.clocks.server - run["go_server_ms"])


def bound(house: House) -> int | None:
    run = lane_packet(house.app.state.hall, LATE, 2)["heats"][0]["run"]
    return run.get("bound_ms", 0)  # type: ignore[no-any-return]


def say_go(house: House, lane: int, elapsed: int, bound_ms: int = 40, role: str = "lane") -> None:
    """A tablet of a lane says where GO is by the clock that it kept; waits until that is heard."""
    screen = "lane" if role == "lane" else "call"
    said = {"type": "report", "screen": screen, "go_of": RUN, "go_ms": house.clocks.server - elapsed, "go_bound_ms": bound_ms}
    with house.tablet(lane, role).websocket_connect(SOCKET) as line:
        line.send_text(json.dumps(said))
        line.send_text(json.dumps({"type": "ping", "t1": 1.0}))
        while json.loads(line.receive_text())["type"] != "pong":
            pass


def on_the_wall(house: House) -> list[str]:
    """What the hall's clock and the board say of GO."""
    heat, board = house.browser().get("/clock/now").json()["heat"], house.browser().get("/board").text
    said = [heat["bound_ms"] is None, ' data-bound=""' in board]
    return ["unsure" if one else "sure" for one in said]


@pytest.fixture
def changed(tmp_path: Path) -> Callable[..., Any]:
    """Opens the hall on another laptop, a minute after GO, whose wall clock is off by so much."""

    @contextmanager
    def opened(off_ms: int, before: Callable[[House], Any] = lambda house: None) -> Iterator[House]:
        with a_house(tmp_path) as house:
            moved(house, timing.go, lead="5")
            house.clocks.pass_ms(65_000)
            before(house)
            wall = house.clocks.wall
        with a_house(tmp_path, competition=False, clocks=Clocks(77, wall + off_ms, "boot-two")) as again:
            yield again

    return opened


def test_go_is_carried_over_once_and_whoever_sets_the_wall_clock_later_moves_nothing(
    changed: Callable[..., Any], tmp_path: Path
) -> None:
    with changed(0) as house:
        assert (since_go(house), bound(house)) == (60_000, None), "nobody knows whether the wall clock was set"
        house.clocks.wall += 3_600_000
        assert since_go(house) == 60_000
        house.clocks.pass_ms(5_000)
        clocks = house.clocks
    with a_house(tmp_path, competition=False, clocks=clocks) as again:
        assert (since_go(again), bound(again)) == (65_000, None), "nor does a restart of the server carry it over anew"


@pytest.mark.parametrize("off", [-7001, 6999, -3_600_000])
def test_tablets_that_kept_the_time_outvote_the_wall_clock_for_those_who_join_later(
    changed: Callable[..., Any], tmp_path: Path, off: int
) -> None:
    with changed(off) as house:
        assert on_the_wall(house) == ["unsure"] * 2, "the hall is told that its clocks may be wrong"
        say_go(house, 1, 60_010)
        assert (since_go(house), bound(house)) == (60_010, 40)
        assert on_the_wall(house) == ["sure"] * 2
        say_go(house, 1, 60_010)
        say_go(house, 2, 59_990)
        assert abs(since_go(house) - 60_000) <= 40, "what both allow"
        clocks = house.clocks
    with a_house(tmp_path, competition=False, clocks=clocks) as again:
        assert abs(since_go(again) - 60_000) <= 40


def test_one_tablet_among_three_that_is_wrong_moves_nothing_and_a_lifters_phone_is_not_asked(changed: Callable[..., Any]) -> None:
    with changed(5000) as house:
        say_go(house, 3, 20_000, role="lifter")
        assert bound(house) is None
        for lane, elapsed in ((1, 60_010), (2, 59_990), (3, 48_000)):
            say_go(house, lane, elapsed)
        assert abs(since_go(house) - 60_000) <= 40


def test_where_two_tablets_disagree_the_bound_holds_both(changed: Callable[..., Any]) -> None:
    with changed(0) as house:
        say_go(house, 1, 60_000)
        say_go(house, 2, 50_000)
        assert abs(since_go(house) - 60_000) <= (bound(house) or 0) >= abs(since_go(house) - 50_000)


def test_repetitions_before_a_hold_count_though_the_hold_was_timed_from_a_wrong_go(changed: Callable[..., Any]) -> None:
    with changed(-7001) as house:
        tablet = house.tablet(1)
        reps = [a_mark(seq, SHEET, at=60_000 + 250 * seq, device="tab", win=0) for seq in range(1, 31)]
        assert tablet.post("/marks", content=sent(*reps), headers=JSON).json()["refused"] == []
        house.clocks.pass_ms(8_000)
        moved(house, timing.hold)
        tally = house.app.state.hall.projection.sheet_tally
        assert sum(window.count for window in tally(SHEET).windows) < 30
        say_go(house, 1, 68_000)
        assert house.app.state.hall.projection.run_of(HEAT, 1).holds == (Hold(at_ms=68_000),)
        assert sum(window.count for window in tally(SHEET).windows) == 30
        house.clocks.pass_ms(20_000)
        assert moved(house, timing.go_on, lead="5").holds == (Hold(at_ms=68_000, for_ms=25_000),)


def test_a_hold_from_before_ends_when_it_was_said_to_end(changed: Callable[..., Any]) -> None:
    with changed(6_000, lambda house: moved(house, timing.hold)) as house:
        moved(house, timing.go_on, lead="5")
        house.clocks.pass_ms(3_000)
        say_go(house, 2, 63_000)
        assert house.app.state.hall.projection.run_of(HEAT, 1).holds == (Hold(at_ms=60_000, for_ms=5_000),)


def test_go_lies_no_later_than_what_the_desk_had_seen_of_the_heat(changed: Callable[..., Any]) -> None:
    def mark(house: House) -> None:
        answer = house.tablet(1).post("/marks", content=sent(a_mark(1, SHEET, at=59_000)), headers=JSON)
        assert answer.json()["refused"] == []

    with changed(-24 * 3_600_000, mark) as house:
        assert since_go(house) == 60_000, "a laptop that thinks it is yesterday knows at least of that mark"


def test_the_desk_is_told_in_words_and_what_it_decides_stands(changed: Callable[..., Any]) -> None:
    with changed(-7001) as house:
        desk = house.desk()
        assert "the heat clock here may be off by any amount" in desk.get("/desk").text
        say_go(house, 1, 60_000)
        told = desk.get("/desk").text
        assert "GO is set to what the tablets that kept its time say, to within 40 ms" in told
        assert "it would be 7 s later" in told
        answer = desk.post(f"/desk/heats/{HEAT}/clock", data={"seconds": "a lot"})
        assert answer.status_code == 422
        assert desk.post(f"/desk/heats/{HEAT}/clock", data={"seconds": "1,5"}, headers=PAGE).status_code == 303
        assert (since_go(house), bound(house)) == (61_500, 1000)
        say_go(house, 2, 60_000)
        assert since_go(house) == 61_500
        assert 'id="carried"' not in desk.get("/desk").text


def test_where_go_was_given_on_this_computer_there_is_nothing_to_decide(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        moved(house, timing.go, lead="5")
        assert bound(house) == 0
        assert house.desk().post(f"/desk/heats/{HEAT}/clock", data={"seconds": "3"}).status_code == 404
        say_go(house, 1, 60_000)
        assert since_go(house) == -5_000
        with pytest.raises(IllegalMove):
            moved(house, timing.hold)
