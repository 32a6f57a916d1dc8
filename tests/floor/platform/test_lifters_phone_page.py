"""A lane's call screen at the doors: of whoever is at hand it hears all, of the others on its lane what the hall may know."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from app.rules.records.kinds import UNTOLD
from tests.builders.halls import House, TestClient, a_house
from tests.builders.ledger_doors import SOCKET
from tests.floor.platform.test_coach_page import Pen, club_meet, device, refusals

GO_MS = 600_000
SOON, LATER = "ent_1", "ent_7"  # both on lane 1: of the first flight, and of the second
PLANNED = {SOON: "60.5", LATER: "66.5"}  # what each has said before the day


@pytest.fixture
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("phone"), file=club_meet()) as house:
        yield house


@pytest.fixture
def desk(house: House) -> TestClient:
    return house.desk()


@pytest.fixture
def phone(house: House) -> TestClient:
    return house.tablet(1, "lifter")


def plan(pen: Pen, entry: str, amount: str) -> dict[str, Any]:
    return pen.write(entry, "plan", at=-2_000, loads=[{"amount": amount, "unit": "kg"}], by="desk")


def told(phone: TestClient) -> tuple[dict[str, Any], str]:
    """The packet, and all that is in it as text."""
    packet = phone.get("/lane/packet").json()
    return packet, json.dumps(packet)


def kinds_of(packet: dict[str, Any], entry: str) -> set[str]:
    return {mark["kind"] for mark in packet["marks"] if mark["sheet"].startswith(f"asg_{entry.removeprefix('ent_')}/")}


def test_it_hears_what_the_lifter_at_hand_plans_and_of_the_next_what_is_declared_alone(
    house: House, desk: TestClient, phone: TestClient
) -> None:
    marshal, judge = house.tablet(1, "marshal"), house.tablet(1, "centre")
    pen, seen = Pen(device(marshal)), Pen(device(judge))
    sent = [plan(pen, SOON, "171.5"), plan(pen, LATER, "177.5"), pen.write(LATER, by="desk", at=-1_000)]
    assert refusals(marshal, *sent) == []
    assert refusals(judge, seen.write(LATER, "note", at=-500, text="limping badly")) == []
    packet, text = told(phone)
    assert PLANNED[SOON] in text and "171.5" in text, "its own"
    assert PLANNED[LATER] not in text and "177.5" not in text and "limping" not in text
    assert kinds_of(packet, LATER) == {"declare"} and '"101"' in text, "what is declared is for everybody"
    names = {heat["assignment"]["entry"]["id"]: set(heat["assignment"].get("untold", ())) for heat in packet["heats"]}
    assert names == {SOON: set(), LATER: set(UNTOLD)}, "it has both heats, for a hall without network"
    for lane_2 in ("ent_2", "ent_8"):
        assert f'"{lane_2}"' not in text and f'"{59 + int(lane_2[4:])}.5"' not in text, "of other lanes nothing"
    for every in (marshal, judge, house.tablet(1, "loaders")):
        assert PLANNED[LATER] in told(every)[1] and "177.5" in told(every)[1], "whoever works at the bar needs it"


def test_what_another_plans_is_not_on_its_line_either(house: House, desk: TestClient, phone: TestClient) -> None:
    marshal = house.tablet(1, "marshal")
    pen = Pen(device(marshal))
    with phone.websocket_connect(SOCKET) as line:
        assert line.receive_json()["type"] == "hello"
        sent = [plan(pen, LATER, "177.5"), pen.write(LATER, by="desk", at=-1_000), plan(pen, SOON, "171.5")]
        assert refusals(marshal, *sent) == []
        heard: list[dict[str, Any]] = []
        while not any(mark["kind"] == "plan" for mark in heard):
            if (message := line.receive_json())["type"] == "marks":
                heard += message["marks"]
        assert {(mark["sheet"], mark["kind"]) for mark in heard} == {("asg_7/1/lane", "declare"), ("asg_1/1/lane", "plan")}


def test_the_plan_passes_on_as_the_lane_does(house: House, desk: TestClient, phone: TestClient) -> None:
    own = Pen(device(phone))
    mine = own.write(SOON, "plan", at=-3_000, loads=[{"amount": "171.5", "unit": "kg"}], by="lifter")
    assert refusals(phone, mine) == []
    assert desk.post("/desk/heats/heat_1/go", data={}).status_code == 200
    house.clocks.pass_ms(GO_MS)
    assert PLANNED[SOON] in told(phone)[1] and PLANNED[LATER] not in told(phone)[1]
    assert desk.post("/desk/heats/heat_1/close", data={}).status_code == 200
    packet, text = told(phone)
    assert PLANNED[LATER] in text and PLANNED[SOON] not in text and "171.5" not in text
    assert packet["held"], "what it planned itself it need not send again"
    assert desk.post("/desk/heats/heat_2/go", data={}).status_code == 200
    assert PLANNED[LATER] in told(phone)[1]
