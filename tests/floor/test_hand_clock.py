"""A clock started by hand: what the desk says of it, and the head judge's ruling that moves it and takes that back."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from app.floor import timing
from app.floor.floor import day
from app.floor.judging import record_marks
from app.floor.lane_packet import lane_packet
from app.hall import hand_clock
from app.hall.forms import BadForm
from app.hall.hand_clock import HandClock
from app.live.presence import Who
from app.rules.records.rulings import Ruling
from app.store.kinds import RULINGS
from app.store.refusals import NotThere
from tests.builders.halls import House, a_house, a_mark

LANE, JUDGE = "asg_1_1", Who("tab", "lane", 1)
RULED = {"why": "Heard the whistle late", "by": "Io Lund"}


class Floor:
    """Heat 1 with its first lane judged by a clock started by hand, 1.4 s after GO."""

    def __init__(self, house: House) -> None:
        self.house, self.hall = house, house.app.state.hall
        self.call(timing.go, self.hall, "het_1", {"lead": "5"})
        house.clocks.pass_ms(65_000)

    def call(self, what: Any, *args: Any) -> Any:
        assert self.house.inside.portal is not None
        return self.house.inside.portal.call(partial(what, *args))

    def mark(self, *marks: dict[str, Any]) -> None:
        assert self.call(record_marks, self.hall, JUDGE, marks).refused == ()

    def start_by_hand(self) -> None:
        """A repetition at 0:01 and one at 2:59 of the hand clock; the next is by the desk's clock."""
        hand = [a_mark(1, at=1_000, body={"hand": True}), a_mark(2, at=179_000, body={"hand": True})]
        self.mark(*hand, a_mark(3, at=40_000))

    def reconcile(self) -> None:
        self.mark(
            a_mark(4, kind="note", at=40_500, win=None, body={"text": "Hand start: 1.40 s after the desk's GO.", "late": 1400})
        )

    def shift(self, seconds: str, **more: str) -> Ruling:
        self.house.clocks.pass_ms(1000)
        made: Ruling = self.call(hand_clock.shift, self.hall, more.pop("lane", LANE), {"seconds": seconds, **RULED, **more})
        return made

    def row(self) -> HandClock | None:
        view = day(self.hall, "het_1")
        assert view is not None and view.heat is not None
        return view.heat.lanes[0].hand

    def times(self) -> list[int]:
        tally = self.hall.projection.sheet_tally(f"{LANE}/1/lane")
        return [at for window in tally.windows for at, _, _ in window.reps]


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[Floor]:
    with a_house(tmp_path) as house:
        yield Floor(house)


def test_a_lane_by_the_desks_clock_has_nothing_to_shift(floor: Floor) -> None:
    floor.mark(a_mark(1))
    assert floor.row() is None


def test_the_desk_says_that_a_clock_was_started_by_hand_and_how_far_off_as_soon_as_that_is_known(floor: Floor) -> None:
    floor.start_by_hand()
    assert floor.row() == HandClock(LANE, "Started by hand on the whistle; how far from GO is not known yet.", "0", "", "")
    floor.reconcile()
    assert floor.row() == HandClock(LANE, "Started by hand 1.40 s after GO.", "1.4", "", "")


def test_a_shift_moves_the_hand_clocks_marks_and_no_other(floor: Floor) -> None:
    floor.start_by_hand()
    floor.shift("1.4")
    assert floor.times() == [2_400, 40_000, 180_400]
    row = floor.row()
    assert row is not None
    assert (row.seconds, row.moved) == ("1.4", "Io Lund moved its marks 1.4 s later: Heard the whistle late")
    assert floor.hall.database.read(RULINGS.all) == floor.hall.projection.rulings


def test_a_shift_can_push_work_out_of_its_window_and_another_brings_it_back(floor: Floor) -> None:
    floor.start_by_hand()
    for seconds, counted in (("3", 2), ("-3", 2), ("-0.5", 3), ("3", 2), ("0", 3)):
        floor.shift(seconds)
        tally = floor.hall.projection.sheet_tally(f"{LANE}/1/lane")
        assert tally.windows[0].count == counted, seconds
    row = floor.row()
    assert row is not None and row.moved == "Io Lund took the shift back: Heard the whistle late"
    assert len(floor.hall.projection.rulings) == 5, "each is a record"


def test_the_newest_shift_holds_even_when_somebody_set_the_wall_clock_back(floor: Floor) -> None:
    floor.start_by_hand()
    floor.shift("3")
    floor.house.clocks.wall -= 3_600_000
    floor.shift("1.4")
    assert floor.times()[0] == 2_400


def test_the_lanes_tablet_is_told_of_the_shift(floor: Floor) -> None:
    floor.start_by_hand()
    floor.shift("−1,4")  # as some keyboards write it
    packet = floor.call(lane_packet, floor.hall, JUDGE, 1)
    assert packet["heats"][0]["assignment"]["shifts"] == {"1": -1400}
    floor.shift("0")
    packet = floor.call(lane_packet, floor.hall, JUDGE, 1)
    assert packet["heats"][0]["assignment"]["shifts"] == {}


@pytest.mark.parametrize("seconds", ["", "soon", "1:30", "4000", "nan", "inf", "1e9"])
def test_a_shift_that_is_no_number_of_seconds_is_refused(floor: Floor, seconds: str) -> None:
    with pytest.raises(BadForm, match="a number of seconds such as"):
        floor.shift(seconds)
    assert floor.hall.projection.rulings == ()


@pytest.mark.parametrize(("field", "sentence"), [("by", "The head judge's name is missing"), ("why", "The reason is missing")])
def test_a_shift_says_who_decided_it_and_why(floor: Floor, field: str, sentence: str) -> None:
    with pytest.raises(BadForm, match=sentence):
        floor.shift("1.4", **{field: " "})


def test_a_lane_that_is_not_there_is_not_shifted(floor: Floor) -> None:
    with pytest.raises(NotThere, match="no such lane"):
        floor.shift("1.4", lane="asg_9_9")
