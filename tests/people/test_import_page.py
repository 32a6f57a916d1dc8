"""Entries from a spreadsheet's file: any encoding and separator, problems by their cell, all or nothing, one way back."""

import html
import re
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from app.results.competition_file import read_file
from app.results.publishing import export_file
from app.rules.records.initials import with_initials
from app.rules.result.public_file import public_of
from app.store.entering import checkin
from tests.builders.halls import House, TestClient, a_house
from tests.builders.mixed_day import a_mixed_day

HERE = "/desk/entries/file"
PAGE = {"accept": "text/html"}
TEAMS = (
    "Division;Team;Athlete A;Club A;Athlete B;Club B;Email\r\nOpen pairs;Größe 9;José Ñandú;Quay;Bo Lind;Quay;x@example.org\r\n"
)


def look(desk: TestClient, data: bytes, status: int = 200, **form: str) -> str:
    """The page after a file was chosen."""
    answer = desk.post(HERE, data={"do": "look", **form}, files={"file": ("list.csv", data, "text/csv")}, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


def send(desk: TestClient, text: str, status: int = 303, do: str = "store", **form: str) -> str:
    """The list as text, posted from the page."""
    answer = desk.post(HERE, data={"do": do, "text": text, **form}, headers=PAGE)
    assert answer.status_code == status, answer.text[:3000]
    return html.unescape(answer.text)


def entries(house: House) -> dict[str, tuple[str, ...]]:
    roster = house.app.state.hall.projection.roster
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    return {entry.name: tuple(names[member] for member in entry.members) for entry in roster.entries}


@pytest.mark.parametrize(
    ("encoding", "mark", "said"),
    [
        ("utf-8", b"", "UTF-8, guessed"),
        ("utf-8", b"\xef\xbb\xbf", "UTF-8"),
        ("utf-16-le", b"\xff\xfe", "UTF-16"),
        ("utf-16-be", b"\xfe\xff", "UTF-16"),
        ("utf-16-le", b"", "UTF-16, guessed"),
        ("cp1252", b"", "Windows-1252 (western), guessed"),
    ],
)
def test_letters_are_read_by_whatever_wrote_them(house: House, encoding: str, mark: bytes, said: str) -> None:
    text = look(house.desk(), mark + TEAMS.encode(encoding))
    assert f"read as {said}." in text
    assert "Größe 9" in text and "José Ñandú, Bo Lind" in text
    assert "Personal and not needed, so not kept." in text
    assert "Save all" in text and "Größe 9" not in entries(house)


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_the_separator_is_found_by_itself(house: House, separator: str) -> None:
    desk = house.desk()
    text = separator.join(["Division", "Entry", "Athlete"]) + "\n" + separator.join(["Open pairs", '"A, B; C"', "Ana"])
    send(desk, text)
    assert entries(house)["A, B; C"] == ("Ana",)


def test_a_quoted_cell_may_hold_line_breaks_and_quotes(house: House) -> None:
    send(house.desk(), 'Division,Entry,Athlete\r\nOpen pairs,"The ""Long""\r\nLever",Ana Ruiz\r\n')
    assert entries(house)['The "Long" Lever'] == ("Ana Ruiz",)


def test_one_row_for_each_athlete_is_joined_by_the_team(house: House) -> None:
    text = "Team,First name,Surname,Club,Category,Body weight (lb)\nOak,Ana,Ruiz,Quay,Open pairs,150\n"
    send(house.desk(), text + "Oak,Bo,Lind,Quay,open pairs,180.5\n")
    roster = house.app.state.hall.projection.roster
    assert entries(house)["Oak"] == ("Ana Ruiz", "Bo Lind")
    assert [one.bodyweight.text() for one in roster.athletes if one.name in ("Ana Ruiz", "Bo Lind")] == ["150 lb", "180.5 lb"]


def test_every_problem_is_named_by_its_cell_and_nothing_is_stored(house: House) -> None:
    desk, before = house.desk(), entries(house)
    rows = [
        "Division,Entry,Athlete,Bodyweight",
        "Nowhere,A,Ana,70",
        "Open pairs,B\x00,Ana,70",
        "Open pairs,C,\u202eevil,70",
        f"Open pairs,D,{'x' * 130},70",
        "Open pairs,E,,70",
        "Open pairs,F,Flo,heavy",
        "Open pairs,G,Gil,70,what is this",
    ]
    text = send(desk, "\n".join(rows), 422)
    for words in (
        "B3 (Entry): The entry's name holds a control character.",
        "C4 (Athlete): The athlete's name holds a control character that turns the reading direction.",
        "C5 (Athlete): The athlete's name has 130 characters; at most 120 are allowed.",
        "C6 (Athlete): The athlete's name is missing, but other columns describe the athlete.",
        "D7 (Bodyweight): The bodyweight: “heavy” is not a load.",
        "E8: This cell is beyond the last column, D.",
    ):
        assert words in text, words
    assert entries(house) == before
    assert "Row 2: There is no division Nowhere." in send(desk, "\n".join(rows[:2]), 422)
    assert "Nowhere" in send(desk, "\n".join(rows[:2]), 200, do="look", make_divisions="on")


def test_importing_again_changes_what_changed_and_doubles_nothing(house: House) -> None:
    desk = house.desk()
    send(desk, "Division,Entry,Athlete A,Athlete B\nOpen pairs,Oak,Ana,Bo\nOpen pairs,Elm,Cy,Di\n")
    count = len(entries(house))
    again = send(desk, "Division,Entry,Athlete A,Athlete B\nOpen pairs,oak,Ana,Eve\nOpen pairs,Elm,Cy,Di\n", 200, do="look")
    assert "Name: Oak becomes oak." in again and "Leaves: Bo." in again and "Joins: Eve." in again
    assert re.search(r"<b>0</b> added</span> <span><b>1</b> changed</span> <span><b>1</b> unchanged", again)
    send(desk, "Division,Entry,Athlete A,Athlete B\nOpen pairs,oak,Ana,Eve\nOpen pairs,Elm,Cy,Di\n")
    assert len(entries(house)) == count and entries(house)["oak"] == ("Ana", "Eve")
    assert all(athlete.name != "Bo" for athlete in house.app.state.hall.projection.roster.athletes)
    same = send(desk, "Division,Entry,Athlete A,Athlete B\nOpen pairs,oak,Ana,Eve\n", 422)
    assert "Everything in this list is saved already." in same


def test_an_id_knows_an_entry_again_under_another_name_and_division(house: House) -> None:
    desk = house.desk()
    send(desk, "Id,Division,Entry,Athlete\nT-1,Open pairs,Oak,Ana\nT-2,Open pairs,Elm,Bo\n")
    roster = house.app.state.hall.projection.roster
    oak = next(entry.id for entry in roster.entries if entry.name == "Oak")
    text = "Id,Division,Entry,Athlete\nT-1,Veteran pairs,Old Oak,Ana\nT-2,Open pairs,Elm,Bo\n"
    assert "Division: Open pairs becomes Veteran pairs." in send(desk, text, 200, do="look")
    send(desk, text)
    assert next(entry for entry in house.app.state.hall.projection.roster.entries if entry.id == oak).name == "Old Oak"


def test_entries_that_the_list_does_not_name_stay_and_are_named(house: House) -> None:
    desk, before = house.desk(), entries(house)
    send(desk, "Division,Entry,Athlete\nOpen pairs,Oak,Ana\n")
    assert set(before) < set(entries(house))
    text = send(desk, "Division,Entry,Athlete\nOpen pairs,Elm,Bo\n", 200, do="look")
    assert f"Saved, but not in this list: {len(before) + 1}" in text and "They stay." in text


def test_an_import_is_taken_back_as_a_whole(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    send(desk, "Division,Entry,Athlete,Club\nOpen pairs,Oak,Ana,Quay\nOpen pairs,Elm,Bo,Quay\n")
    before = hall.projection.roster
    rows = [
        "Division,Entry,Athlete,Club,Weight",
        "Open pairs,Oak,Ana,Barn,61 kg",
        "New one,Fir,Cy,Pier,",
        "Open pairs,Elm,Eve,Quay,",
    ]
    send(desk, "\n".join(rows), make_divisions="on")
    assert hall.projection.roster != before and "Eve" in str(entries(house))
    answer = desk.post(f"{HERE}/back", headers=PAGE)
    assert answer.status_code == 200 and "The import is undone." in answer.text
    assert hall.projection.roster == before
    assert "no import to undo" in desk.post(f"{HERE}/back", headers=PAGE).text


def test_what_somebody_changed_since_is_not_taken_back(house: House) -> None:
    desk = house.desk()
    send(desk, "Division,Entry,Athlete\nOpen pairs,Oak,Ana\nOpen pairs,Elm,Bo\n")
    oak = next(entry for entry in house.app.state.hall.projection.roster.entries if entry.name == "Oak")
    desk.post(f"/desk/entries/{oak.id}", data={"name": "Ash", "division": "div_open", "member-0-name": "Ana"})
    text = desk.post(f"{HERE}/back", headers=PAGE).text
    assert "Changed since then, so left as they are: Ash." in text
    assert "Ash" in entries(house) and "Elm" not in entries(house)


def test_an_import_whose_entries_stand_on_a_start_list_stays(house: House) -> None:
    desk = house.desk()
    send(desk, "Division,Entry,Athlete\nOpen pairs,Oak,Ana\n")
    oak = next(entry for entry in house.app.state.hall.projection.roster.entries if entry.name == "Oak")
    desk.post("/desk/heats/new", data={"event": "evt_turns", "number": "9", "lanes": "1", "lane-1-entry": oak.id})
    answer = desk.post(f"{HERE}/back", headers=PAGE)
    assert answer.status_code == 409 and "is on the start list" in answer.text and "Oak" in entries(house)


def test_an_unusual_bodyweight_is_asked_about_once(house: House) -> None:
    desk = house.desk()
    text = "Division,Entry,Athlete,Bodyweight (kg)\nOpen pairs,Oak,Ana,30\n"
    refused = send(desk, text, 422)
    assert "D2 (Bodyweight (kg)): 30 kg (66.1 lb) is an unusual bodyweight." in refused and "Oak" not in entries(house)
    send(desk, text, odd_is_right="on")
    assert "Oak" in entries(house)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "No file arrived"),
        (b"PK\x03\x04rest", "That is the spreadsheet itself."),
        (b"x" * (401 * 1024), "at most 400 kB"),
        (b"Division,Entry,Athlete\n", "no row under them"),
        (b'Division,Entry,Athlete\nOpen pairs,"Oak,Ana\n', "a quote"),
        (b'Division,Entry,Athlete\nOpen pairs,"Oak"s,Ana\n', "Row 2: a cell starts with a quote"),
        (b"Name\n" + b"a\n" * 2002, "more than 2000 rows"),
        (b",".join([b"Name"] * 61) + b"\n" + b",".join([b"x"] * 61), "at most 60"),
        (b"\x81\x8d\x8f\x90", "can't be read as Windows-1252"),
    ],
)
def test_a_file_that_is_no_list_gets_a_sentence(house: House, data: bytes, words: str) -> None:
    answer = house.desk().post(HERE, data={"do": "look"}, files={"file": ("a.csv", data, "text/csv")}, headers=PAGE)
    assert answer.status_code == 422 and words in html.unescape(answer.text)


def test_columns_are_changed_by_hand(house: House) -> None:
    desk = house.desk()
    text = "Who,Where\nAna,Quay\nBo,Pier\n"
    unread = send(desk, text, 200, do="look")
    assert "No column holds athletes' names." in unread and "No column holds the division." in unread
    chosen = {
        "columns": "yes",
        "headed": "on",
        "row_is": "entry",
        "column-0": "athlete",
        "column-1": "club",
        "division": "div_open",
    }
    send(desk, text, **chosen)
    assert entries(house)["Ana"] == ("Ana",) and entries(house)["Bo"] == ("Bo",)


def test_a_list_without_headings_and_one_with_sep_line_are_read(house: House) -> None:
    desk = house.desk()
    roles = {"columns": "yes", "row_is": "entry", "column-0": "division", "column-1": "entry", "column-2": "athlete"}
    send(desk, "sep=;\r\nOpen pairs;Oak;Ana\r\n", **roles)
    assert entries(house)["Oak"] == ("Ana",)


def test_hostile_cells_are_text_and_never_markup(house: House) -> None:
    desk = house.desk()
    answer = desk.post(
        HERE, data={"do": "look", "text": "Division,Entry,Athlete\nOpen pairs,</textarea><b onclick=x>,=1+1\n"}, headers=PAGE
    )
    assert "<b onclick" not in answer.text and "&lt;/textarea&gt;" in answer.text


def test_only_the_desk_sees_the_page(house: House) -> None:
    assert house.browser().get(HERE).status_code == 401
    assert house.tablet(1).post(HERE, data={"text": "x"}).status_code == 401


TOLD = (
    "Division,Bib,Entry,Athlete A,Age A,Height A,Reach A,Opener A (lb),Athlete B,Age B,Opener B\n"
    "Open pairs,7,Oak,Ana Ruiz,31,5'6,6ft 3,132,Bo Lind,44,70\n"
)


def facts(house: House) -> dict[str, Any]:
    """What is stored of the first athlete of the list, and the openers of both."""
    hall = house.app.state.hall
    roster = hall.projection.roster
    ana = next((one for one in roster.athletes if one.name == "Ana Ruiz"), None)
    if ana is None:
        return {"openers": [opener.load.text() for opener in roster.openers]}
    height = hall.database.read(lambda session: checkin(session, ana.id)).height
    reach = next((one.reach for one in roster.measures if one.athlete == ana.id), None)
    return {
        "age": ana.age,
        "height": height.text() if height else "",
        "reach": reach.text() if reach else "",
        "openers": [opener.load.text() for opener in roster.openers],
    }


def test_ages_heights_reaches_and_openers_come_with_the_list_and_go_when_it_is_taken_back(house: House) -> None:
    desk = house.desk()
    send(desk, TOLD, odd_is_right="on")
    assert facts(house) == {"age": 31, "height": "66 in", "reach": "75 in", "openers": ["132 lb", "70 kg"]}
    assert "Everything in this list is saved already" in send(desk, TOLD, 422, odd_is_right="on")
    changed = send(desk, TOLD.replace(",70\n", ",75\n"), 200, do="look")
    assert "Bo Lind opens with 75 kg (165.3 lb) in Turn about" in changed and "<b>1</b> changed" in changed
    send(desk, TOLD.replace(",70\n", ",75\n").replace(",31,", ",32,"), odd_is_right="on")
    assert facts(house)["age"] == 32 and facts(house)["openers"] == ["132 lb", "75 kg"]
    desk.post(f"{HERE}/back", headers=PAGE)
    assert facts(house) == {"age": 31, "height": "66 in", "reach": "75 in", "openers": ["132 lb", "70 kg"]}


def test_how_a_name_is_said_comes_with_the_list_stays_where_it_is_silent_and_is_in_no_file_for_everybody(house: House) -> None:
    desk = house.desk()
    send(desk, "Division,Entry,Athlete A,Pronunciation A,Athlete B\nOpen pairs,Oak,Ana Ruiz,AH-na roo-EETH,Bo Lind\n")
    send(desk, "Division,Entry,Athlete A,Age A,Athlete B\nOpen pairs,Oak,Ana Ruiz,31,Bo Lind\n")
    whole = read_file(export_file(house.app.state.hall))
    assert {one.name: one.said_like for one in whole.athletes if one.said_like} == {"Ana Ruiz": "AH-na roo-EETH"}
    assert not any(one.said_like for one in public_of(whole).athletes)
    assert not any(one.said_like for one in with_initials(whole).athletes)
    page = send(desk, f"Division,Entry,Athlete A,Said like A,Athlete B\nOpen pairs,Oak,Ana Ruiz,{'a' * 121},Bo Lind\n", 422)
    assert "D2 (Said like A): " in page


def test_an_age_is_in_no_file_for_everybody(house: House) -> None:
    desk = house.desk()
    send(desk, TOLD, odd_is_right="on")
    whole = read_file(export_file(house.app.state.hall))
    public = public_of(whole)
    assert 31 in {one.age for one in whole.athletes} and {one.age for one in public.athletes} == {None}


@pytest.mark.parametrize(
    ("was", "now", "words"),
    [
        (",31,", ",old,", "E2 (Age A): The age in years is a whole number from 1 to 120; not “old”."),
        (",5'6,", ",5.6,", "F2 (Height A): "),
        (",132,", ",much,", "H2 (Opener A (lb)): “much” is not a load."),
        (",70\n", ",12\n", "K2 (Opener B): The bar"),
        ("Bo Lind,44,70", ",44,", "I2 (Athlete B): The athlete's name is missing, but other columns describe"),
        ("Bo Lind,44,70", ",,", "H2 (Opener A (lb)): Oak does not do Turn about"),
    ],
)
def test_what_a_fact_can_not_be_is_named_by_its_cell(house: House, was: str, now: str, words: str) -> None:
    before = house.app.state.hall.projection.roster
    assert words in send(house.desk(), TOLD.replace(was, now), 422, odd_is_right="on")
    assert house.app.state.hall.projection.roster == before


def test_a_row_that_can_not_be_read_is_left_out_and_the_rest_is_stored(house: House) -> None:
    desk = house.desk()
    text = "Division,Entry,Athlete\nOpen pairs,Oak,Ana\nNowhere,Elm,Bo\nOpen pairs,Fir,\n"
    page = send(desk, text, 422)
    assert "Leave row 4 out" in page and "Leave row 2 out" not in page
    out = dict(re.findall(r'name="(out-[0-9]+)" value="([0-9a-f]+)"', page))
    page = send(desk, text, 422, **out)
    assert "Leave row 3 out" in page, "the comparison finds what the reading could not"
    assert re.search(r'name="out-4" value="[0-9a-f]+" checked', page)
    out |= dict(re.findall(r'name="(out-[0-9]+)" value="([0-9a-f]+)"', page))
    moved = "Division,Entry,Athlete\nOpen pairs,New,Zoe\nOpen pairs,Oak,Ana\nNowhere,Elm,Bo\nOpen pairs,Fir,\n"
    assert "Leave row 5 out" in send(desk, moved, 422, **out), "no other row is left out in its place"
    send(desk, text, **out)
    assert "Oak" in entries(house) and not {"Elm", "Fir"} & set(entries(house))


def test_what_a_column_was_said_to_mean_is_remembered_in_the_next_list_and_forgotten_when_said_otherwise(house: House) -> None:
    desk = house.desk()
    text = "Division,Crew,Who,Club\nOpen pairs,Oak,Ana,Quay\n"
    chosen = {"columns": "yes", "headed": "on", "column-1": "entry", "column-2": "athlete", "column-3": ""}
    send(desk, text, **chosen)
    assert entries(house)["Oak"] == ("Ana",)
    send(desk, "Who;Crew;Division;Club\nBo;Elm;Open pairs;Quay\n")
    assert entries(house)["Elm"] == ("Bo",)
    assert all(one.club is None for one in house.app.state.hall.projection.roster.athletes if one.name in ("Ana", "Bo"))
    back = {
        "columns": "yes",
        "headed": "on",
        "column-0": "athlete",
        "column-1": "entry",
        "column-2": "division",
        "column-3": "club",
    }
    send(desk, "Who;Crew;Division;Club\nCy;Ash;Open pairs;Quay\n", **back)
    assert 'value="club" selected' in send(desk, "Who;Crew;Division;Club\nDi;Yew;Open pairs;Quay\n", 200, do="look")


def test_a_start_number_knows_an_entry_again_and_stands_before_its_name_when_somebody_says_so(house: House) -> None:
    desk = house.desk()
    send(desk, "Division,Entry,Athlete\nOpen pairs,Oak,Ana\nOpen pairs,Elm,Bo\n")
    numbered = "Division,Bib,Entry,Athlete\nOpen pairs,17,Oak,Ana\nOpen pairs,9,Elm,Bo\n"
    send(desk, numbered, numbers_first="on")
    assert {"17 Oak", "9 Elm"} <= set(entries(house)) and not {"Oak", "Elm"} & set(entries(house))
    send(desk, "Division,Bib,Entry,Athlete\nVeteran pairs,17,Old Oak,Ana\n", numbers_first="on")
    assert "17 Old Oak" in entries(house) and "17 Oak" not in entries(house)
    twice = send(desk, "Division,Bib,Entry,Athlete\nOpen pairs,5,Fir,Di\nOpen pairs,5,Yew,Ed\n", 422)
    assert "B3 (Bib): The start number 5 is there twice, here and in row 2." in twice


def test_who_will_not_fit_an_event_is_said_before_the_list_is_stored(house: House) -> None:
    page = send(house.desk(), "Division,Entry,Athlete\nOpen pairs,Oak,Ana\n", 200, do="look")
    assert "Oak has 1 athlete; Turn about is for entries of 2 members." in page


def test_women_or_men_comes_with_the_list_is_changed_on_the_form_and_withheld_where_no_points_ask_for_it(house: House) -> None:
    desk = house.desk()
    send(desk, "Division,Entry,Athlete A,Gender A,Athlete B,Sex B\nOpen pairs,Oak,Ana Ruiz,F,Bo Lind,male\n")
    of = {one.name: one.sex for one in house.app.state.hall.projection.roster.athletes}
    assert (of["Ana Ruiz"], of["Bo Lind"]) == ("women", "men")
    key = next(one.id for one in house.app.state.hall.projection.roster.entries if one.name == "Oak")
    form = {"name": "Oak", "division": house.app.state.hall.projection.roster.divisions[0].id, "do": "store"}
    form |= {"member-0-name": "Ana Ruiz", "member-0-sex": "", "member-0-age": "41", "member-1-name": "Bo Lind"}
    assert desk.post(f"/desk/entries/{key}", data=form, headers=PAGE).status_code == 303
    after = {one.name: (one.sex, one.age) for one in house.app.state.hall.projection.roster.athletes}
    assert (after["Ana Ruiz"], after["Bo Lind"]) == (("", 41), ("men", None)), "a form that does not ask leaves it as it is"
    whole = read_file(export_file(house.app.state.hall))
    assert not any(one.sex for one in public_of(whole).athletes)
    page = send(desk, "Division,Entry,Athlete,Sex\nOpen pairs,Elm,Cy Dale,x\n", 422)
    assert "D2 (Sex): Women or men is written" in page


def test_the_team_for_points_comes_with_the_list_and_stays_where_it_is_silent(house: House) -> None:
    desk = house.desk()
    send(desk, "Division,Entry,Athlete A,Athlete B,Team for points\nOpen pairs,Oak,Ana Ruiz,Bo Lind,Harbour\n")
    send(desk, "Division,Entry,Athlete A,Athlete B\nOpen pairs,Oak,Ana Ruiz,Cy Dale\n")
    assert {one.name: one.team for one in house.app.state.hall.projection.roster.entries}["Oak"] == "Harbour"
    told = send(desk, "Division,Entry,Athlete A,Athlete B,Country\nOpen pairs,Oak,Ana Ruiz,Cy Dale,Hill\n", 200, do="look")
    assert "Team for points: Hill." in told


@pytest.mark.parametrize("rows", [("Men;Cy Oak;", "Masters;Cy Oak;Quay"), ("Masters;Cy Oak;Quay", "Men;Cy Oak;")])
def test_a_club_that_one_row_lacks_makes_no_second_athlete_and_is_told(house: House, rows: tuple[str, str]) -> None:
    desk, text = house.desk(), "\n".join(("Division;Name;Club", *rows))
    told = "Cy Oak is named with a club, Quay, and without one: taken for one athlete."
    assert told in send(desk, text, 200, do="look", make_divisions="on")
    send(desk, text, make_divisions="on")
    roster = house.app.state.hall.projection.roster
    clubs = {club.id: club.name for club in roster.clubs}
    assert [clubs[one.club] for one in roster.athletes if one.name == "Cy Oak"] == ["Quay"]
    assert len({one.members for one in roster.entries if one.name == "Cy Oak"}) == 1
    again = send(desk, text, 200, do="look")
    assert told not in again and "All of it is saved already" in again
    page = html.unescape(desk.get("/desk/people", headers=PAGE).text)
    assert "Cy Oak (Men), Cy Oak (Masters)" in page or "Cy Oak (Masters), Cy Oak (Men)" in page


@pytest.mark.parametrize("rows", list(permutations(("Men;Cy Oak;Quay", "Masters;Cy Oak;North", "Open;Cy Oak;"))))
def test_a_name_with_two_clubs_is_two_athletes_and_no_page_makes_two_that_nothing_tells_apart(
    house: House, rows: tuple[str, ...]
) -> None:
    desk = house.desk()
    send(desk, "\n".join(("Division;Name;Club", *rows)), make_divisions="on")
    roster = house.app.state.hall.projection.roster
    clubs = {club.name: club.id for club in roster.clubs}
    of_club = {one.club: one.id for one in roster.athletes if one.name == "Cy Oak"}
    assert set(of_club) == {clubs["Quay"], clubs["North"], None}, "whose the third is, nothing tells"
    form = {"name": "Cy Oak", "club": clubs["Quay"]}
    refused = desk.post(f"/desk/athletes/{of_club[None]}", data=form, headers=PAGE)
    assert refused.status_code == 422 and "There is already an athlete with this name and club." in refused.text
    entry = next(one for one in roster.entries if one.members == (of_club[None],))
    typed = {"name": entry.name, "division": entry.division, "member-0-name": "Cy Oak", "member-0-club": "Quay"}
    assert desk.post(f"/desk/entries/{entry.id}", data=typed, headers=PAGE).status_code in (200, 303)
    after = house.app.state.hall.projection.roster.entries
    assert next(one for one in after if one.id == entry.id).members == (of_club[clubs["Quay"]],), "as the sentence says"


def test_of_two_athletes_whom_nothing_tells_apart_the_bodyweight_is_typed_all_the_same(tmp_path: Path) -> None:
    day = a_mixed_day()  # such as a version made that did not ask
    one, two = (athlete.model_copy(update={"name": "Cy Oak", "club": None}) for athlete in day.athletes[:2])
    with a_house(tmp_path, file=day.model_copy(update={"athletes": (one, two, *day.athletes[2:])})) as house:
        form = {"name": "Cy Oak", "club": "", "weight": "81.5"}
        assert house.desk().post(f"/desk/athletes/{two.id}", data=form, headers=PAGE).status_code in (200, 303)
        athletes = {one.id: one for one in house.app.state.hall.projection.roster.athletes}
        assert athletes[two.id].bodyweight.text() == "81.5 kg" and athletes[one.id].bodyweight == one.bodyweight


def test_a_first_list_that_is_pasted_makes_its_divisions_as_one_from_a_file_does(tmp_path: Path) -> None:
    text = "Division;Name\nWomen;Ana Ek\nMen;Bo Lind"
    with a_house(tmp_path, competition=False) as house:
        desk = house.desk()
        assert desk.post("/desk/competition", data={"name": "New", "unit": "kg"}).status_code == 303
        assert 'name="make_divisions" value="on" checked' in desk.get("/desk/entries/paste", headers=PAGE).text
        pasted = send(desk, text, 200, do="look")
        assert "Divisions to add: Women, Men." in pasted and "Save all" in pasted
        refused = send(desk, text, 200, do="look", columns="yes")
        assert "There is no division Women." in refused, "somebody took the tick away"
