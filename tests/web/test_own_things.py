"""Each their own: what a lane's device may write and read, and what nobody outside may read at all."""

import html
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.rules.records.document import CompetitionFile
from app.rules.records.judges import Hours, Judge
from app.rules.records.kinds import BODY
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Protest
from app.rules.values.lengths import Length
from app.rules.values.units import Load
from app.rules.workout.openers import Opener
from app.store.entering import CHECKINS, Checkin
from app.web import roles
from app.web.roles import ways
from tests.builders.halls import ON_THE_LAN, House, TestClient, a_house, a_mark, sent
from tests.builders.meets import a_meet
from tests.web.knocking import Caller, knock

JSON = {"content-type": "application/json"}
SAID = {
    "declare": {"load": {"amount": "100", "unit": "kg"}, "by": "lifter"},
    "plan": {"loads": [{"amount": "100", "unit": "kg"}], "by": "lifter"},
    "loaded": {"load": {"amount": "100", "unit": "kg"}, "by": "loader"},
    "lift": {"load": {"amount": "100", "unit": "kg"}, "good": True},
    "measure": {"value": "12"},
    "strike": {"mark": f"{1:032x}"},
    "stop": {"why": "Rest"},
    "note": {"text": "Hello"},
    "sign": {"who": "judge", "name": "Kim"},
    "check": {"items": ["Bar"], "name": "Kim"},
    "remeasure": {"what": "wall", "value": "12", "unit": "cm"},
    "recount": {"reps": 3},
}
# What is noted of people and is nobody else's business. Each is found nowhere else in the house.
PRIVATE = {
    "a judge's telephone": "555 0142",
    "when a judge can": "07:43",
    "a waiver's witness": "Witness Wilhelmina",
    "a height": "187.31",
    "a reach": "211.07",
    "an opener": "333.25",
    "a protest's words": "Squats of mine that were not counted",
    "who protested": "Petra Protester",
    "a tablet's name": "Tablet with the purple cover",
    "the desk's password": "argon2",
}


def post(browser: TestClient, *marks: object) -> Any:
    return browser.post("/marks", content=sent(*marks), headers=JSON).json()


def device_of(browser: TestClient) -> str:
    return str(browser.get("/lane/packet").json()["device"]["id"])


def test_lane_2s_tablet_neither_writes_nor_reads_lane_1(house: House) -> None:
    tablet = house.tablet(2)
    sheets = [f"asg_1_1/1/{kind}" for kind in ("lane", "second", "third", "shadow", "video", "paper")]
    refused = post(tablet, *(a_mark(n, sheet) for n, sheet in enumerate(sheets, 1)))["refused"]
    assert [one["seq"] for one in refused] == [1, 2, 3, 4, 5, 6] and house.marks() == []
    packet = tablet.get("/lane/packet?lane=1").json()
    assert packet["device"]["lane"] == 2 and {heat["assignment"]["lane"] for heat in packet["heats"]} == {2}
    assert tablet.get("/lane/ahead?assignment=asg_1_1&window=4&member=1").status_code == 404


def test_a_lifters_phone_makes_no_mark_that_counts(house: House) -> None:
    phone = house.tablet(1, "lifter")
    kinds = sorted(set(BODY) - {"declare", "plan", "loaded"})
    marks = [a_mark(n, kind=kind, device=device_of(phone), body=SAID.get(kind, {})) for n, kind in enumerate(kinds, 1)]
    assert len(post(phone, *marks)["refused"]) == len(kinds) > 10 and house.marks() == []


def test_a_lifters_phone_says_nothing_in_the_judges_name(house: House) -> None:
    phone = house.tablet(1, "lifter")
    as_judge = {"load": SAID["declare"]["load"], "by": "judge"}
    for kind in ("declare", "loaded"):
        assert len(post(phone, a_mark(1, kind=kind, device=device_of(phone), body=as_judge))["refused"]) == 1
    assert house.marks() == []


def test_a_phone_uses_up_no_numbers_of_the_judges_tablet(house: House) -> None:
    """The tablet would take its own marks with these numbers for safe at the desk, and forget them."""
    judge, phone = house.tablet(1), house.tablet(1, "lifter")
    forged = a_mark(1, kind="declare", device=device_of(judge), body=SAID["declare"])
    (refused,) = post(phone, forged)["refused"]
    assert "made on another device" in refused["sentence"] and judge.get("/lane/packet").json()["held"] == {}
    assert post(judge, a_mark(1, device=device_of(judge)))["held"] == {"1": 1}


def test_a_shadow_judges_marks_change_nothing(house: House) -> None:
    judge, shadow = house.tablet(1), house.tablet(1, "shadow")
    post(judge, *(a_mark(n, device=device_of(judge)) for n in range(1, 6)))
    before = house.browser().get("/results.json").json(), house.browser().get("/board/parts").json()["version"]
    marks = [a_mark(100 + n, "asg_1_1/1/shadow", device=device_of(shadow)) for n in range(1, 60)]
    assert post(shadow, *marks)["refused"] == [] and len(house.marks()) == 64
    assert (house.browser().get("/results.json").json(), house.browser().get("/board/parts").json()["version"]) == before


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house that holds everything that is nobody else's business."""
    with a_house(tmp_path_factory.mktemp("full"), file=_with_secrets()) as house:
        desk, tablet = house.desk(), house.tablet(1)
        desk.post(f"/desk/tablets/{device_of(tablet)}/name", data={"name": PRIVATE["a tablet's name"]})
        witness = PRIVATE["a waiver's witness"]
        seen = Checkin("ath_1", 1, witness, 2, witness, Length(PRIVATE["a height"], "cm"))
        house.app.state.hall.database.write(lambda session: CHECKINS.put(session, seen))
        yield house


def _with_secrets() -> CompetitionFile:
    plain = a_meet(OverallRule()).model_dump(mode="json")
    hours = (Hours(start=PRIVATE["when a judge can"], end="23:00"),)
    judge = Judge(id="jdg_x", name="Xenia", hours=hours, notes=PRIVATE["a judge's telephone"])
    opener = Opener(event="heavy", task="pulls", entry="ent_1", member=1, load=Load(PRIVATE["an opener"], "kg"))
    protest = Protest(
        id="prt_x",
        entry="ent_1",
        event="heavy",
        text=PRIVATE["a protest's words"],
        by=PRIVATE["who protested"],
        via="desk",
        filed_wall_ms=5,
    )
    plain["judges"] = [*plain["judges"], judge.model_dump(mode="json")]
    plain["openers"] = [opener.model_dump(mode="json")]
    plain["protests"] = [protest.model_dump(mode="json")]
    plain["measures"] = [{"athlete": "ath_1", "reach": {"amount": PRIVATE["a reach"], "unit": "cm"}}]
    return CompetitionFile.model_validate(plain)


def told_to_everybody(house: House) -> Iterator[tuple[str, str]]:
    """Every page, file and stream that the public can come to by following links, with what it says."""
    reader = Caller("a reader", {}, "reader")
    public = [way.path for way in ways(house.app) if roles.READER in way.doors and "GET" in way.methods]
    waiting = [path for path in public if "{" not in path]
    known = set(waiting)
    while waiting:
        path = waiting.pop()
        status, headers, body = knock(house, "GET", path, reader, accept="text/html")
        if status != 200:
            continue
        text = html.unescape(body.decode("utf-8", "replace"))
        yield path, text
        if headers["content-type"].startswith("text/html"):
            more = {link.partition("#")[0].partition("?")[0] for link in re.findall(r'href="(/[^"]*)"', text)} - known
            more = {link for link in more if not link.startswith("/static/")}
            known |= more
            waiting += sorted(more)


def test_nothing_that_everybody_may_read_holds_what_is_nobodys_business(full: House) -> None:
    told = dict(told_to_everybody(full))
    assert {"/board", "/board/stream", "/results.json", "/timetable.ics", "/clock/stream", "/sw.js"} <= told.keys()
    assert len(told) > 60 and all(any(path.startswith(room) for path in told) for room in ("/brief/", "/results/", "/overall/"))
    assert [(what, path) for path, text in told.items() for what, words in PRIVATE.items() if words in text] == []


@pytest.mark.parametrize("names", ["full", "initials"])
def test_the_published_folder_holds_none_of_it_either(full: House, names: str) -> None:
    packed = full.desk().get("/desk/results-copy.zip", params={"names": names}).content
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        told = {name: archive.read(name).decode("utf-8", "replace") for name in archive.namelist()}
    assert ("results/competition.json" in told) is (names == "full")
    assert [(what, name) for name, text in told.items() for what, words in PRIVATE.items() if words in text] == []


@pytest.mark.parametrize(
    "path", ["/desk/checkin", "/desk/checkin/ath_1", "/desk/people", "/desk/judges", "/desk/done", "/desk/tablets"]
)
def test_no_browser_keeps_a_page_of_what_is_noted_of_people(full: House, path: str) -> None:
    assert full.desk().get(path, headers={"accept": "text/html"}).headers["cache-control"] == "no-store"


def test_the_desks_own_pages_hold_it_all_so_that_the_search_can_find_it(full: House) -> None:
    desk = full.desk()
    pages = ["/desk/competition.json", "/desk/tablets", "/desk/checkin/ath_1", "/desk/checkin", "/review/results"]
    text = html.unescape("".join(desk.get(path, headers={"accept": "text/html"}).text for path in pages))
    assert [what for what, words in PRIVATE.items() if words not in text] == ["the desk's password"]


@pytest.mark.parametrize("seat", ["lane", "second", "shadow", "lifter"])
def test_a_lanes_devices_are_told_nothing_of_the_door_nor_of_protests(full: House, seat: str) -> None:
    text = full.tablet(1, seat, ON_THE_LAN).get("/lane/packet").text
    own = {"an opener", "a reach"}  # of the lifter of that very lane: the load to begin with, the height of the wall line
    assert [what for what, words in PRIVATE.items() if what not in own and words in text] == []


def test_files_of_everybodys_name_an_event_by_the_digest_that_its_sheet_has(full: House, tmp_path: Path) -> None:
    whole = full.desk().get("/desk/competition.json").json()
    packed = full.desk().get("/desk/results-copy.zip").content
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        public = CompetitionFile.model_validate_json(archive.read("results/competition.json"))
    assert public.seal is not None and dict(public.seal.events) == whole["seal"]["events"]
