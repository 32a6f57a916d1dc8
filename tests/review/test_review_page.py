"""The head judge's pages: the queue, one dispute, what a ruling would do, the ruling made and taken back."""

import html
import json
import re
from typing import Any

import pytest

from app.hall.changing import change_roster
from app.rules.workout.formats import Format
from app.rules.workout.plates import LanePlates, PlateSet
from app.store.kinds import LANE_PLATES, PLATE_SETS
from tests.builders.halls import House, TestClient, a_mark, sent

PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}
OUTSIDE = "asg_1_2:1:outside:0"
WHO = {"by": "Ruth", "why": "Seen from the second row"}


def judged(house: House) -> TestClient:
    """A desk, heat 1 given its GO, six repetitions on lane 1 and five on lane 2 with two more after the bell."""
    desk = house.desk()
    assert desk.post("/desk/heats/het_1/go", data={}).status_code == 200
    house.clocks.pass_ms(200_000)
    marks = [a_mark(n) for n in range(1, 7)]
    marks += [a_mark(n, "asg_1_2/1/lane", device="tab2", id=f"{100 + n:032x}") for n in range(1, 6)]
    marks += two_late(house.app.state.hall.projection.roster.events[0].format)
    assert desk.post("/marks", content=sent(*marks), headers=JSON).status_code == 200
    return desk


def two_late(format: Format) -> list[dict[str, Any]]:
    """Two repetitions on lane 2 from another device, later after the first bell than a judge's reaction takes."""
    at = format.windows[0].end_ms + format.late_ms + 500
    return [a_mark(n, "asg_1_2/1/lane", device="late", id=f"{200 + n:032x}", at=at + 1000 * n) for n in (1, 2)]


def text_of(answer: Any) -> str:
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)))


def option_of(answer: Any) -> str:
    found = re.search(r'name="option" value="([^"]*)"', answer.text)
    assert found, "no decision is offered"
    return html.unescape(found[1])


@pytest.mark.parametrize("path", ["/review", "/review/lanes/asg_1_1"])
def test_the_review_is_for_those_who_may_rule(house: House, path: str) -> None:
    for visitor in (house.browser(), house.tablet(1)):
        answer = visitor.get(path, headers=PAGE)
        assert answer.status_code == 303 and "/enter?next=/review" in answer.headers["location"]
        assert visitor.post("/review/lanes/asg_1_1/rule", data=WHO).status_code == 401
    assert house.app.state.hall.projection.rulings == ()


def test_a_stretch_that_begins_before_go_says_so(house: House) -> None:
    desk = judged(house)
    for look, said in (
        ("/review/lanes/asg_1_1", r"Marks from 0:\d\d before GO to \d:\d\d after it"),
        (f"/review/lanes/asg_1_2?flag={OUTSIDE}", r"Marks from \d:\d\d to \d:\d\d after GO"),
    ):
        assert re.search(said, text_of(desk.get(look, headers=PAGE))), look


def test_a_lane_is_silent_for_no_longer_than_its_heat_went_on(house: House) -> None:
    desk = house.desk()
    assert desk.post("/desk/heats/het_1/go", data={}).status_code == 200
    house.clocks.pass_ms(80_000)
    counted = {1: 60, 2: 5, 3: 60}  # repetitions, one a second: lane 2 stops after five
    marks = [
        a_mark(n, f"asg_1_{lane}/1/lane", device=f"tab{lane}", id=f"{100 * lane + n:032x}")
        for lane, most in counted.items()
        for n in range(1, most + 1)
    ]
    assert desk.post("/marks", content=sent(*marks), headers=JSON).status_code == 200
    assert "No mark for 1:07 from 0:05 on" in text_of(desk.get("/review", headers=PAGE)), "while the heat runs it grows"
    assert desk.post("/desk/heats/het_1/close", data={}).status_code == 200
    for _ in range(2):
        assert "No mark for 0:55 from 0:05 on" in text_of(desk.get("/review", headers=PAGE)), "to the last mark of all lanes"
        house.clocks.pass_ms(60_000)


def test_the_queue_says_what_is_odd_and_where(house: House) -> None:
    desk = judged(house)
    text = text_of(desk.get("/review", headers=PAGE))
    assert "Outside every window Does not count Chalk & Cheese" in text and "heat 1, lane 2, Window 1" in text
    assert "2 marks: Marked outside every window that fits it. It does not count." in text


def test_a_decision_shows_score_and_place_before_it_is_made_and_then_they_are_so(house: House) -> None:
    desk = judged(house)
    page = desk.get(f"/review/lanes/asg_1_2?flag={OUTSIDE}", headers=PAGE)
    before = text_of(page)
    assert "5 points , place 2" in before and "Count all 2 7 points , place 1 Lanterns: 1 → 2" in before
    assert house.app.state.hall.projection.rulings == (), "to look is not to rule"
    made = desk.post("/review/lanes/asg_1_2/rule", data={**WHO, "flag": OUTSIDE, "option": option_of(page)}, headers=PAGE)
    assert made.status_code == 303
    after = text_of(desk.get(made.headers["location"], headers=PAGE))
    assert "Ruling made. Chalk & Cheese now: 7 points , place 1 Lanterns: 1 → 2" in after
    assert "2 repetitions added to window 1" in after and "Ruth: Seen from the second row" in after
    assert "Nothing to look at." in text_of(desk.get("/review", headers=PAGE))
    assert "Ruled by Ruth: Seen from the second row" in text_of(desk.get("/results/evt_turns/score/ent_2", headers=PAGE))
    assert "after a ruling" in text_of(house.browser().get("/results", headers=PAGE))


def test_a_ruling_is_taken_back_by_another_and_both_stay_on_record(house: House) -> None:
    desk = judged(house)
    option = option_of(desk.get(f"/review/lanes/asg_1_2?flag={OUTSIDE}", headers=PAGE))
    desk.post("/review/lanes/asg_1_2/rule", data={**WHO, "flag": OUTSIDE, "option": option}, headers=PAGE)
    ruling = house.app.state.hall.projection.rulings[0]
    page = text_of(desk.get("/review/lanes/asg_1_2", headers=PAGE))
    assert "Take it back Then: 5 points , place 2" in page
    nobody = desk.post(f"/review/lanes/asg_1_2/undo/{ruling.id}", data={"by": "Ruth", "why": ""}, headers=PAGE)
    assert nobody.status_code == 422 and "The reason is missing" in nobody.text
    back = desk.post(f"/review/lanes/asg_1_2/undo/{ruling.id}", data={"by": "Ruth", "why": "Wrong lane"}, headers=PAGE)
    assert back.status_code == 303
    page = text_of(desk.get("/review/lanes/asg_1_2", headers=PAGE))
    assert "5 points , place 2" in page and "Taken back by Ruth: Wrong lane" in page
    assert [one.kind for one in house.app.state.hall.projection.rulings] == ["reps", "flag", "undo"]
    again = desk.post(f"/review/lanes/asg_1_2/undo/{ruling.id}", data=WHO)
    assert again.status_code == 404 and "already taken back" in again.json()["sentence"]


def test_without_a_name_or_a_reason_nothing_is_ruled_and_what_was_typed_is_kept(house: House) -> None:
    desk = judged(house)
    option = option_of(desk.get(f"/review/lanes/asg_1_2?flag={OUTSIDE}", headers=PAGE))
    form = {"by": "", "why": "Seen", "flag": OUTSIDE, "option": option}
    answer = desk.post("/review/lanes/asg_1_2/rule", data=form, headers=PAGE)
    assert answer.status_code == 422 and "Your name is missing" in answer.text and 'value="Seen"' in answer.text
    nothing = desk.post("/review/lanes/asg_1_2/rule", data={**WHO, "flag": OUTSIDE, "option": "[]"}, headers=PAGE)
    assert nothing.status_code == 422 and "Choose what is ruled." in nothing.text
    assert house.app.state.hall.projection.rulings == ()


@pytest.mark.parametrize(("done", "word"), [("settled", "Settled"), ("aside", "Set aside")])
def test_a_flag_is_settled_or_set_aside_with_a_reason_and_a_new_mark_opens_it_again(house: House, done: str, word: str) -> None:
    desk = judged(house)
    answer = desk.post("/review/lanes/asg_1_2/flag", data={**WHO, "flag": OUTSIDE, "done": done}, headers=PAGE)
    assert answer.status_code == 303
    text = text_of(desk.get("/review", headers=PAGE))
    assert "Nothing to look at." in text and f"{word} by Ruth: Seen from the second row" in text
    assert "Marked outside" not in desk.get("/desk", headers=PAGE).text
    more = a_mark(9, "asg_1_2/1/lane", device="tab2", id="9" * 32, at=185_000)
    desk.post("/marks", content=sent(more), headers=JSON)
    assert "3 marks: Marked outside" in text_of(desk.get("/review", headers=PAGE))


BY_HAND = [
    ("kind=reps&add=2&window=0", "2 repetitions added 7 points , place 1 Lanterns: 1 → 2"),
    ("kind=reps&add=-9&window=0", "9 repetitions taken off 0 points , place 2"),
    ("kind=penalty&score=score&amount=2.5", "Penalty of 2.5 points 2.5 points , place 2"),
    ("kind=status&status=did_not_finish", "Did not finish 5 points , did not finish"),
    ("kind=lane&lane=asg_1_1", "Swap sheets with lane 1, Lanterns 6 points , place 1 Lanterns: 1 → 2"),
]


def test_a_ruling_put_together_by_hand_shows_what_it_would_do(house: House) -> None:
    desk = judged(house)
    for query, said in BY_HAND:
        assert said in text_of(desk.get(f"/review/lanes/asg_1_2?{query}", headers=PAGE))


BAD = [
    ("kind=reps&add=&window=0", "The number of repetitions is missing"),
    ("kind=reps&add=two&window=0", "whole number"),
    ("kind=reps&add=0&window=0", "above or below zero"),
    ("kind=reps&add=1&window=99", "The window is one of"),
    ("kind=penalty&score=score&amount=-3", "A penalty is a number of points above zero"),
    ("kind=penalty&score=score&amount=٣", "A penalty is a number of points above zero"),
    ("kind=lift&mark=x&good=good", "The lift is one of"),
    ("kind=lane&lane=asg_2_1", "The other lane is one of"),
    ("kind=shift&seconds=soon", "By how much is a number of seconds"),
]


def test_bad_input_is_answered_beside_its_field(house: House) -> None:
    desk = judged(house)
    for query, sentence in BAD:
        answer = desk.get(f"/review/lanes/asg_1_2?{query}", headers=PAGE)
        assert answer.status_code == 422 and sentence in text_of(answer), query


def test_an_option_that_nobody_offered_is_checked_all_the_same(house: House) -> None:
    desk = judged(house)
    for option in ("{", '[{"kind": "sing"}]', '[{"kind": "reps", "assignment": "asg_1_1", "body": {}}]', '[{"id": "x"}]'):
        answer = desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": option}, headers=PAGE)
        assert answer.status_code == 422, option
    gone = '[{"kind": "run", "assignment": "nowhere", "body": {"run": 1}}]'
    assert desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": gone}).status_code == 404
    assert desk.get("/review/lanes/nowhere", headers=PAGE).status_code == 404


ANOTHER_DOOR = {
    "sign_off": {"state": "signed", "marks": {}, "runs": {}},
    "undo": {"ruling": "signed"},
    "protest": {"protest": "prt_1", "decision": "refused"},
    "flag": {"flag": OUTSIDE, "marks": [], "done": "settled"},
    "medical": {"state": "cleared", "medic": "Nobody"},
    "call": {"call": "late"},
}


def test_a_sign_off_and_whatever_else_has_a_door_of_its_own_is_not_made_as_a_ruling_on_a_lane(house: House) -> None:
    desk, projection = judged(house), house.app.state.hall.projection
    for kind, body in ANOTHER_DOOR.items():
        about = {"assignment": "asg_1_1", "event": projection.roster.events[0].id}
        option = json.dumps([{"kind": kind, "body": body, **about}])
        answer = desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": option}, headers=PAGE)
        assert answer.status_code == 422 and "Choose what is ruled." in text_of(answer), kind
    assert house.app.state.hall.projection.rulings == ()


LOAD = {"amount": "95", "unit": "kg"}
ON = {"assignment": "asg_1_1", "entry": "ent_1", "event": "evt_turns"}


def with_a_twin(house: House) -> TestClient:
    """On lane 1 a lift without its fault, taken back and made again with it, as a tablet does; and a repetition taken back."""
    desk = judged(house)
    house.clocks.pass_ms(400_000)
    body = {"load": LOAD, "good": False}
    marks = [
        a_mark(50, kind="lift", at=490_000, win=4, body=body),
        a_mark(51, kind="strike", at=490_000, win=None, body={"mark": f"{50:032x}"}),
        a_mark(52, kind="lift", at=490_000, win=4, body=body | {"fault": "standing"}),
        a_mark(53, kind="strike", at=9_000, win=None, body={"mark": f"{6:032x}"}),
    ]
    assert desk.post("/marks", content=sent(*marks), headers=JSON).json()["refused"] == []
    return desk


def test_of_a_lift_and_its_struck_twin_only_the_one_that_stands_can_be_ruled_on(house: House) -> None:
    page = with_a_twin(house).get("/review/lanes/asg_1_1?look=4", headers=PAGE)
    listed = re.findall(r'<option value="([0-9a-f]{32})"[^>]*>([^<]*)', page.text)
    assert listed == [(f"{52:032x}", "95 kg at 8:10.0: no lift, not stood up")]
    assert "No lift 95 kg at 8:10, taken back" in page.text and "No lift 95 kg, not stood up, at 8:10<" in page.text


@pytest.mark.parametrize(
    ("kind", "body", "said"),
    [
        ("lift", {"mark": f"{50:032x}", "good": True}, "It was made at 8:10.0."),
        ("reps", {"add": -1, "window": 0, "run": 1, "marks": [f"{6:032x}"]}, "It was made at 0:06.0."),
        ("lift", {"mark": f"{1:032x}", "good": True}, "not on this lane's sheets"),
        ("lift", {"mark": f"{101:032x}", "good": True}, "not on this lane's sheets"),
    ],
)
def test_a_ruling_on_a_mark_that_does_not_stand_there_is_refused_by_the_command(
    house: House, kind: str, body: dict[str, Any], said: str
) -> None:
    desk = with_a_twin(house)
    option = json.dumps([{"kind": kind, "body": body, **ON}])
    answer = desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": option}, headers=PAGE)
    assert answer.status_code == 422 and said in text_of(answer)
    assert house.app.state.hall.projection.rulings == ()


def test_a_ruling_that_would_change_nothing_says_so_before_it_is_made(house: House) -> None:
    desk = with_a_twin(house)
    idle = "Changes no score or place in this event."
    assert idle in text_of(desk.get(f"/review/lanes/asg_1_1?kind=lift&mark={52:032x}&good=no", headers=PAGE))
    assert idle not in text_of(desk.get(f"/review/lanes/asg_1_1?kind=lift&mark={52:032x}&good=good", headers=PAGE))


def test_a_lift_that_was_marked_for_another_member_counts_by_a_ruling_that_says_whose_it_was(house: House) -> None:
    desk = judged(house)
    house.clocks.pass_ms(400_000)
    lift = a_mark(60, kind="lift", at=490_000, win=4, body={"load": LOAD, "good": True, "member": 2})
    desk.post("/marks", content=sent(lift), headers=JSON)
    path = "/review/lanes/asg_1_1?flag=asg_1_1:1:other-member:4"
    page = desk.get(path, headers=PAGE)
    assert "95 kg at 8:10.0: good lift of A 101 points" in text_of(page)
    desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": option_of(page)}, headers=PAGE)
    assert "95 kg" in text_of(desk.get("/results/evt_turns/score/ent_1", headers=PAGE))
    found = house.app.state.hall.projection.counting_tally("asg_1_1").windows[4]
    assert found.best is not None and (found.best.member, found.best.load.text()) == (1, "95 kg")


def test_a_load_that_the_lanes_plates_can_not_make_is_flagged(house: House) -> None:
    desk = judged(house)
    plates = {
        "id": "pls_1",
        "name": "Yard plates",
        "bars": [{"amount": "20", "unit": "kg"}],
        "plates": [{"weight": {"amount": "25", "unit": "kg"}, "count": 4, "across_mm": 450, "thick_mm": "50"}],
    }
    whole = PlateSet.model_validate(plates)
    house.do(change_roster, lambda session: PLATE_SETS.put(session, whole))
    house.do(change_roster, lambda session: LANE_PLATES.put_all(session, (LanePlates(lane=1, plates="pls_1"),)))
    squat = next(i for i, w in enumerate(house.app.state.hall.projection.roster.events[0].format.windows) if w.task == "squat")
    start = house.app.state.hall.projection.roster.events[0].format.windows[squat].start_ms
    house.clocks.pass_ms(start)
    for n, amount in enumerate(("70", "85")):
        body = {"load": {"amount": amount, "unit": "kg"}, "good": True}
        mark = a_mark(50 + n, kind="lift", at=start + 20_000 * (n + 1), win=squat, body=body)
        desk.post("/marks", content=sent(mark), headers=JSON)
    text = text_of(desk.get("/review", headers=PAGE))
    assert "Not on these plates To decide Lanterns" in text
    assert "85 kg can't be loaded with the plates of this lane (Yard plates)." in text
