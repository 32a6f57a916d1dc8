"""Lifts on the public board: what is declared, what came of each attempt, whether the bar is out, who is called next."""

import csv
import html
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.hall.going_past import may_go_past
from app.hall.result_words import table_key
from app.rules.records.body_formulas import formulas_known
from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.watch.board_lifts import MOST_SHOWN
from tests.builders.halls import House, a_house, a_mark, sent, slate_day_lifting
from tests.rules.result.test_overall_bodies import two_lifters

SQUAT_A = 4
ON_IT = 481_000


@pytest.fixture
def running(tmp_path: Path) -> Iterator[House]:
    """A house whose first heat has had its GO."""
    with a_house(tmp_path) as house:
        house.desk().post("/desk/heats/het_1/go", data={"lead": "8"})
        house.clocks.pass_ms(500_000)
        yield house


def said(amount: str, **more: Any) -> dict[str, Any]:
    return {"load": {"amount": amount, "unit": "kg"}, **more}


def mark(house: House, *marks: dict[str, Any]) -> None:
    tablet = house.tablet(int(marks[0]["sheet"].split("_")[2].split("/")[0]))
    answer = tablet.post("/marks", content=sent(*marks), headers={"content-type": "application/json"})
    assert answer.json()["refused"] == []


def lane(house: House, number: int) -> str:
    """The lane's lift line as text."""
    page = html.unescape(house.browser().get("/board", headers={"accept": "text/html"}).text)
    line = page.partition(f'id="lane-asg_1_{number}"')[2].partition("</li>")[0]
    lifts = line.partition(f'data-window="{SQUAT_A}"')[2].partition('<span class="lane-lifts"')[0].partition(">")[2]
    return " ".join(re.sub(r"<[^>]*>", " ", lifts.partition('class="lane-now')[0]).split())  # signs and words, no tags


def test_a_declaration_is_on_the_board_in_both_units_and_says_when_the_bar_is_out(running: House) -> None:
    assert lane(running, 1).startswith("Ada Quill nothing declared")
    declared = a_mark(1, kind="declare", at=ON_IT, win=SQUAT_A, body=said("95", by="judge"))
    mark(running, declared)
    assert lane(running, 1).startswith("Ada Quill declared 95 kg (209.4 lb)")
    mark(running, a_mark(2, kind="begun", at=ON_IT + 5000, win=SQUAT_A, body={"declared": declared["id"]}))
    assert lane(running, 1).startswith("Ada Quill lifting now 95 kg (209.4 lb)")
    mark(running, a_mark(3, kind="declare", at=ON_IT + 6000, win=SQUAT_A, body=said("99", by="judge")))
    assert "then Ada Quill 99 kg" in lane(running, 1)


def test_every_attempt_says_whether_it_was_good_and_the_newest_are_shown(running: House) -> None:
    tries = [("88", True), ("95", False), ("95", True), ("104", False), ("104", False)]
    marks = [
        a_mark(n, kind="lift", at=ON_IT + n * 1000, win=SQUAT_A, body=said(load, good=good))
        for n, (load, good) in enumerate(tries, 1)
    ]
    mark(running, *marks)
    text = lane(running, 1)
    assert text.startswith(f"Ada Quill +{len(tries) - MOST_SHOWN} ✗ 95 kg 95 kg, no lift ✓ 95 kg 95 kg, good lift")


def test_where_the_lanes_share_one_bar_the_board_calls_the_lightest_first(tmp_path: Path) -> None:
    with a_house(tmp_path, file=slate_day_lifting("lightest")) as house:
        house.desk().post("/desk/heats/het_1/go", data={"lead": "8"})
        house.clocks.pass_ms(500_000)
        for number, load in ((1, "104"), (2, "95"), (3, "95")):
            body = said(load, by="judge")
            sheet = f"asg_1_{number}/1/lane"
            mark(house, a_mark(number, sheet, kind="declare", at=ON_IT, win=SQUAT_A, body=body, device=f"tab{number}"))
        page = html.unescape(house.browser().get("/board", headers={"accept": "text/html"}).text)
        order = page.partition('id="floor-order">')[2].partition("<")[0]
        assert order == "Next: Chalk & Cheese, 95 kg (209.4 lb). Then The Unhurried, 95 kg; Lanterns, 104 kg."


def test_in_rounds_the_board_calls_all_first_attempts_first_and_a_bar_loaded_wrong_at_the_end(tmp_path: Path) -> None:
    with a_house(tmp_path, file=in_rounds()) as house:
        house.desk().post("/desk/heats/het_1/go", data={"lead": "8"})
        house.clocks.pass_ms(500_000)
        for number, load in ((1, "95"), (2, "110"), (3, "104")):
            sheet, tablet = f"asg_1_{number}/1/lane", f"tab{number}"
            declared = a_mark(number, sheet, kind="declare", at=ON_IT, win=SQUAT_A, body=said(load, by="judge"), device=tablet)
            mark(house, declared)
            if number == 1:
                lift = said("90", good=True, declared=declared["id"])
                mark(house, a_mark(4, sheet, kind="lift", at=ON_IT + 9_000, win=SQUAT_A, body=lift, device=tablet))
        page = html.unescape(house.browser().get("/board", headers={"accept": "text/html"}).text)
        order = page.partition('id="floor-order">')[2].partition("<")[0]
        assert order == "Next: The Unhurried, 104 kg (229.3 lb). Then Chalk & Cheese, 110 kg; Lanterns, 95 kg."


def in_rounds() -> CompetitionFile:
    """The squats in rounds, where a bar that was loaded wrong is lifted again at the end."""
    plain = slate_day_lifting("rounds").model_dump(mode="json")
    plain["events"][0]["format"]["tasks"]["squat"] |= {"again_when": "round_end", "misload": {"light_good": "again"}}
    return CompetitionFile.model_validate(plain)


def test_where_each_lane_has_its_own_bar_nobody_is_called(running: House) -> None:
    mark(running, a_mark(1, kind="declare", at=ON_IT, win=SQUAT_A, body=said("95", by="judge")))
    assert "floor-order" not in running.browser().get("/board", headers={"accept": "text/html"}).text


def test_who_has_no_total_has_no_place_on_the_board_and_every_lift_and_no_sum_overall(tmp_path: Path) -> None:
    rule = OverallRule(by="formula", formulas={"evt": formulas_known()["sinclair-2001"]}, only={"evt": "score"})
    with a_house(tmp_path, file=two_lifters(rule)) as house:
        desk = house.desk()
        board = html.unescape(desk.get("/board", headers={"accept": "text/html"}).text)
        rows = csv.DictReader(io.StringIO(desk.get("/desk/overall.csv").content.decode("utf-8-sig")))
    of = house.app.state.hall.projection.event_results("evt")
    row = board.partition(f'id="row-{table_key(of.event, of.tables[0])}-ent_2"')[2].partition("</tr>")[0]
    told = " ".join(re.sub(r"<[^>]*>", " ", row.partition(">")[2]).split())
    assert "230 kg" in told and "no total" in told, told
    assert [(one["entry"], one["place"], one["total"]) for one in rows] == [("Ana", "1", "459.028"), ("Bo", "", "")]


def test_who_has_no_total_is_told_nobody_to_go_past(tmp_path: Path) -> None:
    with a_house(tmp_path, file=two_lifters(OverallRule())) as house:
        hall = house.app.state.hall
        total, snatch, jerk = hall.projection.event_results("evt").tables
        may = {table.rule.name: {row.entry.name: may_go_past(hall, table, row) for row in table.rows} for table in (total, jerk)}
        assert may == {"Total": {"Ana": True, "Bo": False}, "Clean and jerk": {"Ana": True, "Bo": True}}, "two jerks are left"
        (bo,) = (row for row in snatch.rows if row.entry.name == "Bo")
        assert not may_go_past(hall, snatch, bo)
