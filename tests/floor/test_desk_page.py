"""The desk on the day: who may see it, what it shows, and what its buttons do."""

import re
from typing import Any

import pytest

from app.live.presence import Report, Who
from tests.builders.halls import House, a_mark, sent

PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}
HTMX = {"hx-request": "true", "accept": "text/html"}
HEAT = "het_1"
MORE_PAGES = ("/desk/entries/paste", "/desk/events", "/desk/events/new", "/desk/heats", "/desk/stream")
DESK_PAGES = ("/desk", "/desk/floor", "/desk/setup", "/desk/competition", "/desk/divisions", "/desk/people", "/desk/entries")


@pytest.mark.parametrize("path", [*DESK_PAGES, *MORE_PAGES])
def test_the_desk_is_for_the_desk_alone(house: House, path: str) -> None:
    for visitor in (house.browser(), house.tablet(1)):
        answer = visitor.get(path, headers=PAGE)
        assert answer.status_code == 303 and answer.headers["location"].startswith("/desk/enter?next=")
        refused = visitor.get(path)
        assert refused.status_code == 401 and refused.json()["sentence"]


def test_the_way_around_leads_through_every_room_and_says_where_one_is(house: House) -> None:
    desk = house.desk()
    rooms = _doors(desk.get("/desk", headers=PAGE).text)
    assert ("/desk", "page") in rooms
    inside = {door for room, _ in rooms for door, _ in _doors(desk.get(room, headers=PAGE).text) if door.startswith("/desk")}
    assert len(inside) > len(rooms)
    for door in sorted(inside):
        here = [where for link, where in _doors(desk.get(door, headers=PAGE).text) if where]
        assert here in (["page"], ["true", "page"], ["page", "page"]), f"{door} is in one room, and is itself there"


def _doors(page: str) -> list[tuple[str, str]]:
    """The links in the bars of a page, and what each says of being here: page, true (in this room), or nothing."""
    bars = "".join(re.findall(r'<nav class="bar.*?</nav>', page, re.S))
    return re.findall(r'<a href="([^"]+)"(?: aria-current="([a-z]+)")?>', bars)


@pytest.mark.parametrize("move", ["go", "abort", "restart", "close"])
def test_nobody_else_moves_a_heat(house: House, move: str) -> None:
    assert house.tablet(1).post(f"/desk/heats/{HEAT}/{move}", data={}).status_code == 401
    assert house.app.state.hall.projection.runs == ()


def test_the_day_shows_its_heats_lanes_and_what_go_will_do(house: House) -> None:
    text = house.desk().get("/desk", headers=PAGE).text
    for words in ("The Slate Day", "Heat 1", "Heat 3", "Lanterns", "Imre", "Planned", "Counts down on every lane"):
        assert words in text
    assert f'action="/desk/heats/{HEAT}/go"' in text and f"/desk/heats/{HEAT}/abort" not in text


def test_a_heat_is_taken_in_hand_by_its_address(house: House) -> None:
    text = house.desk().get("/desk?heat=het_3", headers=PAGE).text
    assert 'data-heat="het_3"' in text
    assert 'data-heat="het_1"' in house.desk().get("/desk?heat=nonsense", headers=PAGE).text


def test_only_on_another_device_the_page_asks_before_a_go_once_untouched(house: House) -> None:
    session = house.desk().cookies
    for address, asks in (("127.0.0.1", False), ("::1", False), ("10.0.0.9", True)):
        browser = house.browser(address)
        browser.cookies = session
        text = browser.get("/desk", headers=PAGE).text
        assert ('data-asks-after="180000"' in text) == asks, address
        assert 'data-asks="Start heat 1, ' in text


def test_go_answers_the_floor_with_the_clock_to_follow(house: House) -> None:
    desk = house.desk()
    answer = desk.post(f"/desk/heats/{HEAT}/go", data={"lead": "5"}, headers=HTMX)
    assert answer.status_code == 200 and "<html" not in answer.text
    assert f'data-go="{house.clocks.server + 5000}"' in answer.text and "GO is set" in answer.text
    assert "Stops the clocks on every lane" in answer.text


def test_a_plain_form_goes_back_to_the_heat(house: House) -> None:
    answer = house.desk().post(f"/desk/heats/{HEAT}/go", data={}, headers=PAGE)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/desk?heat={HEAT}")


def test_a_refused_move_says_why_and_shows_the_floor(house: House) -> None:
    desk = house.desk()
    answer = desk.post(f"/desk/heats/{HEAT}/abort", data={}, headers=HTMX)
    assert answer.status_code == 409 and "This heat has not started, so there is nothing to abort." in answer.text
    assert desk.post(f"/desk/heats/{HEAT}/go", data={"lead": "1"}, headers=HTMX).status_code == 422
    assert desk.post(f"/desk/heats/{HEAT}/go", data={"lead": "1"}).json()["sentence"].startswith("The countdown in seconds")
    assert desk.post("/desk/heats/nowhere/go", data={}).status_code == 404
    assert desk.post(f"/desk/heats/{HEAT}/dance", data={}).status_code == 404


def seen(house: House, lane: int, **report: Any) -> None:
    device = Who(f"tab_{lane}", "lane", lane, f"Lane {lane}")
    presence, now = house.app.state.hall.presence, house.clocks.server
    presence.arrived(device, now, lambda sentence: None)
    presence.heard(device.device_id, now, Report(**report))


def lane_row(text: str, lane: int) -> str:
    found = re.search(rf'<tr id="lane-{lane}">.*?</tr>', text, re.S)
    assert found
    return found[0]


def test_a_lane_tells_its_tablet_outbox_count_and_last_mark(house: House) -> None:
    desk = house.desk()
    desk.post(f"/desk/heats/{HEAT}/go", data={"lead": "5"})
    house.clocks.pass_ms(20_000)
    seen(house, 1, outbox=0, bound_ms=4, clock="synced")
    seen(house, 2, outbox=12, clock="hand")
    desk.post("/marks", content=sent(*(a_mark(n) for n in range(1, 8))), headers=JSON)
    text = desk.get(f"/desk/floor?heat={HEAT}", headers=PAGE).text
    first = lane_row(text, 1)
    assert "Online" in first and "±4 ms" in first and ">7<" in first and "Rep at 0:07" in first and "7 points" in first
    assert "12 on the tablet" in lane_row(text, 2) and "clock by hand" in lane_row(text, 2)
    assert "None seen" in lane_row(text, 3)


def test_a_lane_has_a_score_at_the_desk_as_soon_as_it_has_one_in_the_results(house: House) -> None:
    desk = house.desk()
    desk.post(f"/desk/heats/{HEAT}/go", data={"lead": "5"})
    house.clocks.pass_ms(20_000)

    def cells() -> list[str]:
        text = lane_row(desk.get(f"/desk/floor?heat={HEAT}", headers=PAGE).text, 1)
        return re.findall(r'<td class="number lane-(?:now|score)">(.*?)</td>', text)

    def in_the_results() -> str:
        tables = house.app.state.hall.projection.event_results("evt_turns").tables
        row = next(row for table in tables for row in table.rows if row.assignment == "asg_1_1")
        return f"{row.score.text} points" if row.score else row.status

    assert (cells(), in_the_results()) == (["–", ""], "not judged yet")
    desk.post("/marks", content=sent(a_mark(1, kind="note", body={"text": "Came late"}, win=None)), headers=JSON)
    assert (cells(), in_the_results()) == (["–", ""], "not judged yet")
    desk.post("/marks", content=sent(a_mark(2, kind="norep")), headers=JSON)
    assert (cells(), in_the_results()) == (["0", "0 points"], "0 points")


def needs(text: str) -> list[tuple[str, str]]:
    """Where and what, of each line under “Needs a person”."""
    found = re.findall(r'class="need" data-urgency="(\d)">.*?<strong>(.*?)</strong>.*?<p>(.*?)</p>', text, re.S)
    return [(where, re.sub(r"\s*<a .*", "", what, flags=re.S)) for _, where, what in found]


def test_what_needs_a_person_comes_most_urgent_first_and_once(house: House) -> None:
    desk = house.desk()
    desk.post(f"/desk/heats/{HEAT}/go", data={"lead": "5"})
    house.clocks.pass_ms(20_000)
    seen(house, 2, outbox=34)
    house.clocks.pass_ms(75_000)
    late = a_mark(1, at=85_000, win=2)
    stop = a_mark(2, kind="stop", body={"why": "Cramp"}, win=None)
    desk.post("/marks", content=sent(late, stop), headers=JSON)
    found = needs(desk.get(f"/desk/floor?heat={HEAT}", headers=PAGE).text)
    place = "Turn about, heat 1"
    assert found[:3] == [
        (f"{place}, lane 1", "Stopped by the judge: Cramp"),
        (
            f"{place}, lane 2",
            "Tablet offline for 1:15. When last in touch, it held 34 marks that were not at the desk. A tablet counts on "
            "without the desk.",
        ),
        (f"{place}, lanes 3, 4", "No tablet has been seen. Pair one, or judge on paper."),
    ]
    flagged = "1 mark: Marked outside every window that fits it. It does not count."
    assert (f"{place}, lane 1", flagged) in found


def test_an_over_heat_asks_for_signatures_and_leads_to_the_next(house: House) -> None:
    desk = house.desk()
    desk.post(f"/desk/heats/{HEAT}/go", data={"lead": "5"})
    house.clocks.pass_ms(3_600_000)
    desk.post("/marks", content=sent(a_mark(1)), headers=JSON)
    text = desk.get(f"/desk/floor?heat={HEAT}", headers=PAGE).text
    assert "The judge has not signed the sheet." in text and 'href="/desk?heat=het_2">To the next heat' in text
    sign = a_mark(2, kind="sign", body={"who": "judge", "name": "Imre"}, win=None)
    desk.post("/marks", content=sent(sign), headers=JSON)
    assert "has not signed" not in desk.get(f"/desk/floor?heat={HEAT}", headers=PAGE).text


def test_without_a_competition_the_desk_begins_with_its_name(empty_house: House) -> None:
    desk = empty_house.desk()
    for path in ("/desk", "/desk/divisions", "/desk/entries", "/desk/events/new", "/desk/heats"):
        answer = desk.get(path, headers=PAGE)
        assert (answer.status_code, answer.headers["location"]) == (303, "/desk/competition"), path
    assert "import a competition file" in desk.get("/desk/setup", headers=PAGE).text


def test_no_page_carries_script_or_style_of_its_own(house: House) -> None:
    desk = house.desk()
    for path in (*DESK_PAGES, "/desk/entries/new", "/desk/entries/ent_1", "/desk/events/evt_turns", f"/desk/heats/{HEAT}/lanes"):
        answer = desk.get(path, headers=PAGE)
        assert answer.status_code == 200, path
        assert not re.search(r"<script(?![^>]*src=)|<style|\sstyle=|\son[a-z]+=|hx-on", answer.text), path
