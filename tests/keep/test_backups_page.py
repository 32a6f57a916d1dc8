"""The desk's page of backups: a backup now, another place, a tablet's file, totals read out."""

import json
from pathlib import Path
from typing import Any

import pytest

from app.rules.records.document import CompetitionFile
from app.rules.result.results import results
from app.store.copies.backup import check
from tests.builders.halls import House, a_mark, sent
from tests.builders.pairs import SQUAT

PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}
SQUAT_FIELD = f"w{SQUAT[0]}"


def a_file(*marks: object, **changes: Any) -> bytes:
    """A file as a tablet saves it."""
    return json.dumps({"file": "lane-ledger-marks", "version": 1, "tablet": "Lane 1 tablet", "marks": marks} | changes).encode()


def take(desk: Any, data: bytes, **headers: str) -> Any:
    return desk.post("/desk/backups/marks", files={"file": ("marks.json", data)}, headers=headers)


def score_of(house: House, desk: Any, entry: str) -> str:
    """An entry's score as the projection has it, which must be what anybody counts from the competition file."""
    live = [row for table in house.app.state.hall.projection.event_results("evt_turns").tables for row in table.rows]
    file = CompetitionFile.model_validate_json(desk.get("/desk/competition.json").content)
    assert [row.score for table in results(file)[0].tables for row in table.rows] == [row.score for row in live]
    return next(row.score.text for row in live if row.entry.name == entry and row.score)


@pytest.fixture
def desk(house: House) -> Any:
    return house.desk()


def test_the_page_is_the_desks(house: House) -> None:
    assert house.browser().get("/desk/backups", headers=PAGE).status_code == 303
    assert house.browser().post("/desk/backups/now").status_code == 401
    assert take(house.tablet(1), a_file(a_mark())).status_code == 401


def test_a_backup_now_is_written_read_back_and_shown(house: House, desk: Any, tmp_path: Path) -> None:
    house.tablet(1).post("/marks", content=sent(a_mark()), headers=JSON)
    assert "None since the server started" in desk.get("/desk/backups", headers=PAGE).text
    made = desk.post("/desk/backups/now").json()
    assert Path(made["file"]).parent == tmp_path / "backups"
    assert check(Path(made["file"])).marks == made["marks"] == 1
    shown = desk.get("/desk/backups", headers=PAGE).text
    assert "read back and complete" in shown and "on the same disk" in shown and Path(made["file"]).name in shown
    assert "choose it here" in shown


def test_another_place_is_chosen_and_kept(house: House, desk: Any, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    assert desk.post("/desk/backups/folder", data={"folder": str(stick)}, headers=PAGE).status_code == 303
    made = desk.post("/desk/backups/now").json()
    assert Path(made["file"]).parent == stick / "lane-ledger-backups"


@pytest.mark.parametrize(("folder", "said"), [("stick", "full path"), ("/no/such/place", "no such folder")])
def test_a_place_that_is_none_is_refused_with_what_was_typed(desk: Any, folder: str, said: str) -> None:
    answer = desk.post("/desk/backups/folder", data={"folder": folder}, headers=PAGE)
    assert answer.status_code == 422 and said in answer.text and f'value="{folder}"' in answer.text


def test_a_backup_that_fails_is_told_on_its_page_and_needs_a_person(house: House, desk: Any, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    desk.post("/desk/backups/folder", data={"folder": str(stick)}, headers=PAGE)
    stick.rmdir()
    stick.write_text("somebody pulled it out")
    answer = desk.post("/desk/backups/now", headers=PAGE)
    assert answer.status_code == 507 and "could not be written" in answer.text
    assert "could not be written" in desk.get("/desk", headers=PAGE).text
    stick.unlink()
    assert desk.post("/desk/backups/now").status_code == 507, "it is not there, and no folder of its name is made"
    stick.mkdir()
    assert desk.post("/desk/backups/now").status_code == 200
    assert "could not be written" not in desk.get("/desk", headers=PAGE).text


def test_a_tablets_file_merges_with_what_it_sent(house: House, desk: Any) -> None:
    tablet = house.tablet(1)
    tablet.post("/marks", content=sent(a_mark(1), a_mark(2)), headers=JSON)
    for new in (3, 0):
        answer = take(desk, a_file(*(a_mark(seq) for seq in range(1, 6)))).json()
        assert (answer["new"], answer["known"], answer["refused"]) == (new, 5 - new, [])
    tablet.post("/marks", content=sent(a_mark(5), a_mark(6)), headers=JSON)
    assert sorted(mark.seq for mark in house.marks()) == [1, 2, 3, 4, 5, 6]


def test_a_long_file_is_taken_whole_and_a_bad_mark_in_it_is_told(house: House, desk: Any) -> None:
    marks = [a_mark(seq) for seq in range(1, 452)]
    answer = take(desk, a_file(*marks, a_mark(900, sheet="asg_9_9/1/lane"), "no mark"), accept="text/html")
    assert answer.status_code == 200
    assert "451 marks taken from Lane 1 tablet; 0 were here already. 2 marks refused" in answer.text
    assert len(house.marks()) == 451


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "No file arrived"),
        (b"\xff\xfe", "not JSON"),
        (b"[1]", "not one that a tablet saved"),
        (a_file(version=2), "another version"),
        (json.dumps({"file": "lane-ledger-competition", "marks": []}).encode(), "not one that a tablet saved"),
    ],
)
def test_another_file_is_refused_with_a_sentence(house: House, desk: Any, data: bytes, said: str) -> None:
    answer = take(desk, data)
    assert answer.status_code == 422 and said in answer.json()["sentence"]
    assert house.marks() == []


def test_totals_read_out_count_until_the_tablets_marks_come(house: House, desk: Any) -> None:
    tablet = house.tablet(1)
    desk.post("/desk/heats/het_1/go")
    house.clocks.pass_ms(60_000)
    tablet.post("/marks", content=sent(*(a_mark(seq) for seq in range(1, 26))), headers=JSON)
    form = desk.get("/desk/backups/totals?lane=asg_1_1", headers=PAGE)
    assert "Marks here say 25." in form.text
    answer = desk.post("/desk/backups/totals?lane=asg_1_1", data={"w0": "40", SQUAT_FIELD: "225"}, headers=PAGE)
    assert "Totals of 2 windows are saved." in answer.text
    assert score_of(house, desk, "Lanterns") == "265"
    assert "2 windows count from totals read out" in desk.get("/desk?heat=het_1", headers=PAGE).text
    tablet.post("/marks", content=sent(*(a_mark(seq) for seq in range(1, 43))), headers=JSON)
    assert score_of(house, desk, "Lanterns") == "267", "42 of its own, not 40 and not 82"


def test_totals_keyed_in_again_replace_those_before(house: House, desk: Any) -> None:
    for count, score in (("40", "40"), ("38", "38"), ("0", "38")):
        desk.post("/desk/backups/totals?lane=asg_1_1", data={"w0": count}, headers=PAGE)
        assert score_of(house, desk, "Lanterns") == score
    assert [mark.sheet for mark in house.marks() if not mark.sheet.endswith("/paper")] == []


@pytest.mark.parametrize(("typed", "said"), [({"w0": "forty"}, "whole number"), ({SQUAT_FIELD: "two plates"}, "The lift")])
def test_totals_that_can_not_be_read_are_refused_and_kept_on_the_screen(
    house: House, desk: Any, typed: dict[str, str], said: str
) -> None:
    answer = desk.post("/desk/backups/totals?lane=asg_1_1", data=typed, headers=PAGE)
    assert answer.status_code == 422 and said in answer.text and next(iter(typed.values())) in answer.text
    assert house.marks() == []


def test_totals_of_a_lane_that_is_none_are_refused(desk: Any) -> None:
    assert desk.get("/desk/backups/totals?lane=asg_x", headers=PAGE).status_code == 404
    assert desk.post("/desk/backups/totals?lane=asg_x", data={"w0": "1"}).status_code == 404
