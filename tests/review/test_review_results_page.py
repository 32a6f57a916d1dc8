"""Protests at the desk and by an entry's own link, their answers; sign-off and opening again; the record; what the board says."""

import csv
import html
import io
import json
import re
from pathlib import Path

from app.results.competition_file import read_file, write_file
from app.results.results_state import stated_overall
from app.review.flags import open_flags
from app.rules.result.results import results
from app.rules.result.signed_words import NOT_ALL_SIGNED
from tests.builders.halls import House, TestClient, a_house, a_mark, sent
from tests.review.test_review_page import JSON, PAGE, WHO, judged, text_of

RESULTS = "/review/results"
EVENT = "evt_turns"
MINUTE = 60_000


def over(house: House) -> TestClient:
    """A desk after the last bell: one heat that was judged; the others have no lanes any more."""
    desk = judged(house)
    for heat in ("het_2", "het_3"):
        assert desk.post(f"/desk/heats/{heat}/delete", data={}, headers=PAGE).status_code in (200, 303)
    house.clocks.pass_ms(house.app.state.hall.projection.roster.events[0].format.length_ms)
    return desk


def sign_form(desk: TestClient, **other: str) -> dict[str, str]:
    """The form of a sign-off, with a reason for whatever stands in its way."""
    fields = re.findall(r'name="(why-[0-9a-f]{12})"', desk.get(RESULTS, headers=PAGE).text)
    return {"by": "Ruth", **dict.fromkeys(fields, "Agreed with both judges"), **other}


def own_link(desk: TestClient, entry: str) -> str:
    """The address on an entry's slip."""
    slip = next(one for one in re.findall(r'<li class="slip">.*?</li>', desk.get("/review/links").text, re.S) if entry in one)
    found = re.search(r"/protest/[0-9a-f]{24}", slip)
    assert found
    return found[0]


def protests(house: House) -> list[str]:
    return [one.text for one in house.app.state.hall.projection.roster.protests]


def test_these_pages_are_for_those_who_may_rule(house: House) -> None:
    visitor = house.browser()
    for path in (RESULTS, "/review/trail", "/review/judges", "/review/links", "/review/protests/x"):
        assert visitor.get(path, headers=PAGE).status_code == 303
    for path in ("/review/protests", "/review/protests/x", f"/review/events/{EVENT}/sign-off", f"/review/events/{EVENT}/open"):
        assert visitor.post(path, data=WHO).status_code == 401


def test_a_protest_by_the_entrys_link_is_filed_answered_and_read_there(house: House) -> None:
    desk = over(house)
    phone, link = house.browser("192.0.2.9"), own_link(desk, "Chalk &amp; Cheese")
    shown = phone.get(link, headers=PAGE)
    assert shown.headers["cache-control"] == "no-store", "no browser keeps it, though it has no session"
    page = text_of(shown)
    assert "Chalk & Cheese" in page and "5 points, place 2" in page and "Provisional: protests until" in page
    assert "Cy Marlow" not in page, "the link names nobody"
    filed = phone.post(link, data={"event": EVENT, "text": "Two taps\nwere not counted"}, headers=PAGE)
    assert filed.status_code == 303 and protests(house) == ["Two taps were not counted"]
    assert "Open" in text_of(phone.get(link, headers=PAGE))
    assert "Provisional: a protest is open" in text_of(house.browser().get("/board", headers=PAGE))
    key = house.app.state.hall.projection.roster.protests[0].id
    queue = desk.get("/review", headers=PAGE).text
    assert f'href="/review/protests/{key}"' in queue and "Two taps were not counted" in queue
    assert "A protest waits for an answer." in text_of(desk.get("/desk/floor", headers=PAGE))
    empty = desk.post(f"/review/protests/{key}", data={"decision": "", "by": "Ruth", "why": ""}, headers=PAGE)
    assert empty.status_code == 422 and "The decision is not chosen" in empty.text and "The answer is missing" in empty.text
    answer = desk.post(f"/review/protests/{key}", data={"decision": "refused", "by": "Ruth", "why": "Both were short"})
    assert answer.status_code == 303
    page = text_of(phone.get(link, headers=PAGE))
    assert "Refused" in page and "Ruth: Both were short" in page
    assert f'href="/review/protests/{key}"' not in desk.get("/review", headers=PAGE).text
    assert "A protest waits" not in text_of(desk.get("/desk/floor", headers=PAGE))
    assert "Provisional: protests until" in text_of(house.browser().get("/board", headers=PAGE))


def test_bad_protests_are_answered_beside_their_fields_and_nothing_is_filed(house: House) -> None:
    desk = over(house)
    phone, link = house.browser(), own_link(desk, "Lanterns")
    assert phone.get("/protest/" + "0" * 24, headers=PAGE).status_code == 404
    assert phone.post("/protest/" + "0" * 24, data={"event": EVENT, "text": "x"}).status_code == 404
    for form, said in (
        ({"event": EVENT, "text": " "}, "Say what the protest is about"),
        ({"event": "no", "text": "x"}, "The event is one of"),
    ):
        answer = phone.post(link, data=form, headers=PAGE)
        assert answer.status_code == 422 and said in answer.text
    long = phone.post(link, data={"event": EVENT, "text": "word " * 300}, headers=PAGE)
    assert long.status_code == 422 and "at most 1000 characters" in long.text and "word word" in long.text
    for text in ("One", "Two", "Three"):
        assert phone.post(link, data={"event": EVENT, "text": text}, headers=PAGE).status_code == 303
    assert "Wait for an answer" in phone.post(link, data={"event": EVENT, "text": "again"}, headers=PAGE).text
    assert len(protests(house)) == 3


def test_after_the_time_limit_only_the_desk_takes_a_protest_and_says_that_it_is_late(house: House) -> None:
    desk = over(house)
    phone, link = house.browser(), own_link(desk, "Lanterns")
    house.clocks.pass_ms(31 * MINUTE)
    assert "Provisional: the time for protests is over, and it is not signed off yet" in text_of(
        house.browser().get("/results", headers=PAGE)
    )
    refused = phone.post(link, data={"event": EVENT, "text": "Too late"}, headers=PAGE)
    assert refused.status_code == 422 and "could be filed until" in refused.text
    form = {"entry": "ent_1", "event": EVENT, "text": "Late all the same", "by": "Ada"}
    asked = desk.post("/review/protests", data=form, headers=PAGE)
    assert asked.status_code == 422 and "To take it all the same, say why" in asked.text and "Late all the same" in asked.text
    assert desk.post("/review/protests", data={**form, "late": "The queue was long"}, headers=PAGE).status_code == 303
    assert "after the time limit: The queue was long" in text_of(desk.get(RESULTS, headers=PAGE))
    assert protests(house) == ["Late all the same"]


def test_the_time_runs_from_the_announcement_and_an_answer_can_be_taken_to_somebody_else(house: House) -> None:
    desk = over(house)
    rules = {"name": "Meet", "unit": "kg", "protest_minutes": "30", "protest_from": "announcement", "appeal_minutes": "15"}
    assert desk.post("/desk/competition", data=rules, headers=PAGE).status_code == 303
    house.clocks.pass_ms(60 * MINUTE)
    phone, link = house.browser(), own_link(desk, "Lanterns")
    assert "begins when the result is announced" in text_of(house.browser().get("/results", headers=PAGE))
    told = text_of(phone.get(link, headers=PAGE))
    assert "Protests until 30 minutes after a result is announced" in told
    announced = f"/review/events/{EVENT}/announce"
    assert "Your name is missing" in desk.post(announced, data={"by": ""}, headers=PAGE).text
    assert desk.post(announced, data={"by": "Ruth"}, headers=PAGE).status_code == 303
    assert "Then the result is not announced, and the time for protests has not begun" in text_of(desk.get(RESULTS, headers=PAGE))
    assert "The reason is missing" in desk.post(f"{announced}/back", data={"by": "Ruth", "why": ""}, headers=PAGE).text
    back = {"by": "Ruth", "why": "It was another event's list"}
    assert desk.post(f"{announced}/back", data=back, headers=PAGE).status_code == 303
    assert "begins when the result is announced" in text_of(house.browser().get("/results", headers=PAGE))
    assert "taken back already" in desk.post(f"{announced}/back", data=back, headers=PAGE).text
    page = text_of(desk.get(RESULTS, headers=PAGE))
    assert "Time for protests, which begins when the result is announced" in page and "Announced at" not in page
    assert desk.post(announced, data={"by": "Ruth"}, headers=PAGE).status_code == 303
    assert "Announced at" in text_of(desk.get(RESULTS, headers=PAGE))
    house.clocks.pass_ms(MINUTE)
    desk.post(announced, data={"by": "Ruth"}, headers=PAGE)
    assert "counts again: protests until" in text_of(desk.get(RESULTS, headers=PAGE))
    desk.post(f"{announced}/back", data=back, headers=PAGE)
    house.clocks.pass_ms(29 * MINUTE - 1)
    assert "Provisional: protests until" in text_of(house.browser().get("/results", headers=PAGE))
    assert phone.post(link, data={"event": EVENT, "text": "Two short"}, headers=PAGE).status_code == 303
    first = house.app.state.hall.projection.roster.protests[0].id
    no = {"decision": "refused", "by": "Ruth", "why": "Both were short"}
    assert (
        "not answered yet" in desk.post(f"/review/protests/{first}/appeal", data={"by": "Ada", "text": "No"}, headers=PAGE).text
    )
    assert desk.post(f"/review/protests/{first}", data=no).status_code == 303
    house.clocks.pass_ms(10)  # of several records of one moment each is a millisecond later
    assert "Provisional: appeals until" in text_of(house.browser().get("/results", headers=PAGE))
    assert "Appeal, until" in text_of(phone.get(link, headers=PAGE))
    house.clocks.pass_ms(15 * MINUTE)
    against = {"against": first, "text": "They were long enough"}
    late = phone.post(link, data=against, headers=PAGE)
    assert late.status_code == 422 and "Appeals against this answer could be filed until" in late.text
    assert phone.post(own_link(desk, "Chalk &amp; Cheese"), data=against, headers=PAGE).status_code == 404, "not this entry's"
    brought = {"by": "Ada", "text": "They were long enough"}
    asked = desk.post(f"/review/protests/{first}/appeal", data=brought, headers=PAGE)
    assert asked.status_code == 422 and "To take it all the same, say why" in asked.text
    taken = desk.post(f"/review/protests/{first}/appeal", data={**brought, "late": "The answer was not read out"}, headers=PAGE)
    assert taken.status_code == 303
    second = house.app.state.hall.projection.roster.protests[1]
    assert (second.against, second.late_why) == (first, "The answer was not read out")
    again = desk.post(f"/review/protests/{first}", data={**no, "decision": "upheld"}, headers=PAGE)
    assert again.status_code == 422 and "was appealed against" in again.text
    same = desk.post(f"/review/protests/{second.id}", data=no, headers=PAGE)
    assert same.status_code == 422 and "Ruth gave the first answer. Somebody else decides an appeal." in same.text
    assert desk.post(f"/review/protests/{second.id}", data={**no, "by": "Olu"}).status_code == 303
    assert "no third instance" in text_of(desk.get(f"/review/protests/{second.id}", headers=PAGE))
    trail = text_of(desk.get("/review/trail", headers=PAGE))
    assert trail.count("Result announced") == 3 and trail.count("Taken back by Ruth: It was another event's list") == 2


def test_a_signed_event_is_final_and_what_comes_later_waits_until_it_is_opened_again(house: House) -> None:
    desk = over(house)
    unseen = desk.post(f"/review/events/{EVENT}/sign-off", data={"by": "Ruth"}, headers=PAGE)
    assert unseen.status_code == 422 and "settle it first, or say why it is left out" in unseen.text
    assert "Heat 1, lane 2: outside every window" in text_of(unseen) and "was not judged" in text_of(unseen)
    signed = desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk), headers=PAGE)
    assert signed.status_code == 303
    hall = house.app.state.hall
    before = hall.projection.event_results(EVENT).tables
    board = text_of(house.browser().get("/board", headers=PAGE))
    assert "Signed off by Ruth, for the desk, but for" in board and "Final" not in board
    for path in ("/results", f"/results/{EVENT}", "/podium", RESULTS):
        shown = text_of(desk.get(path, headers=PAGE))
        assert "Left out: Heat 1, lane 2: outside every window. Agreed with both judges" in shown, path
    rows = list(csv.DictReader(io.StringIO(desk.get("/desk/results.csv").content.decode("utf-8-sig"))))
    assert rows and {row["final"] for row in rows} == {"no"} and "but for" in rows[0]["state"]
    assert all("Left out: Heat 1, lane 2: outside every window. Agreed with both judges" in row["left_out"] for row in rows)
    said = house.browser().get("/results.json").json()["final"]["events"][EVENT]
    assert not said["final"] and any("outside every window" in line for line in said["left_out"])
    late = a_mark(50, "asg_1_2/1/lane", device="tab2", id="5" * 32, at=9_000)
    assert desk.post("/marks", content=sent(late), headers=JSON).status_code == 200
    option = '[{"kind": "reps", "assignment": "asg_1_2", "body": {"add": 4, "window": 0, "run": 1}}]'
    assert desk.post("/review/lanes/asg_1_2/rule", data={**WHO, "option": option}, headers=PAGE).status_code == 303
    assert hall.projection.event_results(EVENT).tables == before
    page = text_of(desk.get(RESULTS, headers=PAGE))
    assert "1 mark and 1 ruling came after the sign-off" in page
    assert "After the sign-off" in text_of(desk.get("/review", headers=PAGE))
    restart = desk.post("/desk/heats/het_1/restart", data={"why": "Again"})
    assert restart.status_code == 409 and "is signed off" in restart.json()["sentence"]
    nobody = desk.post(f"/review/events/{EVENT}/open", data={"by": "Ruth", "why": ""}, headers=PAGE)
    assert nobody.status_code == 422 and "The reason is missing" in nobody.text
    assert desk.post(f"/review/events/{EVENT}/open", data={"by": "Ruth", "why": "A tablet was late"}).status_code == 303
    (table, *_) = hall.projection.event_results(EVENT).tables
    assert (table.rows[0].entry.name, table.rows[0].score and table.rows[0].score.text) == ("Chalk & Cheese", "10")
    trail = text_of(desk.get("/review/trail", headers=PAGE))
    opened = text_of(house.browser().get(f"/results/{EVENT}", headers=PAGE))
    assert "Reopened by Ruth after it was signed off: A tablet was late" in opened and "Left out" not in opened
    assert "Results reopened" in trail and "Ruth: A tablet was late" in trail and "Results signed off" in trail


def test_an_open_protest_and_a_heat_on_the_floor_hold_a_sign_off_up(house: House) -> None:
    desk = judged(house)
    running = desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk), headers=PAGE)
    assert running.status_code == 422 and "is on the floor" in running.text
    house.clocks.pass_ms(house.app.state.hall.projection.roster.events[0].format.length_ms)
    link = own_link(desk, "Lanterns")
    assert desk.post(link, data={"event": EVENT, "text": "Short"}, headers=PAGE).status_code == 303
    form = sign_form(desk)
    held = desk.post(f"/review/events/{EVENT}/sign-off", data={"by": "Ruth"}, headers=PAGE)
    said = text_of(held)
    assert held.status_code == 422 and "Protest of Lanterns: Short: settle it first" in said and "Heat 2 was not run" in said
    assert desk.post("/review/events/nowhere/sign-off", data=form).status_code == 404
    assert desk.post(f"/review/events/{EVENT}/open", data=WHO, headers=PAGE).status_code == 422


def test_the_file_holds_protests_and_the_sign_off_and_recounts_to_the_signed_result(house: House) -> None:
    desk = over(house)
    link = own_link(desk, "Lanterns")
    desk.post(link, data={"event": EVENT, "text": "Short"}, headers=PAGE)
    key = house.app.state.hall.projection.roster.protests[0].id
    desk.post(f"/review/protests/{key}", data={"decision": "refused", "by": "Ruth", "why": "No"})
    desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk))
    desk.post("/marks", content=sent(a_mark(60, "asg_1_1/1/lane", id="6" * 32)), headers=JSON)
    file = read_file(desk.get("/desk/competition.json").content)
    assert [one.text for one in file.protests] == ["Short"] and len(file.marks) == len(house.marks())
    assert results(file) == [house.app.state.hall.projection.event_results(EVENT)]


def test_after_the_day_each_judge_has_a_row(house: House) -> None:
    desk = judged(house)
    option = '[{"kind": "reps", "assignment": "asg_1_2", "body": {"add": 2, "window": 0, "run": 1}}]'
    desk.post("/review/lanes/asg_1_2/rule", data={**WHO, "option": option}, headers=PAGE)
    rows = re.findall(r"<tr><th scope=\"row\">(.*?)</th>(.*?)</tr>", desk.get("/review/judges").text, re.S)
    found = {html.unescape(name): re.findall(r">(\d+)<", cells) for name, cells in rows}
    assert found == {"Imre": ["1", "6", "0", "0", "0", "0"], "Joss": ["1", "7", "0", "1", "0", "0"]}


def signed_hall(house: House) -> TestClient:
    """A desk whose only event that ran is signed off."""
    desk = over(house)
    assert desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk), headers=PAGE).status_code == 303
    return desk


KEPT = "is signed off, by Ruth. What is made here is kept, but changes nothing unless the event is reopened"


def test_paper_totals_calls_and_rulings_after_a_sign_off_are_told_so_where_they_are_made(house: House) -> None:
    desk = signed_hall(house)
    before = house.app.state.hall.projection.event_results(EVENT).tables
    for name in ("Kim", "Lou"):
        keyed = desk.post("/desk/paper/key/asg_1_1", data={"by": name, "w0": "40"}, headers=PAGE)
        assert keyed.status_code == 303
    paper = text_of(desk.get(keyed.headers["location"], headers=PAGE))
    assert KEPT in paper and "Kept, no effect." in paper and "Saved." not in paper
    assert "Kept, no effect" in text_of(desk.get("/desk/paper/key", headers=PAGE))
    totals = desk.post("/desk/backups/totals?lane=asg_1_2", data={"w0": "40"}, headers=PAGE)
    assert KEPT in text_of(totals) and "Totals of 1 window are saved." in text_of(totals)
    called = desk.post("/desk/lanes/asg_1_1/call", data={"call": "no_show"}, headers=PAGE)
    assert KEPT in text_of(desk.get(called.headers["location"], headers=PAGE))
    option = '[{"kind": "reps", "assignment": "asg_1_2", "body": {"add": 4, "window": 0, "run": 1}}]'
    ruled = desk.post("/review/lanes/asg_1_2/rule", data={**WHO, "option": option}, headers=PAGE)
    shown = text_of(desk.get(ruled.headers["location"], headers=PAGE))
    assert KEPT in shown and "Ruling made, without effect." in shown
    assert house.app.state.hall.projection.event_results(EVENT).tables == before
    for path in ("/desk", RESULTS):
        assert "2 rulings came after the sign-off, and nothing changes until it is reopened." in text_of(
            desk.get(path, headers=PAGE)
        ), path


def test_names_as_long_as_they_may_be_stand_in_the_way_and_are_left_out(house: House) -> None:
    desk = over(house)
    for name, count in (("K" * 120, "40"), ("L" * 120, "41"), ("M" * 120, "42")):
        assert desk.post("/desk/paper/key/asg_1_1", data={"by": name, "w0": count}, headers=PAGE).status_code == 303
    answer = desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk, by="R" * 120), headers=PAGE)
    assert answer.status_code == 303, text_of(answer)
    left_out = house.app.state.hall.projection.rulings[-1].body["left_out"]
    (paper,) = [one["what"] for one in left_out if one["key"].startswith("paper:")]
    assert len(paper) == 300 and paper.endswith("…") and "paper keyed in by" in paper


def test_a_protest_that_the_desk_takes_after_the_sign_off_is_among_what_came_late(house: House) -> None:
    desk = signed_hall(house)
    assert "Left out: Time for protests, until" in text_of(house.browser().get("/results", headers=PAGE))
    in_time = house.browser().post(own_link(desk, "Lanterns"), data={"event": EVENT, "text": "Short"}, headers=PAGE)
    assert in_time.status_code == 303, "a sign-off does not take the time away that was left"
    house.clocks.pass_ms(30 * MINUTE)
    form = {"entry": "ent_1", "event": EVENT, "text": "Late all the same", "by": "Ada"}
    refused = desk.post("/review/protests", data=form, headers=PAGE)
    assert refused.status_code == 422 and "is signed off" in text_of(refused)
    assert desk.post("/review/protests", data={**form, "late": "on"}, headers=PAGE).status_code == 303
    told = "2 protests came after the sign-off, and nothing changes until it is reopened."
    assert all(told in text_of(desk.get(path, headers=PAGE)) for path in ("/desk", RESULTS))


def test_a_tablets_file_that_comes_after_the_sign_off_says_so(house: House) -> None:
    desk = signed_hall(house)
    late = [a_mark(n, "asg_1_1/1/lane", device="tab9", id=f"{0x900 + n:032x}") for n in (1, 2)]
    file = json.dumps({"file": "lane-ledger-marks", "version": 1, "tablet": "Lane 1", "marks": late})
    answer = desk.post("/desk/backups/marks", files={"file": ("t.json", file, "application/json")}, headers=PAGE)
    assert "2 marks are of events that are signed off: they are kept, but change nothing" in text_of(answer)
    assert "2 marks came after the sign-off" in text_of(desk.get("/desk", headers=PAGE))


def settled_hall(house: House) -> TestClient:
    """A desk after the last bell with nothing in the way of a sign-off but that protests may still come."""
    desk = over(house)
    hall = house.app.state.hall
    for lane in ("asg_1_1", "asg_1_2", "asg_1_3", "asg_1_4"):
        about = [{"kind": "status", "entry": hall.projection.place_of(lane).assignment.entry, "event": EVENT}]
        about[0]["body"] = {"status": "withdrawn"}  # type: ignore[assignment]
        desk.post(f"/review/lanes/{lane}/rule", data={**WHO, "option": json.dumps(about)}, headers=PAGE)
    for flag in open_flags(hall):
        desk.post(f"/review/lanes/{flag.assignment}/flag", data={**WHO, "flag": flag.key, "done": "settled"}, headers=PAGE)
    return desk


def test_what_the_head_judge_signs_with_nothing_left_out_is_final_and_nothing_else_is(house: House) -> None:
    desk = settled_hall(house)
    early = desk.post(f"/review/events/{EVENT}/sign-off", data={"by": "Ruth"}, headers=PAGE)
    assert early.status_code == 422 and re.search(r"Time for protests, until \d\d:\d\d: wait for it, or say why", text_of(early))
    house.clocks.pass_ms(60 * MINUTE)
    assert "Final" not in text_of(house.browser().get("/results", headers=PAGE))
    page = text_of(desk.get(RESULTS, headers=PAGE))
    assert "stands in the way" not in page and "You sign for the desk, and the results say so." in page
    head = house.browser()
    desk.post("/review/password", data={"password": "a whistle in June", "again": "a whistle in June"}, headers=PAGE)
    entered = head.post("/review/enter", data={"password": "a whistle in June"}, headers=PAGE)
    assert entered.status_code == 303
    assert "You sign for the desk" not in text_of(head.get(RESULTS, headers=PAGE))
    assert head.post(f"/review/events/{EVENT}/sign-off", data={"by": "Ruth"}, headers=PAGE).status_code == 303
    for path in ("/results", f"/results/{EVENT}"):
        assert "Final: signed off by Ruth" in (shown := text_of(house.browser().get(path, headers=PAGE)))
        assert "for the desk" not in shown


def test_nobody_is_told_final_while_a_signed_mark_is_missing_and_again_when_it_has_come(house: House, tmp_path: Path) -> None:
    desk = settled_hall(house)
    house.clocks.pass_ms(60 * MINUTE)
    assert desk.post(f"/review/events/{EVENT}/sign-off", data={"by": "Ruth"}, headers=PAGE).status_code == 303
    whole = read_file(desk.get("/desk/competition.json").content)
    named = json.dumps([ruling.body.get("marks", []) for ruling in whole.rulings if ruling.kind == "flag"])
    gone = next(mark for mark in whole.marks if mark.kind == "rep" and mark.id not in named)
    fewer = write_file(whole.model_copy(update={"marks": tuple(mark for mark in whole.marks if mark is not gone)}))
    with a_house(tmp_path / "other", competition=False) as other:
        again = other.desk()
        came = again.post("/desk/import", content=fewer, params={"even_if_changed": "on"})
        assert came.status_code == 200, came.text
        pages = {path: text_of(other.browser().get(path, headers=PAGE)) for path in ("/results", f"/results/{EVENT}", "/board")}
        assert {path: "signed are missing or changed" in page for path, page in pages.items()} == dict.fromkeys(pages, True)
        assert [path for path, page in pages.items() if "Final" in page] == []
        assert stated_overall(other.app.state.hall).text == "Signed off, but marks that were signed are missing or changed"
        assert "signed are missing, 1 of " in text_of(again.get(RESULTS, headers=PAGE))
        other.app.state.hall.projection.apply([gone])
        assert "Final: signed off by Ruth" in text_of(other.browser().get("/results", headers=PAGE))
        assert stated_overall(other.app.state.hall).text == "Final"


def test_a_competition_of_no_events_is_not_final(house: House) -> None:
    hall = house.app.state.hall
    hall.projection.roster_changed(hall.projection.roster.model_copy(update={"events": (), "heats": ()}), (), ())
    assert stated_overall(hall).text == NOT_ALL_SIGNED


def test_nobody_comes_into_a_signed_event_and_nobody_leaves_it(house: House) -> None:
    desk, projection = signed_hall(house), house.app.state.hall.projection
    before = projection.roster.heats
    filled = desk.post("/desk/heats", data={"event": EVENT, "lanes": "4"}, headers=PAGE)
    late = {"event": EVENT, "number": "9", "lane-1-entry": projection.roster.entries[-1].id}
    new = desk.post("/desk/heats/new", data=late, headers=PAGE)
    two = {"lane-1-entry": "ent_1", "lane-2-entry": "ent_2"}  # the others of the heat have no mark
    fewer = desk.post("/desk/heats/het_1/lanes", data={"event": EVENT, "number": "1", **two}, headers=PAGE)
    assert all("is signed off" in text_of(answer) for answer in (filled, new, fewer))
    assert house.app.state.hall.projection.roster.heats == before


def test_an_entry_of_a_signed_event_stays_in_its_division(house: House) -> None:
    desk, hall = signed_hall(house), house.app.state.hall
    before = hall.projection.event_results(EVENT)
    page = desk.get("/desk/entries/ent_2", headers=PAGE).text
    typed = {name: html.unescape(value) for name, value in re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', page)}
    others = [one.id for one in hall.projection.roster.divisions if one.id != hall.projection.roster.entries[1].division]
    moved = desk.post("/desk/entries/ent_2", data={**typed, "division": others[0]}, headers=PAGE)
    assert "is signed off" in text_of(moved) and hall.projection.event_results(EVENT) == before
