"""Files that leave the desk and come back: who may have them, and what a bad one is answered."""

import csv
import io
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from app.results import apart as apart_module
from app.results import publishing
from app.results.competition_file import read_file, write_file
from app.rules.records.document import CompetitionFile
from app.rules.result.sealing import sealed
from app.store.acts import Asked, acts
from tests.builders.halls import House, a_house, a_mark, sent
from tests.builders.pairs import a_file

PAGE = {"accept": "text/html"}
FILE = sealed(a_file(done=((6, 9, 95), (7, 8, 80))))

SCORES_PRINTED = (
    *("/board", "/podium", "/results", "/results/evt_turns/score/ent_1", "/results/evt_turns/score/ent_1.json"),
    *("/results.json", "/desk/results.csv", "/review/lanes/asg_1_1"),
)


def test_only_the_desk_is_given_files(house: House) -> None:
    stranger = house.browser()
    for path in ("/desk/results.csv", "/desk/competition.json"):
        answer = stranger.get(path)
        assert answer.status_code in (401, 403) and answer.json()["sentence"]
        assert stranger.get(path, headers=PAGE).status_code == 303
    assert stranger.post("/desk/import", content=b"{}").status_code in (401, 403)


def test_the_results_are_a_csv_to_keep(house: House) -> None:
    answer = house.desk().get("/desk/results.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert answer.headers["content-disposition"] == 'attachment; filename="results.csv"'
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    assert {row["entry"] for row in rows} == {entry.name for entry in house.app.state.hall.projection.roster.entries}


def test_the_competition_file_is_read_back_by_an_empty_server(house: House, tmp_path: Path) -> None:
    exported = house.desk().get("/desk/competition.json").content
    (tmp_path / "other").mkdir()
    with a_house(tmp_path / "other", competition=False) as other:
        desk = other.desk()
        form = {"file": ("competition.json", exported, "application/json")}
        answer = desk.post("/desk/import", files=form, headers=PAGE)
        assert answer.status_code == 303 and answer.headers["location"] == "/desk"
        back = desk.get("/desk/competition.json").content
        assert read_file(back).model_copy(update={"made_wall_ms": 0}) == read_file(exported).model_copy(
            update={"made_wall_ms": 0}
        )
        assert read_file(exported).competition.name in other.browser().get("/").text


def test_the_file_of_a_long_day_is_made_apart_and_is_the_same_to_the_byte(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    desk, path = house.desk(), "/desk/competition.json"
    here = desk.get(path)
    monkeypatch.setattr(publishing, "MANY", 0)
    apart = desk.get(path)
    assert apart.content == here.content
    assert {**apart.headers, "content-length": here.headers["content-length"]} == dict(here.headers)
    monkeypatch.setattr(apart_module.sys, "executable", shutil.which("false"))
    failed = desk.get(path)
    assert (failed.status_code, failed.json()["sentence"]) == (503, str(apart_module.NotMade()))


def test_before_there_is_a_competition_there_is_no_file(tmp_path: Path) -> None:
    with a_house(tmp_path, competition=False) as house:
        answer = house.desk().get("/desk/results.csv")
        assert answer.status_code == 404 and "no competition yet" in answer.json()["sentence"]


def test_a_file_for_a_server_with_a_competition_is_refused(house: House) -> None:
    answer = house.desk().post("/desk/import", content=write_file(FILE))
    assert answer.status_code == 409 and "already holds a competition" in answer.json()["sentence"]


def test_a_bad_file_is_told_where_and_leaves_nothing(tmp_path: Path) -> None:
    with a_house(tmp_path, competition=False) as house:
        desk = house.desk()
        bad = write_file(FILE).replace(b'"kind":"rep"', b'"kind":"rap"', 1)
        answer = desk.post("/desk/import", content=bad)
        assert answer.status_code == 422 and answer.json()["sentence"].startswith("At /marks/0: The kind of a mark is one of")
        page = desk.post("/desk/import", files={"file": ("x.json", bad)}, headers=PAGE)
        assert page.status_code == 422 and "At /marks/0" in page.text
        assert house.app.state.hall.projection.roster is None and house.marks() == []
        told = {"competition": "cmp", "marks": len(FILE.marks), "faults": []}
        assert desk.post("/desk/import", content=write_file(FILE)).json() == told


def test_an_upload_without_a_file_is_told_so(tmp_path: Path) -> None:
    with a_house(tmp_path, competition=False) as house:
        desk = house.desk()
        for answer in (desk.post("/desk/import"), desk.post("/desk/import", files={"other": ("x", b"y")})):
            assert answer.status_code == 422 and "No file arrived" in answer.json()["sentence"]


def test_seven_presses_of_a_pair_are_seven_points_wherever_their_score_is_printed(house: House) -> None:
    desk = house.desk()
    assert desk.post("/desk/heats/het_1/go", data={}).status_code == 200
    house.clocks.pass_ms(1_400_000)
    desk.post("/marks", content=sent(*(a_mark(n) for n in range(1, 8))), headers={"content-type": "application/json"})
    plain = {path: desk.get(path, headers=PAGE).text for path in SCORES_PRINTED}
    texts = {path: re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text)) for path, text in plain.items()}
    assert {path: re.findall(r"\b7 lb\b", text) for path, text in texts.items()} == {path: [] for path in SCORES_PRINTED}
    assert {path for path, text in texts.items() if not re.search(r"\b7 +points|,7,7,points|\"unit\": ?\"points", text)} == set()


CHANGED = FILE.model_copy(update={"marks": tuple(replace(mark, at=mark.at + (n == 3)) for n, mark in enumerate(FILE.marks))})
WITHOUT_SEAL = {
    "a mark changed": (CHANGED, "was changed."),
    "a mark left out": (FILE.model_copy(update={"marks": FILE.marks[1:]}), "is missing."),
    "the seal taken off": (FILE.model_copy(update={"seal": None}), "carries no seal"),
}


@pytest.mark.parametrize(("file", "said"), WITHOUT_SEAL.values(), ids=WITHOUT_SEAL)
def test_a_file_that_is_not_what_was_sealed_comes_in_only_when_somebody_says_so(
    tmp_path: Path, file: CompetitionFile, said: str
) -> None:
    with a_house(tmp_path, competition=False) as house:
        desk, hall = house.desk(), house.app.state.hall
        refused = desk.post("/desk/import", content=write_file(file))
        assert refused.status_code == 422 and said in refused.json()["sentence"]
        form = {"file": ("c.json", write_file(file), "application/json")}
        page = desk.post("/desk/import", files=form, headers=PAGE)
        assert page.status_code == 422 and said in page.text and "Import it although" in page.text
        assert hall.projection.roster is None and house.marks() == []
        taken = desk.post("/desk/import", files=form, data={"even_if_changed": "on"}, headers=PAGE)
        assert taken.status_code == 303 and len(house.marks()) == len(file.marks), "nothing of it is lost"
        done = [one for one in hall.database.read(lambda session: acts(session, Asked(), 100)) if one.outcome == "done"]
        (about,) = [one.about for one in done if one.words == "Import a competition file"]
        assert "not as it was sealed" in about and said in about
