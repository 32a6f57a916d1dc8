"""A coach's phone at the doors: it declares for the lifters that the desk gives it, on all their lanes; of others nothing."""

import json
from collections.abc import Iterator, Sequence
from typing import Any

import pytest

from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Club
from app.rules.values.units import Load
from app.store.acts import Asked, acts
from app.store.devices import welcome_devices
from tests.builders.halls import ON_THE_LAN, House, TestClient, a_house, a_mark
from tests.builders.ledger_doors import SOCKET, both_ways
from tests.builders.platforms import a_meet, a_platform_file, lifter

PAGE = {"accept": "text/html"}
HALL_MS = 600_000  # from the GO until anything is sent, so that no mark is of a time to come
OURS, THEIRS = ("ent_1", "ent_2", "ent_8"), ("ent_3", "ent_7")  # of two flights of six: lanes 1, 2 and 2; 3 and 1


def club_meet() -> CompetitionFile:
    """Two flights of six on one platform. Ours are of one club; everybody has planned a load that nobody else has."""
    file = a_platform_file(a_meet(), lifters=12, flight=6)
    athletes = tuple(
        one.model_copy(update={"club": "clb_1" if f"ent_{n}" in OURS else None}) for n, one in enumerate(file.athletes, 1)
    )
    openers = tuple(one.model_copy(update={"load": Load(f"{60 + n}.5", one.load.unit)}) for n, one in enumerate(file.openers))
    return file.model_copy(update={"athletes": athletes, "clubs": (Club(id="clb_1", name="Quay Barbell"),), "openers": openers})


@pytest.fixture
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("coach"), file=club_meet()) as house:
        yield house


@pytest.fixture
def desk(house: House) -> TestClient:
    return house.desk()


def ticks(*entries: str) -> dict[str, str]:
    return {f"lifter-{entry}": "on" for entry in entries}


def a_coach(house: House, desk: TestClient, *entries: str) -> TestClient:
    """A phone that the desk has invited on its page, as a coach of these."""
    assert desk.post("/desk/tablets/rule", data={"at_once": "yes"}).status_code == 303
    shown = desk.post("/desk/tablets/coach", data={"name": "Petra", **ticks(*entries)}, headers=PAGE).text
    code = shown.partition('class="short-code">')[2].partition("<")[0]
    phone = house.browser(ON_THE_LAN)
    assert phone.post("/pair", json={"code": code}).json()["to"] == "/coach"
    return phone


def device(phone: TestClient) -> str:
    return str(phone.get("/lane/packet").json()["device"]["id"])


class Pen:
    """Marks of one device; each mark of all pens has a number of its own."""

    count = 0

    def __init__(self, of: str) -> None:
        self.of = of

    def write(self, entry: str, kind: str = "declare", at: int = 5_000, **body: Any) -> dict[str, Any]:
        Pen.count += 1
        says = {"load": {"amount": "101", "unit": "kg"}, "by": "lifter"} if kind == "declare" else {}
        sheet = f"asg_{entry.removeprefix('ent_')}/1/lane"
        return a_mark(self.count, sheet, device=self.of, kind=kind, at=at, body={**says, **body}, win=0)


def refusals(phone: TestClient, *marks: dict[str, Any]) -> list[str]:
    return [one["sentence"] for one in both_ways(phone, *marks).json()["refused"]]


def entries_in(packet: dict[str, Any]) -> set[str]:
    return {heat["assignment"]["entry"]["id"] for heat in packet["heats"]}


def go(house: House, desk: TestClient) -> None:
    assert desk.post("/desk/heats/heat_1/go", data={}).status_code == 200
    house.clocks.pass_ms(HALL_MS)


def test_the_desk_ticks_a_club_at_once_and_lists_the_coach_with_the_lifters(house: House, desk: TestClient) -> None:
    form = desk.get("/desk/tablets/coach?club=clb_1", headers=PAGE).text
    ticked = {part.split('"')[0] for part in form.split('name="lifter-')[1:] if part.split(">")[0].endswith("checked")}
    assert ticked == set(OURS) and 'value="Coach, Quay Barbell"' in form
    nobody = desk.post("/desk/tablets/coach", data={"name": "Petra"}, headers=PAGE)
    assert nobody.status_code == 422 and "Tick at least one lifter." in nobody.text and 'value="Petra"' in nobody.text
    assert desk.post("/desk/tablets", data={"role": "coach", "lane": "1"}, headers=PAGE).status_code == 422
    phone = a_coach(house, desk, *OURS)
    listed = desk.get("/desk/tablets", headers=PAGE).text
    assert "Petra" in listed and ", ".join(lifter(n) for n in (1, 2, 8)) in listed
    told = house.app.state.hall.database.read(lambda session: [(one.words, one.about) for one in acts(session, Asked(), 20)])
    assert ("Invite a coach", "Petra") in told
    assert phone.get("/lane/packet").json()["device"]["lane"] is None


def test_whoever_is_asked_about_is_called_by_the_name_that_the_desk_gave(house: House, desk: TestClient) -> None:
    shown = desk.post("/desk/tablets/coach", data={"name": "Petra", **ticks("ent_1")}, headers=PAGE).text
    phone = house.browser(ON_THE_LAN)
    code = shown.partition('class="short-code">')[2].partition("<")[0]
    assert phone.post("/pair/look", json={"code": code}).json()["becomes"].startswith("a coach's phone")
    assert phone.post("/pair", json={"code": code}).json()["to"] == "/pair"
    waiting = desk.get("/desk/tablets/asking", headers=PAGE).text
    assert "Petra, coach&#39;s phone" in waiting
    key = waiting.partition('data-asking="')[2].partition('"')[0]
    assert desk.post(f"/desk/tablets/asking/{key}/in", headers=PAGE).status_code == 303
    assert phone.get("/pair/waiting").json()["to"] == "/coach"
    assert entries_in(phone.get("/lane/packet").json()) == {"ent_1"}


def test_the_packet_holds_their_own_lifters_of_all_flights_and_nothing_of_anybody_elses(house: House, desk: TestClient) -> None:
    phone, marshal = a_coach(house, desk, *OURS), house.tablet(1, "marshal")
    go(house, desk)
    pen = Pen(device(marshal))
    planned = {"loads": [{"amount": "177.5", "unit": "kg"}], "by": "desk"}
    loads = {entry: {"amount": f"{140 + n}.5", "unit": "kg"} for n, entry in enumerate((*OURS[:2], "ent_3"))}
    sent = [pen.write(entry, load=load, by="desk") for entry, load in loads.items()]
    assert refusals(marshal, *sent, pen.write("ent_3", "plan", **planned), pen.write("ent_7", "plan", **planned)) == []
    packet = phone.get("/lane/packet").json()
    assert [(one["id"], one["name"]) for one in packet["lifters"]] == [
        ("ent_1", lifter(1)),
        ("ent_2", lifter(2)),
        ("ent_8", lifter(8)),
    ]
    assert [(heat["number"], heat["assignment"]["lane"]) for heat in packet["heats"]] == [(1, 1), (1, 2), (2, 2)]
    assert {mark["sheet"].split("/")[0] for mark in packet["marks"]} == {"asg_1", "asg_2"}
    told = json.dumps(packet)
    for other in (n for n in range(1, 13) if f"ent_{n}" not in OURS):
        assert f'"ent_{other}"' not in told and f'"asg_{other}"' not in told and lifter(other) not in told
        assert f'"{60 + other - 1}.5"' not in told, "nor what they planned"
    assert "177.5" not in told and "142.5" not in told
    assert packet["turns"] == {
        "asg_1": {"before": 0, "called": False},
        "asg_2": {"before": 1, "called": False},
        "asg_8": {"before": 1, "called": False},
    }
    ahead = phone.get("/lane/ahead", params={"assignment": "asg_3", "window": 0})
    assert ahead.status_code == 404 and phone.get("/lane/ahead", params={"assignment": "asg_2", "window": 0}).status_code == 200


@pytest.mark.parametrize("entry", ["ent_1", "ent_2", "ent_8", *THEIRS])
def test_it_declares_and_plans_for_its_own_lifters_on_whichever_lane_and_for_nobody_else(
    house: House, desk: TestClient, entry: str
) -> None:
    phone = a_coach(house, desk, *OURS)
    go(house, desk)
    pen = Pen(device(phone))
    plan = pen.write(entry, "plan", loads=[{"amount": "110", "unit": "kg"}], by="lifter")
    found = refusals(phone, pen.write(entry), plan)
    if entry in OURS:
        assert found == []
        assert [one.receipt.seat for one in house.marks() if one.device == pen.of] == ["lifter", "lifter"], (
            "a file knows no coach"
        )
    else:
        assert len(found) == 2 and all("has not given to this coach's device" in one for one in found)
    load = {"load": {"amount": "100", "unit": "kg"}}
    for kind, body in (
        ("loaded", load | {"by": "loader"}),
        ("called", {}),
        ("lift", load | {"good": True}),
        ("declare", {"by": "desk"}),
    ):
        [why] = refusals(phone, pen.write(entry, kind, **body))
        assert "coach's device" in why


def test_a_lifter_who_is_taken_away_is_gone_at_once_also_from_an_open_line(house: House, desk: TestClient) -> None:
    phone, marshal = a_coach(house, desk, *OURS), house.tablet(1, "marshal")
    go(house, desk)
    pen, at_desk = Pen(device(phone)), Pen(device(marshal))
    with phone.websocket_connect(SOCKET) as line:
        assert line.receive_json()["type"] == "hello"

        def until(kind: str) -> tuple[dict[str, Any], list[dict[str, Any]]]:
            passed: list[dict[str, Any]] = []
            while (told := line.receive_json())["type"] != kind:
                passed.append(told)
            return told, passed

        def answered(number: int, entry: str) -> list[str]:
            line.send_json({"type": "marks", "n": number, "marks": [pen.write(entry)]})
            return [one["sentence"] for one in until("answer")[0].get("refused", [])]

        assert answered(1, "ent_2") == []
        assert refusals(marshal, at_desk.write("ent_3", by="desk"), at_desk.write("ent_1", by="desk")) == []
        heard, _ = until("marks")
        assert [mark["sheet"] for mark in heard["marks"]] == ["asg_1/1/lane"], "what others declare is not in the traffic"
        changed = desk.post(f"/desk/tablets/{pen.of}/lifters", data=ticks("ent_1", "ent_3"), headers=PAGE)
        assert changed.status_code == 303
        until("packet")
        assert entries_in(phone.get("/lane/packet").json()) == {"ent_1", "ent_3"}
        [why] = answered(2, "ent_2")
        assert "or no longer" in why
        assert answered(3, "ent_3") == []
        assert refusals(marshal, at_desk.write("ent_2", by="desk"), at_desk.write("ent_3", by="desk")) == []
        heard, passed = until("marks")
        assert {mark["sheet"] for mark in heard["marks"]} == {"asg_3/1/lane"}
        assert "asg_2" not in json.dumps(passed)
        assert desk.post(f"/desk/tablets/{pen.of}/away", headers=PAGE).status_code == 303
        assert "has ended" in until("bye")[0]["sentence"]
    assert phone.get("/lane/packet").status_code == 401


def test_only_a_coachs_device_is_given_lifters_and_only_by_the_desk(house: House, desk: TestClient) -> None:
    phone, other = a_coach(house, desk, "ent_1"), house.tablet(3, "lifter")
    assert phone.post(f"/desk/tablets/{device(phone)}/lifters", data=ticks("ent_3")).status_code == 401
    assert desk.post(f"/desk/tablets/{device(other)}/lifters", data=ticks("ent_3"), headers=PAGE).status_code == 404
    stored = {one.id: one.entries for one in house.app.state.hall.database.read(welcome_devices)}
    assert (stored[device(phone)], stored[device(other)]) == (("ent_1",), ())


def test_a_browser_that_is_paired_anew_still_speaks_for_the_lifters_it_had(house: House, desk: TestClient) -> None:
    phone = a_coach(house, desk, "ent_1")
    go(house, desk)
    pen = Pen(device(phone))
    late = pen.write("ent_1"), pen.write("ent_3")
    assert phone.post("/pair", json={"token": house.invitation(9, "lifter").token}).status_code == 200
    assert len(refusals(phone, *late)) == 1
    assert [one.sheet for one in house.marks() if one.device == pen.of] == ["asg_1/1/lane"]


def load_that_stands(house: House, entry: str) -> str:
    tally = house.app.state.hall.projection.sheet_tally(f"asg_{entry.removeprefix('ent_')}/1/lane")
    found = tally.windows[0].declaration
    return next(str(mark.body["load"]["amount"]) for mark in house.marks() if mark.id == found)


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_a_coach_and_the_lifter_who_both_declare_agree_by_the_time_of_their_marks(
    house: House, desk: TestClient, order: Sequence[int]
) -> None:
    phone, own = a_coach(house, desk, "ent_1"), house.tablet(1, "lifter")
    go(house, desk)
    marks = (
        (phone, Pen(device(phone)).write("ent_1", at=6_000, load={"amount": "105", "unit": "kg"})),
        (own, Pen(device(own)).write("ent_1", at=7_000, load={"amount": "107", "unit": "kg"})),
    )
    for number in order:
        browser, mark = marks[number]
        assert refusals(browser, mark) == []
    assert load_that_stands(house, "ent_1") == "105", "an opener is not changed after the GO, whichever mark came here first"


def test_whoever_declares_less_moves_ours_back_and_a_call_is_told_on_the_open_line(house: House, desk: TestClient) -> None:
    phone, marshal = a_coach(house, desk, "ent_1"), house.tablet(1, "marshal")
    go(house, desk)
    pen = Pen(device(marshal))
    with phone.websocket_connect(SOCKET) as line:
        assert line.receive_json()["type"] == "hello", "from then on it hears everything"

        def told() -> dict[str, Any]:
            while (said := line.receive_json())["type"] != "turns":
                assert "asg_3" not in json.dumps(said)
            return dict(said["turns"])

        ours = pen.write("ent_1", by="desk")
        assert refusals(marshal, ours) == [] and told() == {"asg_1": {"before": 0, "called": False}}
        less = pen.write("ent_3", by="desk", load={"amount": "95", "unit": "kg"})
        assert refusals(marshal, less) == [] and told() == {"asg_1": {"before": 1, "called": False}}
        assert refusals(marshal, pen.write("ent_3", "strike", mark=less["id"])) == []
        assert told() == {"asg_1": {"before": 0, "called": False}}
        assert refusals(marshal, pen.write("ent_1", "called", declared=ours["id"])) == []
        assert told() == {"asg_1": {"before": 0, "called": True}}
