"""What a platform's rules let nobody declare: it is kept and found for the head judge, who may let it stand."""

import html
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import takewhile
from pathlib import Path
from typing import Any

import pytest

from app.hall.heats import bar_lanes
from app.rules.count.lift_order import called_next
from tests.builders.halls import House, a_house, a_mark
from tests.builders.ledger_doors import SOCKET, by_request
from tests.builders.platforms import a_meet, a_platform_file

PAGE = {"accept": "text/html"}
WHO = {"by": "Ruth", "why": "The marshal had heard it in time"}


class Marshal:
    """Whoever declares and calls at the platform from lane 1."""

    def __init__(self, house: House) -> None:
        self.house, self.browser, self.count = house, house.tablet(1, "marshal"), 0
        self.device = self.browser.get("/lane/packet").json()["device"]["id"]

    def put(self, kind: str, who: int, **body: Any) -> str:
        self.count += 1
        at = {"device": self.device, "kind": kind, "at": 1_000 * self.count, "body": body, "win": 0}
        mark = a_mark(self.count, f"asg_{who}/1/lane", **at)
        assert by_request(self.browser, mark).json()["refused"] == []
        return str(mark["id"])

    def declare(self, who: int, kg: int) -> str:
        return self.put("declare", who, load={"amount": str(kg), "unit": "kg"}, by="desk")

    def stands(self, who: int) -> dict[str, Any]:
        """What this device hears of a lifter's lane."""
        heats = self.browser.get("/lane/packet").json()["heats"]
        return next(heat["assignment"] for heat in heats if heat["assignment"]["id"] == f"asg_{who}")

    def admitted(self, who: int) -> list[str]:
        """What this device hears that a ruling lets count on a lifter's sheet."""
        return list(self.stands(who)["admitted"])


@contextmanager
def a_platform(folder: Path) -> Iterator[House]:
    """A platform of three lifters, its heat under way."""
    file = a_platform_file(a_meet("rising_bar", movements="Power snatch\nPush jerk"), lifters=3)
    with a_house(folder, file=file) as house:
        house.desk().post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(600_000)
        yield house


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_platform(tmp_path_factory.mktemp("declared")) as house:
        yield house


def _waits(house: House) -> dict[str, tuple[str, str]]:
    """By mark: the load that its lifter waits with, and what they must declare at least; empty for nothing."""
    hall = house.app.state.hall
    roster, run = hall.projection.roster, hall.projection.runs[0]
    waiting = called_next(bar_lanes(hall, roster, roster.events[0], run, roster.heats[0]), 60_000)
    return {one.declared: (one.load.text(), one.least.text() if one.least else "") for one in waiting}


def _missed(house: House, who: int, declared: str) -> None:
    """One referee saw a miss, and the bar racked."""
    about = {"sheet": f"asg_{who}/1/lane", "device": "referee", "at": 1_500}
    body = {"load": {"amount": "100", "unit": "kg"}, "good": False, "declared": declared}
    marks = [a_mark(91, kind="lift", body=body, **about), a_mark(92, kind="racked", body={"declared": declared}, **about)]
    assert by_request(house.desk(), *marks).json()["refused"] == []


def _let_stand(house: House, mark: str, flag: str) -> None:
    """The head judge takes the one decision that suggests itself for a flag."""
    desk = house.desk()
    queue = html.unescape(desk.get("/review", headers=PAGE).text)
    (lane,) = set(re.findall(rf'/review/lanes/(asg_\d+)\?flag=[^"]*{flag}', queue))
    (key,) = set(re.findall(rf'\?flag=([^"]*{flag}[^"]*)"', queue))
    page = desk.get(f"/review/lanes/{lane}?flag={key}", headers=PAGE)
    option = re.search(r'name="option" value="([^"]*)"', page.text)
    assert option is not None and "Let it count" in page.text
    form = {**WHO, "flag": key.replace("%3A", ":"), "option": html.unescape(option[1])}
    assert desk.post(f"/review/lanes/{lane}/rule", data=form, headers=PAGE).status_code == 303
    assert {"marks": [mark]} in [ruling.body for ruling in house.app.state.hall.projection.rulings if ruling.kind == "admit"]


def _misses(house: House, lane: int) -> None:
    """A lifter misses, so that somebody has a place."""
    tablet, load = house.tablet(lane), {"amount": "90", "unit": "kg"}
    device = tablet.get("/lane/packet").json()["device"]["id"]
    made = a_mark(900, f"asg_{lane}/1/lane", device=device, kind="declare", at=500, win=0, body={"load": load, "by": "judge"})
    lift = {"kind": "lift", "body": {"load": load, "good": False, "declared": made["id"]}}
    racked = {"kind": "racked", "body": {"declared": made["id"]}}
    for mark in (made, made | {"id": "f" * 32, "seq": 901} | lift, made | {"id": "e" * 32, "seq": 902} | racked):
        assert by_request(tablet, mark).json()["refused"] == []


def test_a_load_below_the_bar_is_found_and_may_be_called_once_the_head_judge_lets_it_stand(house: House) -> None:
    marshal = Marshal(house)
    _missed(house, 3, marshal.declare(3, 100))  # whose score, of nothing, the others pass with anything
    first = marshal.declare(1, 105)
    phone = house.tablet(2, "lifter")
    with phone.websocket_connect(SOCKET) as line:
        assert line.receive_json()["type"] == "hello"  # from here on it is told what happens
        marshal.put("called", 1, declared=first)
        line.send_json({"type": "ping", "t1": 0})
        heard = list(takewhile(lambda said: said["type"] != "pong", iter(line.receive_json, None)))
    called = {"heat_1": {"run": 1, "floors": {"0": {"amount": "105", "unit": "kg"}}}}
    assert [said["bars"] for said in heard if said["type"] == "bars"] == [called]
    assert called == phone.get("/lane/packet").json()["bars"], "a lane's own devices hear of the bar, not of other lanes"
    _misses(house, 3)
    chase = phone.get("/lane/ahead?assignment=asg_2&window=0").json()["chase"]
    assert [one["load"]["amount"] for one in chase["ahead"]] == ["105"], "what would pass is never below the bar"
    low = marshal.declare(2, 100)
    assert _waits(house)[low] == ("100 kg", "105 kg")
    queue = re.sub(r"<[^>]+>", " ", house.desk().get("/review", headers=PAGE).text)
    assert "Below the bar" in queue and "100 kg was declared after the bar had been called with 105 kg." in queue
    _let_stand(house, low, "below-called")
    assert _waits(house)[low] == ("100 kg", "") and marshal.admitted(2) == [low]
    assert "Below the bar" not in house.desk().get("/review", headers=PAGE).text

    marshal.declare(3, 110)
    changes = [marshal.declare(3, kg) for kg in (112, 114, 116)]
    assert _waits(house)[changes[1]] == ("114 kg", ""), "two changes are allowed, so the third stands nowhere"
    assert "One change too many" in house.desk().get("/review", headers=PAGE).text
    _let_stand(house, changes[2], "changes-over")
    assert _waits(house)[changes[2]] == ("116 kg", "") and marshal.admitted(3) == [changes[2]]


def test_a_lifter_s_phone_hears_how_many_lifts_come_before_theirs(tmp_path: Path) -> None:
    with a_platform(tmp_path) as house:
        marshal = Marshal(house)
        first, _ = marshal.declare(1, 105), marshal.declare(2, 110)
        phones = {lane: house.tablet(lane, "lifter") for lane in (1, 2, 3)}

        def turns() -> list[dict[str, object] | None]:
            asked = [phone.get(f"/lane/ahead?assignment=asg_{lane}&window=0").json() for lane, phone in phones.items()]
            return [one["turn"] for one in asked]

        waits = [{"before": 0, "called": False}, {"before": 1, "called": False}, None]
        assert turns() == waits, "who has declared nothing waits nowhere"
        marshal.put("called", 1, declared=first)
        assert turns() == [{"before": 0, "called": True}, *waits[1:]]


def test_what_the_head_judge_makes_of_a_lift_is_told_to_the_devices_that_fold_the_order(house: House) -> None:
    marshal, centre = Marshal(house), house.tablet(1, "centre")
    body = {"load": {"amount": "120", "unit": "kg"}, "good": False}
    device = centre.get("/lane/packet").json()["device"]["id"]
    lift = a_mark(1, "asg_2/1/lane", kind="lift", at=60_000, win=0, device=device, body=body)
    assert by_request(centre, lift).json()["refused"] == []
    assert marshal.stands(2)["ruled"] == []
    ruling = {"kind": "lift", "body": {"mark": lift["id"], "good": True}, "assignment": "asg_2", "event": "evt"}
    option = json.dumps([ruling])
    made = house.desk().post("/review/lanes/asg_2/rule", data={**WHO, "option": option}, headers=PAGE)
    assert made.status_code == 303
    assert marshal.stands(2)["ruled"] == [{"mark": lift["id"], "good": True}]
