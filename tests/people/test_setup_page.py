"""The set-up pages: forms that keep what was typed, ways back, and offers to undo."""

import html
import re

import pytest

from app.compose.event_form import format_form, typed_fields
from app.rehearsal.turns import turn_about
from tests.builders.halls import House, TestClient, a_mark, sent

PAGE = {"accept": "text/html"}
NASTY = '<b onclick="x()">=1+1 "Bo", José</b>'


def post(desk: TestClient, path: str, status: int, **typed: str) -> str:
    answer = desk.post(path, data=typed, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return answer.text


def page(desk: TestClient, path: str) -> str:
    answer = desk.get(path, headers=PAGE)
    assert answer.status_code == 200
    return answer.text


def fields(text: str, action: str) -> dict[str, str]:
    """The hidden fields of the form that goes to `action`."""
    form = re.search(rf'<form[^>]*action="{action}"[^>]*>(.*?)</form>', text, re.S)
    assert form
    found = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', form[1])
    return {html.unescape(name): html.unescape(value) for name, value in found}


def test_a_competition_is_set_up_by_forms_from_nothing_to_go(empty_house: House) -> None:
    desk = empty_house.desk()
    post(desk, "/desk/competition", 303, name="Quay Day", unit="kg")
    lines = "\n".join(f"Open pairs; Pair {n}; Ana {n} (Quay); Bo {n}" for n in range(1, 6))
    post(desk, "/desk/entries/paste", 303, lines=lines, make_divisions="on", do="store")
    post(desk, "/desk/events/new/mirrored_pair", 303, name="Mirror", **{"knob-unit": "kg", "knob-window": "1:45"})
    roster = empty_house.app.state.hall.projection.roster
    post(desk, "/desk/heats", 303, event=roster.events[0].id, lanes="4", first="10:00", every="30")
    heats = empty_house.app.state.hall.projection.roster.heats
    assert [len(heat.lanes) for heat in heats] == [4, 1]
    post(desk, f"/desk/heats/{heats[0].id}/go", 303)
    steps = page(desk, "/desk/setup")
    assert "5 entries" in steps and "2 heats" in steps and "To do" not in steps


def test_a_bad_form_keeps_everything_typed_and_says_where(empty_house: House) -> None:
    desk = empty_house.desk()
    text = post(desk, "/desk/competition", 422, name="", place=NASTY, day="2031-05-17", unit="lb")
    assert "The competition&#39;s name is missing." in text and 'href="#name"' in text
    assert html.escape(NASTY, quote=True).replace("&#x27;", "&#39;").replace("&quot;", "&#34;") in text
    assert 'value="2031-05-17"' in text and re.search(r'value="lb" checked', text)
    assert empty_house.app.state.hall.projection.roster is None


def test_names_are_shown_as_typed_and_never_as_markup(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/divisions/div_open", 303, name=NASTY)
    post(desk, "/desk/entries/ent_1", 200, name=NASTY, division="div_open", **{"member-0-name": NASTY, "member-0-club": NASTY})
    for path in ("/desk", "/desk/divisions", "/desk/entries", "/desk/entries/ent_1", "/desk/people", "/desk/heats"):
        text = page(desk, path)
        assert "<b onclick" not in text and "&lt;b onclick" in text, path


def test_a_refused_entry_form_keeps_its_members(house: House) -> None:
    desk = house.desk()
    typed = {"member-0-name": "Ana", "member-0-club": "Quay", "member-1-name": "ana", "member-1-club": "quay"}
    text = post(desk, "/desk/entries/new", 422, name="Twins", division="div_open", **typed)
    for value in ("Twins", "Ana", "Quay", "ana"):
        assert f'value="{value}"' in text
    assert "ana is there twice." in text and 'aria-invalid="true"' in text
    more = post(desk, "/desk/entries/new", 200, name="Twins", do="more", **typed)
    assert 'name="member-2-name"' in more and 'value="Twins"' in more


def test_a_used_thing_is_refused_with_a_sentence(house: House) -> None:
    desk = house.desk()
    refused = post(desk, "/desk/divisions/div_open/delete", 409)
    assert "still has 6 entries" in refused and "Nothing was changed." in refused and "What you typed is kept" not in refused
    assert "What you typed is kept" in post(desk, "/desk/divisions", 422, name="")
    assert "is on the start list" in post(desk, "/desk/entries/ent_1/delete", 409)
    assert "still has 3 heats" in post(desk, "/desk/events/evt_turns/delete", 409)
    assert "is a member of" in post(desk, "/desk/athletes/ath_1a/delete", 409)
    post(desk, "/desk/heats/het_1/go", 303)
    assert "has been started" in post(desk, "/desk/heats/het_1/delete", 409)


def test_what_is_not_there_is_told(house: House) -> None:
    desk = house.desk()
    for path in ("/desk/entries/gone", "/desk/events/gone", "/desk/heats/gone/lanes"):
        answer = desk.get(path, headers=PAGE)
        assert answer.status_code == 404 and "deleted in the meantime" in answer.text
    post(desk, "/desk/divisions/gone/delete", 404)


def test_the_event_form_changes_rows_without_storing(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    before = hall.projection.roster
    form = typed_fields(format_form("Turn about", before.events[0].format)) | {"window-0-seconds": "half an hour"}
    text = post(desk, "/desk/events/evt_turns", 200, do="add-window", **form)
    assert 'name="window-10-seconds"' in text and 'value="half an hour"' in text
    refused = post(desk, "/desk/events/evt_turns", 422, do="save", **form)
    assert "Window 1&#39;s length is minutes:seconds, such as 2:00, more than 0:00; not “half an hour”." in refused
    assert 'value="half an hour"' in refused
    assert hall.projection.roster == before


def test_lanes_are_filled_in_order_without_storing(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    post(desk, "/desk/entries/new", 303, name="Late", division="div_open", **{"member-0-name": "Zoe", "member-1-name": "Yan"})
    before = hall.projection.roster
    text = post(desk, "/desk/heats/new", 200, event="evt_turns", number="4", lanes="2", do="fill")
    assert re.search(r'<option value="[^"]+" selected>Late</option>', text)
    assert hall.projection.roster == before


def test_pasted_lines_are_shown_as_understood_and_none_stored_until_all_are_right(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    before = hall.projection.roster
    lines = "Open pairs; New; Ana (Quay); Bo\nNowhere; Other; Cy"
    text = post(desk, "/desk/entries/paste", 200, lines=lines, do="look")
    assert "OK" in text and "There is no division Nowhere." in text and html.escape(lines) in text
    assert "1 to fix" in text and 'value="store"' not in text, "nobody is offered what would be refused"
    assert "Nothing is saved" in post(desk, "/desk/entries/paste", 422, lines=lines, do="store")
    assert hall.projection.roster == before


def test_order_is_changed_by_buttons(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    text = post(desk, "/desk/divisions/div_veteran/move", 200, to="up")
    assert [division.id for division in hall.projection.roster.divisions] == ["div_veteran", "div_open"]
    post(desk, "/desk/undo", 303, **fields(text, "/desk/undo"))
    assert [division.id for division in hall.projection.roster.divisions] == ["div_open", "div_veteran"]
    post(desk, "/desk/divisions/gone/move", 303, to="up")


@pytest.mark.parametrize("kind", ["events", "entries"])
def test_what_is_moved_is_moved_back_by_the_button_that_is_offered(house: House, kind: str) -> None:
    desk, hall = house.desk(), house.app.state.hall
    desk.post("/desk/events/new", data={"do": "save", **typed_fields(format_form("Second", turn_about("kg", rest_seconds=30)))})
    first = getattr(hall.projection.roster, kind)[0]

    def order() -> list[str]:
        beside = [one for one in getattr(hall.projection.roster, kind) if kind == "events" or one.division == first.division]
        return [one.id for one in beside]

    before, path = order(), f"/desk/{kind}/{first.id}/move"
    text = post(desk, path, 200, to="down")
    assert f"{first.name} is moved down." in text
    assert order() == [before[1], before[0], *before[2:]]
    post(desk, "/desk/undo", 303, **fields(text, "/desk/undo"))
    assert order() == before
    assert post(desk, path, 303, to="up") == ""  # it stands first: nothing is moved, and nothing is to be put back


def test_a_competition_that_already_counts_warns_before_its_windows_change(house: House) -> None:
    desk = house.desk()
    assert "already" not in page(desk, "/desk/events/evt_turns")
    desk.post("/marks", content=sent(a_mark(1)), headers={"content-type": "application/json"})
    assert "This event already has marks." in page(desk, "/desk/events/evt_turns")


def test_an_id_that_could_be_none_makes_a_new_record_and_no_trouble(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    post(desk, "/desk/heats/%00/lanes", 303, event="evt_turns", number="9")
    assert hall.projection.roster.heats[-1].number == 9
