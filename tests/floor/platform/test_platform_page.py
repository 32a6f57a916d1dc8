"""A platform's devices at the doors: one pairing for a seat serves all lanes that share the bar, and no lane beside them."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from app.rules.records.document import CompetitionFile
from app.rules.records.platforms import platform_at, platforms
from app.rules.records.roster import Heat
from app.rules.records.seats import AT_PLATFORMS
from app.watch.board import board
from tests.builders.halls import House, TestClient, a_house, a_mark
from tests.builders.ledger_doors import both_ways
from tests.builders.platforms import lifter, two_platforms

LIFTERS = 12
LOAD = {"amount": "100", "unit": "kg"}
SAYS: dict[str, dict[str, Any]] = {
    "declare": {"load": LOAD, "by": "desk"},
    "called": {},
    "loaded": {"load": LOAD, "by": "loader"},
    "begun": {},
    "lift": {"load": LOAD, "good": True},
    "rep": {},
}
# What each seat's mark is kept as in a receipt: a file says no more of a platform than of its lanes.
FOR_EACH_SEAT = (
    *(("marshal", "declare", "lane"), ("loaders", "loaded", "lane")),
    *(("centre", "lift", "lane"), ("left", "lift", "second"), ("right", "lift", "third")),
)
KEPT_AS = {"centre": "lane", "left": "second", "right": "third", "marshal": "desk", "loaders": "lifter"}


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("platform"), file=two_platforms(6)) as house:
        house.desk().post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(600_000)
        yield house


@pytest.fixture(scope="module")
def seats(house: House) -> dict[str, TestClient]:
    return {seat: house.tablet(1, seat) for seat in AT_PLATFORMS}


class Marks:
    """Marks of devices, each with a number of its own."""

    count = 0

    @classmethod
    def of(cls, browser: TestClient, kind: str, lane: str, sheet: str = "lane") -> dict[str, Any]:
        cls.count += 1
        device = browser.get("/lane/packet").json()["device"]["id"]
        return a_mark(cls.count, f"{lane}/1/{sheet}", device=device, kind=kind, at=60_000 + cls.count, body=SAYS[kind], win=0)


def refused(browser: TestClient, mark: dict[str, Any]) -> str:
    """Why the desk does not take a mark; empty where it does."""
    answer = both_ways(browser, mark).json()["refused"]
    return str(answer[0]["sentence"]) if answer else ""


def test_five_pairings_serve_the_twelve_lifters_of_two_flights(house: House, seats: dict[str, TestClient]) -> None:
    assert len(seats) == 5
    for browser in seats.values():
        heats = browser.get("/lane/packet").json()["heats"]
        assert [(heat["number"], heat["assignment"]["lane"]) for heat in heats] == [(h, n) for h in (1, 2) for n in range(1, 7)]


@pytest.mark.parametrize(
    ("seat", "kind", "sheet", "may"),
    [
        ("centre", "lift", "lane", True),
        ("centre", "lift", "second", False),
        ("left", "lift", "second", True),
        ("left", "lift", "third", False),
        ("right", "lift", "third", True),
        ("right", "called", "lane", False),
        ("marshal", "declare", "lane", True),
        ("marshal", "called", "lane", True),
        ("marshal", "lift", "lane", False),
        ("loaders", "loaded", "lane", True),
        ("loaders", "declare", "lane", False),
    ],
)
def test_each_seat_writes_its_own_marks_for_every_lifter_of_its_platform_and_for_no_other(
    house: House, seats: dict[str, TestClient], seat: str, kind: str, sheet: str, may: bool
) -> None:
    for lane in ("asg_1", "asg_6"):
        mark = Marks.of(seats[seat], kind, lane, sheet)
        assert (refused(seats[seat], mark) == "") is may
        stored = [one for one in house.marks() if one.id == mark["id"]]
        assert [one.receipt.seat for one in stored] == ([KEPT_AS[seat]] if may else [])
    beside = refused(seats[seat], Marks.of(seats[seat], kind, "asg_13", sheet))
    assert "not for the bar of this device's platform" in beside


def test_a_lane_that_a_start_list_adds_belongs_to_the_platform_at_once(house: House, seats: dict[str, TestClient]) -> None:
    roster = house.app.state.hall.projection.roster
    assert platforms(roster) == (tuple(range(1, 7)), tuple(range(9, 15)))
    added = [
        lane.model_copy(update={"id": f"x_{n}", "lane": n}) for n, lane in zip((6, 7, 9), roster.heats[0].lanes, strict=False)
    ]
    bridge = Heat(id="heat_9", event="evt", number=9, lanes=tuple(added))
    joined = roster.model_copy(update={"heats": (*roster.heats, bridge)})
    assert platform_at(joined, 1) == (*range(1, 8), *range(9, 15))
    assert platform_at(joined, 8) == (8,), "whoever shares no bar is at their own lane"


def test_the_desks_page_lists_the_platform_and_the_file_is_read_as_before(house: House, seats: dict[str, TestClient]) -> None:
    for seat, kind, sheet in FOR_EACH_SEAT:
        assert refused(seats[seat], Marks.of(seats[seat], kind, "asg_2", sheet)) == ""
    desk = house.desk()
    shown = desk.get("/desk/tablets", headers={"accept": "text/html"}).text
    assert "Platform, lanes 1 to 6" in shown and "Platform, lanes 9 to 14" in shown
    assert "Lane 1 platform centre referee" in shown
    file = json.loads(desk.get("/desk/competition.json").content)
    assert {mark["receipt"]["seat"] for mark in file["marks"]} == set(KEPT_AS.values())
    assert CompetitionFile.model_validate(file).version == file["version"]


def test_who_lifts_on_either_of_two_platforms_is_on_the_floor(tmp_path_factory: pytest.TempPathFactory) -> None:
    with a_house(tmp_path_factory.mktemp("board"), file=two_platforms(6)) as house:
        for heat in ("heat_1", "heat_3"):
            house.desk().post(f"/desk/heats/{heat}/go", data={})
            house.clocks.pass_ms(60_000)
        view = board(house.app.state.hall)
        assert view is not None and view.floor is not None and view.floor.heat == "heat_3", "the one that began last is shown"
        live = {row.entry for row in view.panels[0].rows if row.live}
        assert live == {lifter(number) for number in (*range(1, 7), *range(13, 19))}
