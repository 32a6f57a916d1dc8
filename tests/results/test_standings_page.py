"""The desk's pages of standings: the overall rule, heats from standings, variants and counters, bodyweights."""

import csv
import html
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Athlete, Event
from app.rules.values.units import Load
from app.store.roster import read_roster
from tests.builders.halls import House, TestClient, a_house
from tests.builders.meets import LONG, a_meet, swings

PAGE = {"accept": "text/html"}
PATHS = ("/desk/overall", "/desk/cut", "/desk/events/swings/variants", "/desk/overall.csv")


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    file = a_meet()
    final = Event(id="final", name="Final", format=swings())
    with a_house(tmp_path, file=file.model_copy(update={"events": (*file.events, final)})) as opened:
        yield opened


def post(desk: TestClient, path: str, status: int, **typed: str) -> str:
    answer = desk.post(
        path, data={name.replace("_", "-") if "division" in name else name: text for name, text in typed.items()}, headers=PAGE
    )
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


RULE = {"by": "linear", "first": "100", "less": "5", "least": "0", "shared": "same", "absent": "last", "count_back": "on"}


@pytest.mark.parametrize("path", PATHS)
def test_they_are_for_the_desk_alone(house: House, path: str) -> None:
    assert house.browser().get(path).status_code == 401
    assert house.tablet(1).get(path, headers=PAGE).headers["location"].startswith("/desk/enter")


def test_the_overall_rule_is_chosen_and_everybody_stands_under_it(house: House) -> None:
    desk = house.desk()
    assert desk.get("/desk/overall.csv").status_code == 404
    post(desk, "/desk/overall", 303, **RULE)
    assert house.app.state.hall.projection.roster.overall == OverallRule(by="linear", less=5)  # type: ignore[arg-type]
    text = html.unescape(desk.get("/desk/overall", headers=PAGE).text)
    assert "Each score gives 100 points for place 1 and 5 fewer" in text and 'href="/overall/open/ent_2"' in text
    assert ">by count-back</span>" in text
    post(desk, "/desk/overall", 303, **{name: text for name, text in RULE.items() if name != "count_back"}, named="errands")
    assert ">by place in Errands for the hall</span>" in desk.get("/desk/overall", headers=PAGE).text
    refused = post(desk, "/desk/overall", 422, **{**RULE, "by": "table", "points": "10, ten"})
    assert "not “ten”" in refused and "10, ten" in refused, "what was typed is kept"


def test_the_overall_standing_can_be_opened_in_a_spreadsheet(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    post(desk, "/desk/overall", 303, **RULE)
    entry = hall.projection.roster.entries[1].model_copy(update={"name": "=1+1"})
    hall.projection.roster_changed(
        hall.projection.roster.model_copy(
            update={"entries": (entry, *hall.projection.roster.entries[2:], hall.projection.roster.entries[0])}
        ),
        hall.projection.runs,
        (),
    )
    answer = desk.get("/desk/overall.csv")
    assert answer.headers["content-disposition"] == 'attachment; filename="overall.csv"'
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    first = rows[0]
    assert (first["division"], first["place"], first["entry"], first["total"]) == ("Open", "1", "'=1+1", "395")
    assert (first["Swings: place"], first["Swings: counts"], first["Heavy and quick: Deadlift: counts"]) == ("1", "100", "95")
    by_name = {row["entry"]: row for row in rows}
    assert by_name["Dot Penhale"]["place"] == "" and by_name[LONG]["tie"] == "count-back"
    assert all(None not in row and None not in row.values() for row in rows), "every row has every cell"


def test_heats_are_looked_at_then_made(house: House) -> None:
    desk = house.desk()
    typed = {
        "source": "swings/score",
        "division": "open",
        "most": "3",
        "event": "final",
        "lanes": "4",
        "order": "last",
        "seeding": "middle",
    }
    shown = post(desk, "/desk/cut", 200, **typed, do="look")
    assert "3 entries advance of 5." in shown and "Make this heat" in shown
    stamp = re.search(r'name="stamp" value="(\w+)"', shown)
    assert stamp is not None
    refused = post(desk, "/desk/cut", 422, **typed, do="make", stamp="x")
    assert "These are not the heats that were shown" in refused and "Make this heat" in refused
    post(desk, "/desk/cut", 303, **typed, do="make", stamp=stamp[1])
    heats = [heat for heat in house.app.state.hall.projection.roster.heats if heat.event == "final"]
    assert [(lane.lane, lane.entry) for lane in heats[0].lanes] == [(1, "ent_4"), (2, "ent_2"), (3, "ent_1")]
    again = post(desk, "/desk/cut", 422, **typed, do="look")
    assert "are already in a heat of this event" in again and 'id="problems"' in again


def test_variants_and_counters_of_an_event_are_stored_and_refused_with_a_sentence(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/events/swings/variants", 303, how="median", recount_beyond="4", division_open="light")
    text = desk.get("/desk/events/swings/variants", headers=PAGE).text
    assert '<option value="light" selected>' in text and '<option value="median" selected>' in text and 'value="4"' in text
    refused = post(desk, "/desk/events/swings/variants", 422, how="median", recount_beyond="many")
    assert "not “many”" in refused and 'value="many"' in refused
    assert desk.get("/desk/events/none/variants").status_code == 404
    assert "has no variants" in desk.get("/desk/events/errands/variants", headers=PAGE).text


def test_a_lane_chooses_its_variant_on_the_page_of_its_heat(house: House) -> None:
    desk = house.desk()
    text = desk.get("/desk/heats/heat_1/lanes", headers=PAGE).text
    assert 'name="lane-1-variant"' in text and 'value="as-written"' in text
    assert "-variant" not in desk.get("/desk/heats/heat_2/lanes", headers=PAGE).text


def test_a_bodyweight_is_stored_and_kept(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/athletes/ath_1", 303, name="Ada Quill", club="", weight="140 lb")
    assert athlete(house, "ath_1").bodyweight == Load("140", "lb")
    post(desk, "/desk/athletes/ath_1", 303, name="Ada Quill-Reed", club="quay")
    assert athlete(house, "ath_1").bodyweight == Load("140", "lb"), "a form without the field changes nothing of it"
    refused = post(desk, "/desk/athletes/ath_1", 422, name="Ada", club="", weight="500")
    assert "The bodyweight is at most 400 kg; not 500 kg." in refused
    post(desk, "/desk/athletes/ath_1", 303, name="Ada", club="", weight="")
    assert athlete(house, "ath_1").bodyweight is None


def athlete(house: House, key: str) -> Athlete:
    """An athlete as stored."""
    roster = house.app.state.hall.database.read(read_roster)
    return next(one for one in roster.athletes if one.id == key)


def test_who_counts_as_absent_only_until_they_are_judged_is_told_so_beside_the_total(tmp_path: Path) -> None:
    meet = a_meet(OverallRule(by="linear", less=5), events=2)  # type: ignore[arg-type]
    waits = meet.model_copy(update={"marks": tuple(mark for mark in meet.marks if not mark.sheet.startswith("asg_21/"))})
    for file, waiting in ((meet, 0), (waits, 1)):
        with a_house(tmp_path / str(waiting), file=file) as house:
            desk = house.desk()
            for path in ("/results", "/board", "/desk/overall"):
                text = html.unescape(desk.get(path, headers=PAGE).text)
                assert "Provisional" in text
                assert text.count("so far: Errands for the hall not judged yet") == waiting, path
                assert len(re.findall(r"\d+ \(not yet\)", text)) == 2 + waiting, "Dot Penhale was judged in neither event"
            why = html.unescape(desk.get("/overall/open/ent_1", headers=PAGE).text)
            assert ("Errands for the hall: not judged yet; until then it counts " in why) == bool(waiting)
