"""Marks at the ledger's door: who may write what, what comes back, and what bad input gets."""

import json
from typing import Any

import pytest
from httpx import Response as Answer

from app.live.projection import Projection
from app.rules.records.marks import Mark
from app.rules.records.receipts import Receipt, receipt_plain
from app.store.writer import StoreFull
from tests.builders.halls import House, a_mark, sent
from tests.builders.ledger_doors import both_ways, by_request, framed

JSON = {"content-type": "application/json"}
SOCKET = "ws://localhost/lane/socket"
LOAD = {"amount": "100", "unit": "kg"}


def post(browser: Any, *marks: object) -> Answer:
    """Sends marks as a tablet does, by either of its ways."""
    return both_ways(browser, *marks)


def test_marks_are_acknowledged_by_device_and_epoch_after_they_are_stored(house: House) -> None:
    tablet = house.tablet(1)
    me = tablet.get("/lane/packet").json()["device"]["id"]
    answer = post(tablet, a_mark(1, device=me), a_mark(2, device=me), a_mark(4, device=me))
    held = {"device": me, "held": {"1": 2}, "before": {}}
    receipts = [{"number": number, "seat": "lane"} for number in (1, 2, 3)]
    assert answer.json() == {"boot": "boot-one", **held, "refused": [], "doubled": [], "aside": "", "receipts": receipts}
    assert post(tablet, a_mark(3, device=me)).json()["held"] == {"1": 4}
    assert tablet.get("/lane/packet").json()["held"] == {"1": 4}


def test_whoever_made_a_mark_is_told_what_the_desk_knew_as_all_others_are(house: House) -> None:
    tablet = house.tablet(1)
    refused = a_mark(3, sheet="asg_1_2/1/lane")
    assert [one and one["number"] for one in post(tablet, a_mark(1), refused, a_mark(2)).json()["receipts"]] == [1, None, 2]
    house.clocks.pass_ms(60_000)
    told = post(tablet, a_mark(2), a_mark(1)).json()["receipts"]
    by_id = {mark["id"]: mark["receipt"] for mark in tablet.get("/lane/packet").json()["marks"]}
    assert told == [by_id[a_mark(n)["id"]] for n in (2, 1)], "the first receipt stands"


def test_marks_sent_again_are_stored_once(house: House) -> None:
    tablet = house.tablet(1)
    for _ in range(3):
        assert post(tablet, a_mark(1), a_mark(1), a_mark(2)).status_code == 200
    assert len(house.marks()) == 2


@pytest.mark.parametrize("other", [a_mark(1, kind="norep"), a_mark(1, id="f" * 32), a_mark(7, id=a_mark(1)["id"])])
def test_of_two_marks_under_one_number_or_id_both_are_kept_and_the_tablet_is_told(house: House, other: dict[str, Any]) -> None:
    tablet = house.tablet(1)
    post(tablet, a_mark(1), a_mark(2))
    for _ in range(2):
        answer = post(tablet, other).json()
        (told,) = answer["doubled"]
        assert told["seq"] == other["seq"] and "Both are kept, and neither counts" in told["sentence"]
        assert answer["refused"] == [] and len(house.marks()) == 3
    assert post(tablet, a_mark(3)).json()["doubled"] == []
    tally = house.app.state.hall.projection.sheet_tally(a_mark()["sheet"])
    assert tally.windows[0].count == 2, "of three repetitions that are beyond doubt"


def test_strikes_find_what_they_name_by_its_id_and_look_through_no_sheet(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def looked_through(*_: object) -> list[Mark]:
        raise AssertionError("200 strikes would look through a long sheet 200 times")

    phone = house.tablet(1, "lifter")
    me = phone.get("/lane/packet").json()["device"]["id"]
    monkeypatch.setattr(Projection, "assignment_marks", looked_through)
    monkeypatch.setattr(Projection, "sheet_marks", looked_through)
    said = {"load": LOAD, "by": "loader"}
    loaded, elsewhere = (a_mark(n, kind="loaded", device=me, sheet=f"asg_1_{n}/1/lane", body=said) for n in (1, 2))
    post(house.desk(), elsewhere | {"device": "tab_2"})
    strikes = [a_mark(n, kind="strike", device=me, body={"mark": of["id"]}) for n, of in ((3, loaded), (4, elsewhere))]
    told = post(phone, loaded, *strikes).json()["refused"]
    assert [one["seq"] for one in told] == [4], "what stands on another lane is none of this one's"
    again = a_mark(5, kind="strike", device=me, body={"mark": loaded["id"]})
    assert post(phone, again).json()["refused"] == [], "the same once what it names is stored"


def test_lane_1s_tablet_writes_no_other_lanes_sheet(house: House) -> None:
    answer = post(house.tablet(1), a_mark(1), a_mark(2, sheet="asg_1_2/1/lane"), a_mark(3, sheet="asg_2_1/1/lane"))
    assert answer.status_code == 200
    (refused,) = answer.json()["refused"]
    assert (refused["epoch"], refused["seq"]) == (1, 2) and "for lane 2" in refused["sentence"]
    assert {mark.sheet for mark in house.marks()} == {"asg_1_1/1/lane", "asg_2_1/1/lane"}


def test_a_lifter_declares_and_does_nothing_else(house: House) -> None:
    phone = house.tablet(1, "lifter")
    declared = a_mark(1, kind="declare", body={"load": LOAD, "by": "lifter"})
    as_judge = a_mark(2, kind="declare", body={"load": LOAD, "by": "judge"})
    lifted = a_mark(3, kind="lift", body={"load": LOAD, "good": True})
    second_sheet = a_mark(4, kind="declare", sheet="asg_1_1/1/second", body={"load": LOAD, "by": "lifter"})
    refused = post(phone, declared, as_judge, lifted, second_sheet).json()["refused"]
    assert [one["seq"] for one in refused] == [2, 3, 4] and "declares loads" in refused[0]["sentence"]
    assert [mark.seq for mark in house.marks()] == [1]


@pytest.mark.parametrize("role", ["lane", "lifter"])
def test_a_member_whom_no_entry_of_the_event_has_is_refused_with_a_sentence(house: House, role: str) -> None:
    said = [
        a_mark(n, kind="declare", body={"load": LOAD, "by": role.replace("lane", "judge"), "member": n}) for n in (1, 2, 3, 12)
    ]
    refused = post(house.tablet(1, role), *said).json()["refused"]
    assert [one["seq"] for one in refused] == [3, 12]
    assert refused[1]["sentence"] == "This mark is for member L; an entry of this event has 2 members, A and B."
    assert [mark.seq for mark in house.marks()] == [1, 2]


def test_a_partners_mark_in_as_window_is_stored_and_flagged_and_does_not_count(house: House) -> None:
    reps = [a_mark(n, at=1_000 * n, win=0, body={"member": member}) for n, member in ((1, 1), (2, 2), (3, 1))]
    assert post(house.tablet(1), *reps).json()["refused"] == []
    tally = house.app.state.hall.projection.sheet_tally("asg_1_1/1/lane")
    assert (len(house.marks()), tally.windows[0].count) == (3, 2)
    assert [flag.why for flag in tally.flags] == ["other-member"]


def test_the_desk_writes_on_any_lane(house: House) -> None:
    answer = post(house.desk(), a_mark(1), a_mark(2, sheet="asg_3_4/2/paper"))
    assert answer.json()["refused"] == [] and len(house.marks()) == 2


def test_a_stranger_writes_nothing(house: House) -> None:
    assert post(house.browser(), a_mark()).status_code == 401
    assert house.marks() == []


def test_an_odd_mark_is_taken(house: House) -> None:
    odd = [
        a_mark(1, at=-5000),
        a_mark(2, at=86_000_000),
        a_mark(3, win=999),
        a_mark(4, kind="lift", body={"load": LOAD, "good": True}),
    ]
    assert post(house.tablet(1), *odd).json()["refused"] == []
    assert len(house.marks()) == 4


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "knock"},
        {"kind": ["rep"]},
        {"seq": 2**63},
        {"seq": 10**400},
        {"seq": True},
        {"at": 1.5},
        {"at": float("nan")},
        {"at": float("inf")},
        {"sheet": "asg_1_1/0/lane"},
        {"sheet": "nobody/1/lane"},
        {"id": "G" * 32},
        {"device": "tab\ud800"},
        {"body": {"why": "x"}},
        {"body": [1]},
        {"kind": "note", "body": {"text": "half a sign \udc00"}},
        {"kind": "note", "body": {"text": "\u202eturned"}},
        {"kind": "note", "body": {"text": "NUL \x00"}},
        {"kind": "note", "body": {"text": "x" * 501}},
        {"kind": "lift", "body": {"load": {"amount": "1e9", "unit": "kg"}, "good": True}},
        {"extra": 1},
    ],
)
def test_a_mark_that_makes_no_sense_is_refused_alone_with_a_sentence(house: House, wrong: dict[str, Any]) -> None:
    answer = post(house.tablet(1), a_mark(1), a_mark(2) | wrong, a_mark(3))
    assert answer.status_code == 200
    (refused,) = answer.json()["refused"]
    assert refused["sentence"].endswith(".") and refused["epoch"] == 1
    assert [mark.seq for mark in house.marks()] == [1, 3]


@pytest.mark.parametrize("item", [None, 5, "rep", [], {}])
def test_what_is_no_mark_is_refused_alone(house: House, item: object) -> None:
    answer = post(house.tablet(1), item, a_mark(1))
    assert answer.status_code == 200 and answer.json()["refused"][0]["seq"] is None and len(house.marks()) == 1


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"{", 400),
        (b"\xff\xfe", 400),
        (b'{"marks": ["\xff"]}', 400),
        (b'{"marks": 5}', 400),
        (b'{"marks": {}}', 400),
        (b'["marks"]', 400),
        (b'{"marks": ' + b"[" * 90_000, 400),
        (b'{"marks": ' + b"[" * 90_000 + b"]" * 90_000 + b"}", 400),
        (b'{"marks": [' + b"9" * 5_000 + b"]}", 400),
        (json.dumps({"marks": [{}] * 201}).encode(), 413),
    ],
)
def test_a_body_that_cannot_be_read_is_refused_whole(house: House, body: bytes, status: int) -> None:
    tablet = house.tablet(1)
    answer = tablet.post("/marks", content=body, headers=JSON)
    assert answer.status_code == status and answer.json()["sentence"].endswith(".")
    if body.isascii():  # what is no text never gets so far on a line
        told = framed(tablet, body.decode().replace("{", '{"type": "marks", "n": 7, ', 1))
        assert told["status"] in (status, 1007) and told["sentence"].endswith("."), "what is no frame at all closes the line"
    assert house.marks() == []


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_marks_come_as_json_only(house: House, kind: str) -> None:
    answer = house.tablet(1).post("/marks", content=sent(a_mark()), headers={"content-type": kind})
    assert answer.status_code == 415 and "application/json" in answer.json()["sentence"]


def test_a_full_disk_is_said_and_nothing_is_acknowledged(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    async def full(marks: object, received_wall_ms: int) -> None:
        raise StoreFull

    tablet, ledger = house.tablet(1), house.app.state.hall.ledger
    monkeypatch.setattr(ledger, "append", full)
    answer = post(tablet, a_mark())
    assert answer.status_code == 503 and "disk" in answer.json()["sentence"] and "held" not in answer.json()


def test_the_lanes_other_devices_hear_of_new_marks_and_the_sender_does_not(house: House) -> None:
    tablet, phone, neighbour = house.tablet(1), house.tablet(1, "lifter"), house.tablet(2)
    me = tablet.get("/lane/packet").json()["device"]["id"]
    with (
        phone.websocket_connect(SOCKET) as other,  # first, for whoever is there already is told that a phone has come
        tablet.websocket_connect(SOCKET) as own,
        neighbour.websocket_connect(SOCKET) as far,
    ):
        for line in (own, other, far):
            assert line.receive_json()["type"] == "hello"
        post(tablet, a_mark(1, device=me))
        news = other.receive_json()
        assert news["type"] == "marks" and [mark["seq"] for mark in news["marks"]] == [1]
        for line in (own, far):
            line.send_json({"type": "ping", "t1": 1})
            assert "marks" not in _until_pong(line), "none came before it"


def _until_pong(line: Any) -> list[str]:
    """The types of all that a line hears until its ping is answered: who else has come may be among it, late or early."""
    heard = [line.receive_json()["type"]]
    while heard[-1] != "pong":
        heard.append(line.receive_json()["type"])
    return heard


def test_the_packet_holds_all_that_a_lane_needs(house: House) -> None:
    post(house.desk(), a_mark(1), a_mark(2, sheet="asg_1_2/1/lane"))
    packet = house.tablet(1).get("/lane/packet").json()
    assert [heat["assignment"]["entry"]["name"] for heat in packet["heats"]] == ["Lanterns", "Two Left Hooks", "Tin Roof"]
    assert packet["heats"][0]["assignment"]["entry"]["members"][0] == {"name": "Ada Quill", "club": "Copper Yard"}
    assert packet["heats"][0]["run"] is None and packet["server_ms"] == house.clocks.server
    assert packet["events"]["evt_turns"]["format"]["windows"] and [mark["seq"] for mark in packet["marks"]] == [1]


def test_the_desk_may_look_at_any_lane_but_must_say_which(house: House) -> None:
    desk = house.desk()
    assert desk.get("/lane/packet?lane=3").json()["heats"][0]["assignment"]["entry"]["name"] == "The Unhurried"
    for lane in ("", "0", "61", "x", "²", "9" * 50):
        assert desk.get(f"/lane/packet?lane={lane}").status_code == 400


def test_what_the_desk_knows_when_a_mark_comes_is_written_with_it(house: House) -> None:
    tablet, phone, desk = house.tablet(1), house.tablet(1, "lifter"), house.desk()
    ids = [one.get("/lane/packet").json()["device"]["id"] for one in (tablet, phone)]
    by_request(tablet, a_mark(1, device=ids[0]))
    assert desk.post("/desk/heats/het_1/go", data={"lead": "10"}).status_code == 200
    house.clocks.pass_ms(10_000 + 1_500)
    word = {"load": LOAD, "by": "lifter"}
    by_request(phone, a_mark(2, device=ids[1], kind="declare", at=1_400, body=word))
    tablet.post("/marks?again=1", content=sent(a_mark(3, device=ids[0], at=900)), headers=JSON)
    by_request(desk, a_mark(4, device="tab_gone", at=800))
    found = {mark.seq: mark.receipt for mark in house.marks()}
    assert found == {
        1: Receipt(1, "lane"),
        2: Receipt(2, "lifter", 1_500),
        3: Receipt(3, "lane", 1_500, again=True),
        4: Receipt(4, "desk", 1_500, again=True),
    }
    told = {mark["seq"]: mark["receipt"] for mark in tablet.get("/lane/packet").json()["marks"]}
    assert told == {seq: receipt_plain(receipt) for seq, receipt in found.items()}
