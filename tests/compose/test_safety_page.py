"""The safety facts of a competition: said once at the desk, kept in the file, missed aloud when they are not there."""

from app.results.competition_file import write_file
from app.rules.records.document import CompetitionFile
from app.rules.workout.safety import Safety, missing
from tests.builders.halls import House

PAGE = {"accept": "text/html"}
FACTS = {"emergency": "112", "medic": "Noor, radio 3", "aed": "By the doors", "aed_route": "Along the wall", "first_aid": "Desk"}
NAMED = {"name": "Quay Day", "unit": "kg"}


def test_the_list_of_the_day_names_what_nobody_has_said_and_only_that(empty_house: House) -> None:
    desk = empty_house.desk()
    desk.post("/desk/competition", data=NAMED | FACTS | {"medic": "", "aed": " "}, headers=PAGE)
    page = desk.get("/desk/setup", headers=PAGE).text
    assert "Missing: the medic&#39;s name and where the AED is." in page
    desk.post("/desk/competition", data=NAMED | FACTS, headers=PAGE)
    assert "Missing:" not in desk.get("/desk/setup", headers=PAGE).text


def test_safety_facts_are_in_the_form_again_and_in_the_file(empty_house: House) -> None:
    desk = empty_house.desk()
    desk.post("/desk/competition", data=NAMED | FACTS, headers=PAGE)
    form = desk.get("/desk/competition", headers=PAGE).text
    assert all(f'value="{fact}"' in form for fact in FACTS.values())
    file = CompetitionFile.model_validate(desk.get("/desk/competition.json").json())
    assert file.competition.safety == Safety(**FACTS)
    assert b'"Noor, radio 3"' in write_file(file)


def test_a_form_that_does_not_ask_leaves_what_was_said(empty_house: House) -> None:
    desk = empty_house.desk()
    desk.post("/desk/competition", data=NAMED | FACTS, headers=PAGE)
    desk.post("/desk/competition", data={"name": "Quay Day Two", "unit": "lb"}, headers=PAGE)
    roster = empty_house.app.state.hall.projection.roster
    assert (roster.competition.name, roster.competition.safety) == ("Quay Day Two", Safety(**FACTS))


def test_a_fact_that_is_too_long_is_refused_beside_its_field_and_kept(empty_house: House) -> None:
    desk = empty_house.desk()
    answer = desk.post("/desk/competition", data=NAMED | FACTS | {"aed_route": "along " * 50}, headers=PAGE)
    assert answer.status_code == 422
    assert "“Way to the AED” has 299 characters; at most 200 are allowed." in answer.text and "along along" in answer.text


def test_a_file_from_before_says_nothing_and_all_of_it_is_missing() -> None:
    file = CompetitionFile.model_validate({"competition": {"id": "cmp", "name": "Gravel Hill Open"}})
    assert len(missing(file.competition.safety)) == len(FACTS)
