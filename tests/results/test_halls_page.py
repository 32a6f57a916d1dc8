"""Several halls at the desk: files taken in, questions settled, one standing."""

import csv
import gc
import io
import re

import pytest

from app.results import halls
from app.results.competition_file import write_file
from app.results.recount import recount
from app.rules.records.document import CompetitionFile
from app.rules.result.sealing import sealed
from tests.builders.halls import ON_THE_LAN, House, TestClient, a_mark, sent
from tests.rules.result.test_halls import NORTH, SAME, SOUTH, of_ledger

PAGE = {"Accept": "text/html"}
KEY = "person/iron larks/slow burn"


def take(desk: TestClient, name: str, file: CompetitionFile) -> str:
    """Takes a hall's file in as a person does; the page that follows."""
    sent = desk.post("/desk/halls", data={"name": name}, files={"file": ("c.json", write_file(sealed(file)))}, headers=PAGE)
    if sent.status_code == 303:
        return str(desk.get(sent.headers["location"], headers=PAGE).text)
    return str(sent.text)


def names(desk: TestClient) -> list[str]:
    """The entries of the joined standing, in order."""
    rows = csv.DictReader(io.StringIO(desk.get("/desk/halls/results.csv").content.decode("utf-8-sig")))
    return [row["entry"] for row in rows]


def test_two_files_make_one_standing_for_everybody(empty_house: House) -> None:
    desk = empty_house.desk()
    take(desk, "North", NORTH)
    assert "seal holds" in take(desk, "South", SOUTH)
    assert names(desk) == ["Chalk Lines", "Two Left", "Slow Burn", "Iron Larks"]
    public = empty_house.browser().get("/halls").text
    assert public.index("Chalk Lines") < public.index("Two Left") < public.index("Iron Larks")
    told = empty_house.browser().get("/halls.json").json()
    assert sorted(told["halls"].values()) == ["North", "North", "South", "South"]


def test_however_often_the_public_asks_the_halls_are_joined_once_until_something_changes(
    empty_house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, joined, join = empty_house.desk(), list[int](), halls.join_halls
    monkeypatch.setattr(halls, "join_halls", lambda *args: joined.append(1) or join(*args))
    take(desk, "North", NORTH)
    joined.clear()
    public = empty_house.browser(ON_THE_LAN)
    first = [public.get(path).content for path in ("/halls", "/halls.json")]
    for _ in range(5):
        assert [public.get(path).content for path in ("/halls", "/halls.json")] == first
    assert len(joined) <= 1
    take(desk, "South", SOUTH)
    assert "Two Left" in public.get("/halls").text and len(joined) <= 2, "a new file is there at once"


def test_what_is_downloaded_can_be_recounted_by_anybody(empty_house: House) -> None:
    desk = empty_house.desk()
    take(desk, "North", NORTH)
    take(desk, "South", SOUTH)
    found = recount(desk.get("/desk/halls/competition.json").content)
    assert [row.entry.name for row in found.events[0].tables[0].rows] == names(desk)
    assert found.sealed is not None and found.sealed.faults == ()


def test_a_question_waits_until_a_person_settles_it_and_can_be_opened_again(empty_house: House) -> None:
    desk = empty_house.desk()
    take(desk, "North", NORTH)
    empty_house.clocks.pass_ms(1)
    assert "Until somebody settles it, North counts." in take(desk, "South", SAME)
    assert names(desk) == ["Chalk Lines", "Two Left", "Iron Larks"]
    assert "1 question is not settled yet" in empty_house.browser().get("/halls").text
    desk.post("/desk/halls/settle", data={"key": KEY, "answer": "South"})
    assert names(desk) == ["Chalk Lines", "Two Left", "Slow Burn"]
    assert "not settled" not in empty_house.browser().get("/halls").text
    desk.post("/desk/halls/settle", data={"key": KEY, "answer": ""})
    assert names(desk) == ["Chalk Lines", "Two Left", "Iron Larks"]


def test_whether_a_file_is_a_halls_newer_one_or_another_halls_is_asked_where_the_files_can_not_tell(empty_house: House) -> None:
    desk = empty_house.desk()
    take(desk, "Noon", of_ledger(NORTH, "a", marks=(), runs=()))
    empty_house.clocks.pass_ms(1)
    page = take(desk, "Evening", of_ledger(NORTH, "a", made_wall_ms=5))
    assert "Evening may be a newer file from the same hall as Noon" in page
    assert "The same hall: only Evening counts" in page and "Two halls: both count" in page
    assert (
        names(desk) == ["Chalk Lines", "Iron Larks"]
        and "1 question is not settled yet" in empty_house.browser().get("/halls").text
    )
    key = re.search(r'name="key" value="(version/[^"]+)"', page)
    assert key is not None
    desk.post("/desk/halls/settle", data={"key": key[1], "answer": "newer"})
    assert "Noon is an earlier version of Evening, so it does not count." in desk.get("/desk/halls", headers=PAGE).text
    assert "not settled" not in empty_house.browser().get("/halls").text


def test_a_file_that_was_put_aside_does_not_count_until_it_is_taken_up_again(empty_house: House) -> None:
    desk = empty_house.desk()
    take(desk, "North", NORTH)
    page = take(desk, "South", SOUTH)
    found = re.search(r"/desk/halls/([0-9a-f]{64})/aside((?!/aside).)*?: South<", page, re.S)
    assert found is not None
    digest = found[1]
    desk.post(f"/desk/halls/{digest}/aside", data={"aside": "on"})
    assert names(desk) == ["Chalk Lines", "Iron Larks"]
    desk.post(f"/desk/halls/{digest}/aside", data={"aside": ""})
    assert names(desk) == ["Chalk Lines", "Two Left", "Slow Burn", "Iron Larks"]


def test_what_is_no_competition_file_is_refused_with_a_sentence_and_nothing_is_kept(empty_house: House) -> None:
    desk = empty_house.desk()
    sent = desk.post("/desk/halls", data={"name": "North"}, files={"file": ("c.json", b"{}")}, headers=PAGE)
    assert sent.status_code == 422 and "This is not a competition file" in sent.text and 'value="North"' in sent.text
    assert desk.post("/desk/halls", data={"name": "North"}, headers=PAGE).status_code == 422
    assert "No file is here yet." in desk.get("/desk/halls", headers=PAGE).text
    assert desk.get("/desk/halls/results.csv").status_code == 404


def test_the_same_file_again_and_the_same_name_again_are_refused(empty_house: House) -> None:
    desk = empty_house.desk()
    take(desk, "North", NORTH)
    assert "This file is here already, as North." in take(desk, "East", NORTH)
    assert "A file named North is here already." in take(desk, "North", SOUTH)


def test_a_file_that_somebody_changed_says_so_beside_its_name(empty_house: House) -> None:
    desk = empty_house.desk()
    broken = sealed(NORTH).model_copy(update={"marks": NORTH.marks[1:]})
    desk.post("/desk/halls", data={"name": "North"}, files={"file": ("c.json", write_file(broken))})
    page = desk.get("/desk/halls", headers=PAGE).text
    assert "seal broken" in page and "is missing." in page


def test_what_this_hall_exported_is_its_own_earlier_file_and_another_halls_is_not(house: House) -> None:
    desk = house.desk()
    made = house.tablet(1)
    device = made.get("/lane/packet").json()["device"]["id"]
    made.post("/marks", content=sent(a_mark(1, device=device)), headers={"content-type": "application/json"})
    own = desk.get("/desk/competition.json").content
    made.post("/marks", content=sent(a_mark(2, device=device)), headers={"content-type": "application/json"})
    desk.post("/desk/halls", data={"name": "Noon"}, files={"file": ("c.json", own)})
    assert "Noon is an earlier version of This hall, so it does not count." in take(desk, "South", SOUTH)
    assert "may be a newer file" not in desk.get("/desk/halls", headers=PAGE).text


def test_this_halls_own_marks_count_beside_the_others(house: House) -> None:
    desk = house.desk()
    take(desk, "South", SOUTH)
    told = desk.get("/halls.json").json()
    assert "South" in told["halls"].values()
    assert desk.get("/desk/halls", headers=PAGE).status_code == 200


def test_a_mark_of_this_hall_has_nothing_made_anew_of_the_others_files(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    desk, tablet, public = house.desk(), house.tablet(1), house.browser(ON_THE_LAN)
    device = tablet.get("/lane/packet").json()["device"]["id"]
    take(desk, "South", SOUTH)
    digests, told = list[str](), list[str]()
    seal, words = halls.seal_faults, halls.own_words
    monkeypatch.setattr(halls, "seal_faults", lambda file: digests.append(file.competition.id) or seal(file))
    monkeypatch.setattr(halls, "own_words", lambda file: told.append(file.name) or words(file))
    for number in range(1, 4):
        tablet.post("/marks", content=sent(a_mark(number, device=device)), headers={"content-type": "application/json"})
        shown = public.get("/halls.json").json()
        assert {"South", "This hall"} <= set(shown["halls"].values())
        assert "South" in public.get("/halls").text
    assert not digests and told == ["This hall"] * 3
    walked = {id(one) for one in gc.get_objects()}
    kept = [file for held in (halls._READ, halls._OWN_WORDS) for file in held._held.values()]
    assert kept and walked.isdisjoint(map(id, kept)), "the collector walks through none of it"


def test_while_no_other_halls_file_counts_marks_have_nothing_joined(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    tablet, public, asked, made = house.tablet(1), house.browser(ON_THE_LAN), list[int](), halls._whole
    device = tablet.get("/lane/packet").json()["device"]["id"]
    monkeypatch.setattr(halls, "_whole", lambda *args: asked.append(1) or made(*args))
    for number in range(1, 4):
        tablet.post("/marks", content=sent(a_mark(number, device=device)), headers={"content-type": "application/json"})
        assert "No other hall's results are here yet" in public.get("/halls").text
    assert len(asked) == 1
