"""Which language a page speaks, and that no language enters a file, a digest, a recount or a mark."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.floor.packet_words import in_words_of
from app.rules.records.overall_rule import OverallRule
from app.web.assets import served_bytes
from app.web.rows import ONLY_LOOKS, Rows
from app.web.spoken import COOKIE
from app.wording import catalogue
from tests.builders.halls import House, a_house
from tests.builders.meets import a_meet, penalty
from tests.test_house import STATIC

PAGE = {"accept": "text/html"}
FILES = ("/results.json", "/results/swings/score/ent_1.json", "/overall/open/ent_1.json", "/desk/overall.csv")
DIGEST = re.compile(r'<p class="digest">([^<]+)</p>')


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    file = a_meet(OverallRule(by="linear", named="swings"), rulings=[penalty("ent_1", "errands", "5")])
    with a_house(tmp_path, file=file) as opened:
        yield opened


def choose(house: House, desk: TestClient, language: str) -> None:
    now = house.app.state.hall.projection.roster.competition
    kept = {field: str(getattr(now, field)) for field in ("name", "place", "day", "unit", "protest_minutes")}
    form = kept | {"language": language}
    assert desk.post("/desk/competition", data=form, follow_redirects=False).status_code == 303


def read(visitor: TestClient, path: str) -> str:
    answer = visitor.get(path, headers=PAGE)
    assert answer.status_code == 200, path
    return answer.text


def test_the_hall_speaks_what_the_competition_chose_and_a_browser_what_it_chose_itself(house: House) -> None:
    desk, visitor, other = house.desk(), house.browser(), house.browser()
    assert 'lang="en"' in read(visitor, "/board") and "Standings" in read(visitor, "/board")
    choose(house, desk, "de")
    other.cookies.set(COOKIE, "en")
    for path, german, english in (
        ("/board", "Ranglisten", "Standings"),
        ("/results", "Ergebnisse", ">Results<"),
        ("/clock", "Vollbild", "Full screen"),
    ):
        told = read(visitor, path)
        assert 'lang="de"' in told and german in told and english not in told
        assert 'lang="en"' in read(other, path) and english in read(other, path)
    assert "Competition" in read(desk, "/desk/competition") and 'lang="en"' in read(desk, "/desk/setup")


def test_a_language_that_is_none_is_refused_or_passed_over(house: House) -> None:
    desk, visitor = house.desk(), house.browser()
    form = {"name": "Quay Day", "unit": "kg", "protest_minutes": "30", "language": "xx"}
    assert "is one of: English, Deutsch." in desk.post("/desk/competition", data=form).text
    visitor.cookies.set(COOKIE, "../de")
    assert 'lang="en"' in read(visitor, "/board")


def test_no_language_enters_data_a_file_or_a_digest(house: House) -> None:
    desk = house.desk()
    before = {path: desk.get(path).text for path in FILES}
    digests = DIGEST.findall(read(desk, "/results/swings"))
    choose(house, desk, "de")
    desk.cookies.set(COOKIE, "de")
    german = read(desk, "/results/swings")
    assert "Prüfsummen" in german and DIGEST.findall(german) == digests and len(digests) == 2
    read(desk, "/results")
    assert {path: desk.get(path).text for path in FILES} == before
    assert '"language"' not in desk.get("/desk/export").text


def test_what_keeps_anything_speaks_english_and_what_only_looks_may_speak() -> None:
    with pytest.raises(ValueError, match="English alone"):
        Rows().post("/somewhere", record=("device", "Do something"), spoken=True)
    assert Rows().post("/somewhere", record=ONLY_LOOKS, spoken=True)


def test_whoever_is_asked_what_a_device_becomes_answers_in_its_language(house: House) -> None:
    visitor = house.browser()
    visitor.cookies.set(COOKIE, "de")
    refused = visitor.post("/pair/look", json={"code": "123456"}).json()["sentence"]
    assert refused.startswith("Diese Einladung ist benutzt, falsch getippt oder älter als 10 Minuten.")


def test_one_language_leaves_nothing_behind_in_a_page_of_the_other(house: House) -> None:
    english, german = house.browser(), house.browser()
    german.cookies.set(COOKIE, "de")
    paths = ("/board", "/results", "/results/errands/score/ent_1", "/overall/open/ent_1", "/follow/ent_1", "/brief/errands")
    before = {path: read(english, path) for path in paths}
    told = {path: read(german, path) for path in paths}
    assert all(told[path] != before[path] for path in paths)
    assert {path: read(english, path) for path in paths} == before


def test_a_load_has_a_comma_where_a_person_reads_german(house: House) -> None:
    german = house.browser()
    german.cookies.set(COOKIE, "de")
    told = read(german, "/results/heavy/lift/ent_4")
    assert "183,7049 kg" in told and "183.7049 kg" not in told
    assert "Platz" in told and "Wertung" in told


def test_a_script_speaks_its_language_and_what_it_marks_is_english() -> None:
    english, german = (served_bytes(STATIC / "js/screens/floor/lane.js", language).decode() for language in ("en", "de"))
    assert '"Take back last"' in english and '"Letzten zurück"' in german and "Take back last" not in german
    # What a mark holds is written in neither: the very same texts are in both.
    for text in ("Head judge called.", "Clock held by hand: the desk could not be reached.", "Injury or illness"):
        assert text in english and text in german
    assert len(german) < 1.03 * len(english)


def test_a_packet_shows_movements_in_german_and_keeps_what_is_signed_for() -> None:
    fault = {"id": "low", "name": "no rep", "say": None}
    format = {"movements": {"m": {"name": "Work list", "standards": ["It is so."], "faults": [fault]}}}
    bar = "Bar: 20 kg (44.1 lb)"
    checks, lines = ["Work list", "A red rope", bar], {bar: ("Bar: {load}", {"load": "20 kg (44.1 lb)"})}
    packet = {"version": "1", "events": {"e": {"format": format, "checks": checks, "lines": lines, "measuring": []}}}
    assert in_words_of(catalogue(), packet) is packet
    event = in_words_of(catalogue("de"), packet)["events"]["e"]
    assert event["format"]["movements"]["m"]["name"] == "Aufgabenliste"
    assert event["format"]["movements"]["m"]["standards"] == ["It is so."]
    assert event["format"]["movements"]["m"]["faults"] == [fault | {"name": "ungültig"}]
    assert event["checks"] == checks
    assert event["shown"] == {"Work list": "Aufgabenliste", bar: "Stange: 20 kg (44,1 lb)"}
