"""A tablet's number that is used again: kept, told, and moving no score, by whichever way it comes and in whatever order."""

import json
from pathlib import Path
from typing import Any

import pytest

from app import files
from app.floor.lane_packet import lane_packet
from app.live.presence import Who
from app.results.competition_file import read_file
from app.results.publishing import export_file
from app.results.recount import recount_of, recount_plain
from app.review.flags import flags
from app.rules.records.seal import mark_print
from app.rules.result.results import results
from app.store.copies.backup import take_snapshot
from tests.builders.halls import House, TestClient, a_house, a_mark, sent
from tests.review.test_review_page import JSON, PAGE, WHO, judged, option_of, text_of
from tests.review.test_review_results_page import EVENT, over, sign_form

LANE = "asg_1_1/1/lane"


def again(seq: int, **other: Any) -> dict[str, Any]:
    """Another mark under a number of lane 1's tablet, which judged() has used."""
    return a_mark(seq, LANE, at=1000 * seq + 500) | {"id": f"{0xF00 + seq:032x}"} | other


def post(desk: TestClient, *marks: dict[str, Any]) -> dict[str, Any]:
    answer = desk.post("/marks", content=sent(*marks), headers=JSON)
    assert answer.status_code == 200
    return dict(answer.json())


def scores(house: House) -> list[tuple[str, str]]:
    tables = house.app.state.hall.projection.event_results(EVENT).tables
    return [(row.entry.name, row.score.text) for row in tables[0].rows if row.score]


def told_to_the_tablet(house: House) -> dict[str, str]:
    """Of lane 1's numbers that were used twice, which mark counts, as its tablet is told."""
    packet = lane_packet(house.app.state.hall, Who("dev_lane", "lane", 1), 1)
    (counting,) = (heat["assignment"]["counting"] for heat in packet["heats"] if heat["assignment"]["id"] == "asg_1_1")
    return dict(counting)


def signed(house: House) -> TestClient:
    desk = over(house)
    answer = desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk), headers=PAGE)
    assert answer.status_code == 303, text_of(answer)
    return desk


def test_numbers_used_again_after_a_sign_off_move_nothing_and_the_head_judge_is_told(house: House) -> None:
    desk = signed(house)
    before = scores(house)
    answer = post(desk, *(again(n) for n in range(1, 7)), again(1, id="e" * 32))
    assert len(answer["doubled"]) == 7 and answer["refused"] == []
    assert scores(house) == before, "the marks that were signed count"
    assert len(house.marks()) == 13 + 7
    queue = text_of(desk.get("/review", headers=PAGE))
    assert "One number, two marks" in queue
    assert "6 of the tablets' mark numbers were used more than once" in text_of(desk.get("/desk", headers=PAGE))


def test_numbers_used_again_before_a_sign_off_count_neither_until_it_is_ruled(house: House) -> None:
    desk = judged(house)
    honest = scores(house)
    post(desk, again(1))
    assert scores(house) != honest and list(told_to_the_tablet(house).values()) == [""]
    (key, *_) = {flag.key for flag in flags(house.app.state.hall) if flag.why.startswith("number-")}
    page = desk.get(f"/review/lanes/asg_1_1?flag={key}", headers=PAGE)
    assert "None of them counts until you say which" in text_of(page) and "Rep at 0:01 counts" in text_of(page)
    ruled = desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": option_of(page), "flag": key}, headers=PAGE)
    assert ruled.status_code == 303 and scores(house) == honest, "one repetition under one number"
    assert list(told_to_the_tablet(house).values()) in ([again(1)["id"]], [a_mark(1, LANE)["id"]])
    assert "One number, two marks" not in text_of(desk.get("/review", headers=PAGE)).partition("Settled")[0]
    assert "Of the marks with the same number" in text_of(desk.get("/review/trail", headers=PAGE))


def test_a_ruling_on_a_number_names_one_of_its_marks_and_a_restore_in_pieces_finds_them(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = judged(house)
    post(desk, again(1))
    one = {mark_print(mark) for mark in house.marks() if mark.seq == 1 and mark.sheet == LANE}
    alone = next(mark_print(mark) for mark in house.marks() if mark.seq == 2 and mark.sheet == LANE)
    for lane, key in (("asg_1_1", "0" * 64), ("asg_1_1", alone), ("asg_1_2", min(one))):
        option = json.dumps([{"kind": "number", "assignment": lane, "body": {"print": key}}])
        refused = desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": option}, headers=PAGE)
        assert refused.status_code == 422 and "none of the marks of its lane that share a number" in text_of(refused)
    option = json.dumps([{"kind": "number", "assignment": "asg_1_1", "body": {"print": min(one)}}])
    assert desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": option}, headers=PAGE).status_code == 303
    monkeypatch.setattr(files, "MARKS_AT_ONCE", 2)
    house.app.state.hall.database.read(files.as_on_import)


@pytest.mark.parametrize("when", ["before", "after"])
def test_a_file_and_a_restored_store_give_the_same_scores(house: House, tmp_path: Path, when: str) -> None:
    desk = judged(house) if when == "before" else signed(house)
    post(desk, *(again(n) for n in range(2, 5)), a_mark(3, LANE, kind="norep"))
    shown = recount_plain_of(house)
    content = desk.get("/desk/competition.json").content
    with a_house(tmp_path / "other", competition=False) as other:
        taken = other.desk().post("/desk/import", files={"file": ("c.json", content, "application/json")})
        assert taken.status_code == 200, taken.text
        assert recount_plain_of(other) == shown and len(other.marks()) == len(house.marks())
    folder = tmp_path / "restored"
    folder.mkdir()
    database = house.app.state.hall.database
    take_snapshot(database, folder / database.file.name)
    with a_house(folder, competition=False) as back:
        assert recount_plain_of(back) == shown and len(back.marks()) == len(house.marks())


def recount_plain_of(house: House) -> Any:
    """The standings, the same from the hall and from its file."""
    hall = house.app.state.hall
    file = read_file(export_file(hall))
    assert results(file) == [hall.projection.event_results(event.id) for event in file.events]
    return recount_plain(recount_of(file, results(file)))
