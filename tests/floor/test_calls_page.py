"""The desk's calls on a lane: two taps for what is called often, a named medic before anybody starts again, a run again."""

import asyncio
import re

from app.floor.calls import call, run_again
from app.hall.hall import Hall
from app.review.flags import open_flags
from app.rules.count.stops import medical_stop
from tests.builders.halls import House, TestClient, a_mark, sent
from tests.review.test_review_page import JSON, PAGE, judged, text_of

LANE = "/desk/lanes/asg_1_1"


def kinds(house: House) -> list[str]:
    return [one.kind for one in house.app.state.hall.projection.rulings]


def rows(house: House) -> dict[str, tuple[int | None, str, str]]:
    found = house.app.state.hall.projection.event_results("evt_turns").tables[0].rows
    return {row.entry.name: (row.place, row.score.text if row.score else "", row.status) for row in found}


def test_the_calls_are_the_desks(house: House) -> None:
    for path in ("call", "clear", "judge", "again"):
        assert house.tablet(1).post(f"{LANE}/{path}", data={"call": "late"}).status_code == 401
    assert house.browser().get(f"{LANE}/calls", headers=PAGE).status_code == 303
    assert kinds(house) == []


def test_two_taps_call_a_lane_and_who_did_not_start_is_no_zero(house: House) -> None:
    desk = judged(house)
    page = desk.get("/desk?heat=het_1", headers=PAGE).text
    assert 'action="/desk/lanes/asg_1_3/call"' in page and 'value="no_show"' in page
    answer = desk.post("/desk/lanes/asg_1_2/call", data={"call": "no_show"}, headers=PAGE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/desk?heat=het_1")
    assert rows(house)["Chalk & Cheese"] == (None, "5", "did not start")
    desk.post("/desk/lanes/asg_1_2/call", data={"call": "late", "by": "Ruth"}, headers=PAGE)
    desk.post("/desk/lanes/asg_1_2/call", data={"call": "early", "why": "A whole second"}, headers=PAGE)
    text = text_of(desk.get("/desk/lanes/asg_1_2/calls", headers=PAGE))
    assert "Came late to the lane Ruth: Came late to the lane" in text and "Started early The desk: A whole second" in text
    assert kinds(house) == ["status", "call", "call"]
    assert desk.post(f"{LANE}/call", data={"call": "sing"}, headers=PAGE).status_code == 422
    assert desk.post("/desk/lanes/nowhere/call", data={"call": "late"}).status_code == 404


def test_after_a_medical_stop_only_a_named_medic_lets_anything_start_again(house: House) -> None:
    desk = judged(house)
    hall = house.app.state.hall
    assert desk.post("/desk/heats/het_1/hold", data={}).status_code == 200
    assert desk.post(f"{LANE}/call", data={"call": "medical"}, headers=PAGE).status_code == 303
    assert "Medical stop. Nothing starts here until the medic clears it." in text_of(desk.get("/desk", headers=PAGE))
    for move in ("go-on", "restart"):
        refused = desk.post(f"/desk/heats/het_1/{move}", data={"why": "x"})
        assert refused.status_code == 409 and "Only a medic can clear it" in refused.json()["sentence"]
    again = desk.post(f"{LANE}/call", data={"call": "medical"}, headers=PAGE)
    assert again.status_code == 422 and "stopped already" in again.text
    nobody = desk.post(f"{LANE}/clear", data={"medic": " "}, headers=PAGE)
    assert nobody.status_code == 422 and "The medic&#39;s name is missing" in nobody.text
    assert desk.post(f"{LANE}/clear", data={"medic": "Dr Ida Mohr"}, headers=PAGE).status_code == 303
    assert "Cleared by the medic, Dr Ida Mohr" in text_of(desk.get("/review/trail", headers=PAGE))
    assert desk.post("/desk/heats/het_1/go-on", data={}).status_code == 200
    assert desk.post(f"{LANE}/clear", data={"medic": "Dr Ida Mohr"}, headers=PAGE).status_code == 422
    lane = hall.projection.place_of("asg_1_1").assignment
    assert medical_stop(hall.projection.rulings, lane, "evt_turns") is None


def test_who_is_out_of_the_event_keeps_nobody_waiting(house: House) -> None:
    desk = judged(house)
    desk.post("/desk/heats/het_1/hold", data={})
    desk.post(f"{LANE}/call", data={"call": "medical"}, headers=PAGE)
    option = '[{"kind": "status", "entry": "ent_1", "event": "evt_turns", "body": {"status": "did_not_finish"}}]'
    desk.post("/review/lanes/asg_1_1/rule", data={"by": "Ruth", "why": "Taken away", "option": option}, headers=PAGE)
    assert desk.post("/desk/heats/het_1/go-on", data={}).status_code == 200


def test_another_judge_takes_a_lane_over_in_the_middle_of_a_heat(house: House) -> None:
    desk = judged(house)
    assert desk.post(f"{LANE}/judge", data={"judge": "Kaya"}, headers=PAGE).status_code == 303
    hall = house.app.state.hall
    assert hall.projection.place_of("asg_1_1").assignment.judge == "Kaya" and len(house.marks()) == 13
    assert hall.projection.rulings[0].why == "Kaya replaces Imre as judge"
    assert "is already the judge of this lane" in desk.post(f"{LANE}/judge", data={"judge": "Kaya"}, headers=PAGE).text


def test_a_run_again_is_awaited_then_counts_and_can_be_ruled_away(house: House) -> None:
    desk = judged(house)
    nowhere = desk.post(f"{LANE}/again", data={"heat": "het_1", "why": "Rope broke"}, headers=PAGE)
    assert nowhere.status_code == 422 and "The heat is one of" in nowhere.text
    assert desk.post(f"{LANE}/again", data={"heat": "new", "why": "Rope broke"}, headers=PAGE).status_code == 303
    hall = house.app.state.hall
    again = hall.projection.rulings[0].body["again"]
    place = hall.projection.place_of(again)
    assert (place.heat.number, place.assignment.lane, place.assignment.entry) == (4, 1, "ent_1")
    assert rows(house)["Lanterns"] == (None, "", "to be rerun")
    marks = [a_mark(n, f"{again}/1/lane", device="tab9", id=f"{900 + n:032x}") for n in range(1, 4)]
    assert desk.post("/marks", content=sent(*marks), headers=JSON).status_code == 200
    assert rows(house)["Lanterns"] == (2, "3", "")
    page = text_of(desk.get(f"/review/lanes/asg_1_1?kind=rerun&again=asg_1_1:{again}:original", headers=PAGE))
    assert "The run in heat 1, lane 1 (Lanterns) counts 6 points , place 1" in page


def test_what_is_called_stands_in_the_row_at_once_and_pressed_twice_is_one_ruling(house: House) -> None:
    desk = judged(house)
    assert "Did not start" not in row_of(desk, 2)
    for what in ("no_show", "no_show", "late", "late"):
        assert desk.post("/desk/lanes/asg_1_2/call", data={"call": what}, headers=PAGE).status_code == 303
    assert kinds(house) == ["status", "call"]
    assert "Did not start" in row_of(desk, 2) and "Came late to the lane" in row_of(desk, 2)
    assert "Did not start" not in row_of(desk, 1)
    house.clocks.pass_ms(60_000)
    desk.post("/desk/lanes/asg_1_2/call", data={"call": "no_show"}, headers=PAGE)
    assert kinds(house) == ["status", "call"], "what holds is not called again, however much later"
    ruling = house.app.state.hall.projection.rulings[0]
    desk.post(f"/review/lanes/asg_1_2/undo/{ruling.id}", data={"by": "Ruth", "why": "Was there"}, headers=PAGE)
    assert "Did not start" not in row_of(desk, 2)
    desk.post("/desk/lanes/asg_1_2/call", data={"call": "no_show"}, headers=PAGE)
    assert kinds(house)[-1] == "status" and "Did not start" in row_of(desk, 2)


def test_two_presses_at_the_same_moment_are_one_ruling(house: House) -> None:
    judged(house)

    async def twice(hall: Hall) -> None:
        presses = [
            call(hall, "asg_1_2", {"call": which}) for which in ("no_show", "no_show", "early", "early", "medical", "medical")
        ]
        await asyncio.gather(*presses, return_exceptions=True)

    house.do(twice)
    assert sorted(kinds(house)) == ["call", "medical", "status"], "made in one moment, they stand in any order"


def test_a_run_again_that_is_pressed_twice_is_one_and_a_later_one_is_another(house: House) -> None:
    desk = judged(house)

    async def twice(hall: Hall) -> None:
        presses = [run_again(hall, "asg_1_1", {"heat": "new", "why": "Rope broke"}) for _ in range(2)]
        await asyncio.gather(*presses)

    house.do(twice)
    assert desk.post(f"{LANE}/again", data={"heat": "new", "why": "Rope broke"}, headers=PAGE).status_code == 303
    heats = house.app.state.hall.projection.roster.heats
    assert kinds(house) == ["rerun"] and len(heats) == 4, "one heat more"
    house.clocks.pass_ms(60_000)
    assert desk.post(f"{LANE}/again", data={"heat": "new", "why": "It broke again"}, headers=PAGE).status_code == 303
    assert kinds(house) == ["rerun", "rerun"]


def row_of(desk: TestClient, lane: int) -> str:
    """The row of a lane of the heat at hand, its menu of calls left out."""
    page = desk.get("/desk/floor?heat=het_1", headers=PAGE).text
    row = page.split(f'<tr id="lane-{lane}">')[1].split("</tr>")[0]
    return re.sub(r"<details.*?</details>", "", row, flags=re.S)


def test_a_stop_is_said_until_it_is_seen_to(house: House) -> None:
    desk = judged(house)
    stop = a_mark(9, kind="stop", body={"why": "Cramp"}, win=None)
    desk.post("/marks", content=sent(stop), headers=JSON)
    said = "Stopped by the judge: Cramp"

    def at_the_desk() -> str:
        return text_of(desk.get("/desk/floor?heat=het_1", headers=PAGE))

    assert said in at_the_desk()
    flag = next(one for one in open_flags(house.app.state.hall) if one.why == "stop")
    form = {"flag": flag.key, "by": "Ruth", "why": "Went on by herself", "done": "settled"}
    assert desk.post(f"/review/lanes/{flag.assignment}/flag", data=form, headers=PAGE).status_code == 303
    assert said not in at_the_desk() and not any(one.why == "stop" for one in open_flags(house.app.state.hall))
    desk.post("/marks", content=sent(a_mark(10, kind="stop", body={"why": "Again"}, win=None)), headers=JSON)
    assert "Stopped by the judge: Again" in at_the_desk() and said not in at_the_desk()
    desk.post(f"{LANE}/call", data={"call": "no_show"}, headers=PAGE)
    assert "Stopped by the judge" not in at_the_desk(), "who is out of the event keeps nobody waiting"
