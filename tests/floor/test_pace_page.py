"""The pace of marks at the ledger's door: hands are never slowed, what no hands make waits on its device and is not lost."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from app.floor import pacing
from app.rules.count import beyond
from app.rules.records.marks import MOST_MARKS
from tests.builders.halls import House, a_mark
from tests.builders.ledger_doors import by_request as post
from tests.floor.test_marks_page import LOAD

LANE_1 = ("asg_1_1", "asg_2_1", "asg_3_1")


@pytest.fixture(autouse=True)
def _at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pacing, "REFUSED_LATE_S", 0)


def batches(sheet: str, first: int, count: int, every_ms: int) -> Iterator[list[dict[str, Any]]]:
    """So many repetitions on a sheet, as requests; `first` is the number of the first."""
    made = [a_mark(first + n, at=every_ms * n, sheet=f"{sheet}/1/lane") for n in range(count)]
    for start in range(0, count, MOST_MARKS):
        yield made[start : start + MOST_MARKS]


def test_a_tablet_that_was_alone_for_an_hour_is_not_slowed(house: House) -> None:
    tablet, place = house.tablet(1), house.app.state.hall.projection.place_of
    heats = [place(lane).format.length_ms for lane in LANE_1]
    seconds, number = 3600, 1
    for lane, length in zip(LANE_1, heats, strict=True):
        counted = 2 * min(seconds, length // 1000)
        seconds -= counted // 2
        for batch in batches(lane, number, counted, every_ms=500):
            assert post(tablet, *batch).status_code == 200
        number += counted
    assert seconds == 0 and len(house.marks()) == 7_200, "two a second, all the time, none under a GO that the desk gave"


def test_what_no_hands_make_waits_and_is_told_when_to_come_again_and_is_not_lost(house: House) -> None:
    tablet, desk = house.tablet(1), house.desk()
    sent, told, stored = list(batches("asg_1_1", 1, 2_000, every_ms=1)), [], 0
    for batch in sent:
        answer = post(tablet, *batch)
        while answer.status_code == 429:
            assert len(house.marks()) == stored, "nothing of it is stored half"
            said = answer.json()
            assert "None is lost" in said["sentence"] and f"{said['retry_s']} second" in said["sentence"]
            assert answer.headers["retry-after"] == str(said["retry_s"]) and said["retry_s"] <= 60
            told.append(said["retry_s"])
            assert "It sends more marks than hands can make" in desk.get("/desk").text
            house.clocks.pass_ms(said["retry_s"] * 1000)
            answer = post(tablet, *batch)
        stored += len(batch)
    assert len(house.marks()) == 2_000
    assert sum(told) > (2_000 - 600 - MOST_MARKS) / 6 - 30, "six a second, but for what may come at once"


FLOODS: dict[str, dict[str, Any]] = {
    "plan": {"kind": "plan", "at": -1_000, "body": {"loads": [LOAD], "by": "lifter"}},
    "strike": {"kind": "strike", "at": 1_000, "body": {"mark": "f" * 32}},
    "nonsense": {"kind": "nonsense"},
}


@pytest.mark.parametrize("kind", FLOODS)
def test_a_flood_that_counts_nothing_or_is_refused_is_slowed_as_well(house: House, kind: str) -> None:
    phone = house.tablet(1, "lifter")
    flood = ([a_mark(MOST_MARKS * n + m) | FLOODS[kind] for m in range(1, MOST_MARKS + 1)] for n in range(8))
    statuses = [post(phone, *marks).status_code for marks in flood]
    assert statuses == [200] * 3 + [429] * 5


def test_the_neighbours_and_the_desk_are_not_slowed_by_it(house: House) -> None:
    tablet = house.tablet(1)
    while post(tablet, *[5] * MOST_MARKS).status_code == 200:
        pass
    assert post(house.tablet(2), a_mark(1, sheet="asg_1_2/1/lane")).status_code == 200
    desk = house.desk()
    assert {post(desk, *batch).status_code for batch in batches("asg_1_1", 1, 3_000, every_ms=1)} == {200}


def test_a_tablet_that_hears_no_answer_and_sends_again_is_not_slowed(house: House) -> None:
    tablet = house.tablet(1)
    (batch,) = batches("asg_1_1", 1, MOST_MARKS, every_ms=0)
    assert {post(tablet, *batch).status_code for _ in range(12)} == {200}
    assert len(house.marks()) == MOST_MARKS


def test_what_lies_beyond_hands_on_a_sheet_is_kept_aside_and_told_to_tablet_and_desk_until_it_is_ruled_on(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beyond, "PER_SECOND", 0)
    monkeypatch.setattr(beyond, "BESIDE", 5)
    tablet, desk, projection = house.tablet(1), house.desk(), house.app.state.hall.projection
    reps = [a_mark(n, at=2_000 * n) for n in range(1, 9)]
    desk.post("/desk/heats/het_1/go", data={"lead": "10"})
    house.clocks.pass_ms(40_000)
    assert post(tablet, *reps[:5]).json()["aside"] == ""
    answer = post(tablet, *reps[3:]).json()
    assert "This sheet got more marks than hands can make" in answer["aside"]
    assert answer["refused"] == [] and len(house.marks()) == 8, "none is lost"
    assert projection.sheet_tally("asg_1_1/1/lane").windows[0].count == 5, "none counts silently"
    assert "3 marks: More than hands can mark" in desk.get("/desk").text
    page = desk.get("/review/lanes/asg_1_1", params={"flag": "asg_1_1:1:too-many:0"}).text
    assert "Let all 3 count" in page
    rulings = [
        {"kind": "admit", "assignment": "asg_1_1", "event": "evt_turns", "body": {"marks": [one["id"] for one in reps[5:]]}}
    ]
    sent = {"option": json.dumps(rulings), "by": "Wren Alder", "why": "Two tablets' worth, counted on film."}
    assert desk.post("/review/lanes/asg_1_1/rule", data=sent).status_code == 303
    assert projection.sheet_tally("asg_1_1/1/lane").windows[0].count == 8
    assert post(tablet, a_mark(9, sheet="asg_2_1/1/lane")).json()["aside"] == "", "of this sheet it says nothing more"
