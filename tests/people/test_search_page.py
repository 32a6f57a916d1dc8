"""The search: accents and case don't matter, a lane finds who stands there, each seat sees what it may, many stay quick."""

import re
import time
import unicodedata
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.hall.around import REVIEW_PASSWORD
from app.people.found_by import found_by
from app.people.search import PAGES, search
from app.rules.records.judges import Judge
from app.rules.records.roster import Athlete, Entry, Roster
from app.rules.values.alphabet import folded
from tests.builders.halls import PASSWORD, House, TestClient, a_house
from tests.builders.pairs import a_file
from tests.web.ways import whole_pages

PAGE = {"accept": "text/html"}
# Doors, screens of devices and of judges, what is begun from another page.
ELSEWHERE = {"/", "/call", "/demo", "/desk/backups/totals", "/desk/enter", "/lane", "/pair", "/review/enter", "/review/video"}
ELSEWHERE |= {
    "/coach",
    "/desk/tablets/coach",
    "/review/compare/judges/one",
    "/platform",
    "/platform/call",
    "/round",
    "/ten",
    "/train/set",
    "/trust",
}
NAMES = (("Chalk Lines", "12 Iron Larks", "Zoë & Łucja"), ("Jürgen Sørli", "Østby’s Five"))
MANY = 5_000
TO_LIST = ("Zora", "Łucja", "Éva", "åke", "Lukas")
QUICK_S = 0.1  # 4 to 7 ms where nothing else runs; a shared machine may be busy
LETTERS = st.text("abcdeéèñöüåøłðıXYZÉÖ", min_size=2, max_size=9)


def found(browser: TestClient, typed: str) -> dict[str, list[tuple[str, str]]]:
    """What is found, by kind: names and links."""
    answer = browser.get("/find", params={"q": typed}, headers={"accept": "application/json"})
    assert answer.status_code == 200, answer.text
    return {one["kind"]: [(hit["name"], hit["link"]) for hit in one["hits"]] for one in answer.json()["found"]}


def names(browser: TestClient, typed: str, kind: str = "Entries") -> list[str]:
    return [name for name, _ in found(browser, typed).get(kind, [])]


def head_judge(house: House, desk: TestClient) -> TestClient:
    """Somebody who is logged in as the head judge alone."""
    assert desk.post("/review/password", data={"password": PASSWORD[::-1], "again": PASSWORD[::-1]}).status_code == 303
    browser = house.browser()
    assert browser.post("/review/enter", data={"password": PASSWORD[::-1]}).status_code == 303
    return browser


@pytest.fixture
def house(tmp_path: Any) -> Any:
    with a_house(tmp_path, file=a_file(NAMES, heat_of=3, runs=0)) as opened:
        yield opened


@given(st.lists(LETTERS, min_size=1, max_size=4), st.data())
def test_a_name_is_found_by_the_beginnings_of_its_words_in_any_order_case_and_accent(
    words: list[str], data: st.DataObject
) -> None:
    typed = data.draw(st.permutations(words))
    cut = [word[: data.draw(st.integers(1, len(word)))] for word in typed]
    bare = ["".join(one for one in unicodedata.normalize("NFKD", word) if not unicodedata.combining(one)) for word in cut]
    text = found_by(*words)
    for spelt in (cut, bare, [word.upper() for word in cut]):
        assert all(f" {word}" in text for word in folded(" ".join(spelt)).split())


def test_entries_are_found_however_they_are_spelt(house: House) -> None:
    desk = house.desk()
    assert names(desk, "zoe lucja") == names(desk, "LUCJA") == ["Zoë & Łucja"]
    assert names(desk, "jurgen") == names(desk, "Juergen") == names(desk, "sorli") == ["Jürgen Sørli"]
    assert names(desk, "ostby") == ["Østby’s Five"]
    assert names(desk, "zoe larks") == [] and found(desk, "  ") == {}


def test_a_start_number_and_a_lane_find_who_they_are(house: House) -> None:
    desk = house.desk()
    assert names(desk, "12") == ["12 Iron Larks"]
    on_two = [("Lane 2, 12 Iron Larks", "/desk?heat=heat_1#lane-2")]
    assert found(desk, "2")["On lanes"] == found(desk, "lane 2")["On lanes"] == on_two
    assert found(desk, "ostby")["On lanes"] == [("Lane 2, Østby’s Five", "/desk?heat=heat_2#lane-2")]
    assert names(desk, "heat 2", "Heats") == ["Heat 2, Turns"]
    assert names(desk, "turns", "Events") == ["Turns"]
    assert names(desk, "backup", "Pages") == ["Backups"]


def test_what_each_seat_is_shown_opens_for_it(house: House) -> None:
    desk = house.desk()
    head = head_judge(house, desk)
    for browser in (desk, head):
        links = {
            link for typed in ("a", "e", "i", "o", "2", "th", "s") for hits in found(browser, typed).values() for _, link in hits
        }
        assert len(links) > 14
        for link in links:
            assert browser.get(link.partition("#")[0], headers=PAGE).status_code == 200, link
    assert ("Password", REVIEW_PASSWORD.link) in found(desk, "password")["Pages"]
    assert "Pages" not in found(head, "password")
    assert found(head, "zoe")["Entries"] == [("Zoë & Łucja", "/review/lanes/asg_2")]


def test_every_page_that_needs_no_more_than_its_address_is_found(house: House) -> None:
    alone = {path for path in whole_pages(house.app) if "{" not in path} - ELSEWHERE
    assert alone == {one.desk for one in PAGES}


def test_nobody_else_may_search(house: House) -> None:
    house.desk()
    for browser in (house.browser(), house.tablet(1)):
        answer = browser.get("/find?q=zoe", headers={"accept": "application/json"})
        assert answer.status_code == 401 and "zoe" not in answer.text.lower()


def test_five_thousand_entries_are_searched_while_somebody_types() -> None:
    file = a_file(NAMES, heat_of=3, runs=0)
    more = tuple(Athlete(id=f"more_{n}", name=f"Maria Öst{n}") for n in range(MANY))
    entries = tuple(Entry(id=one.id, division="div_0", name=one.name, members=(one.id,)) for one in more)
    roster = Roster(competition=file.competition, divisions=file.divisions, athletes=more, entries=entries)
    hall: Any = SimpleNamespace(projection=SimpleNamespace(roster=roster, runs=()))
    search(hall, "m", "desk")  # the first one makes what is looked through
    took = []
    for typed in ("m", "maria", "MARIA öst12", f"ost{MANY - 1}", "st499", "nobody"):
        begun = time.perf_counter()
        found = search(hall, typed, "desk")
        took.append(time.perf_counter() - begun)
        assert (typed != "nobody") == any(hits.kind == "Entries" for hits in found)
    assert min(took) < QUICK_S


def test_people_are_listed_as_an_alphabet_has_them(house: House) -> None:
    hall = house.app.state.hall
    roster = hall.projection.roster
    athletes = [one.model_copy(update={"name": f"{name} Quill"}) for one, name in zip(roster.athletes, TO_LIST, strict=False)]
    judges = tuple(Judge(id=f"jud_{n}", name=f"{name} Vale") for n, name in enumerate(TO_LIST))
    changed = roster.model_copy(update={"athletes": (*athletes, *roster.athletes[len(TO_LIST) :]), "judges": judges})
    hall.projection.roster_changed(changed, hall.projection.runs, ())
    for path, family in (("/desk/checkin", "Quill"), ("/desk/people", "Quill"), ("/desk/judges", "Vale")):
        shown = re.findall(rf"(\w+) {family}", house.desk().get(path, headers=PAGE).text)
        assert list(dict.fromkeys(shown)) == ["åke", "Éva", "Łucja", "Lukas", "Zora"], path
