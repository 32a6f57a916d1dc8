"""Results for everybody: pages and data of all standings and of how each number came about."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.rules.records.overall_rule import OverallRule
from tests.builders.halls import ON_THE_LAN, House, a_house
from tests.builders.meets import LONG, a_meet, penalty

PAGE = {"accept": "text/html"}
NASTY = '<b onclick="x()">=1+1 "Bo", José</b>'


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    file = a_meet(OverallRule(by="linear", named="swings"), rulings=[penalty("ent_1", "errands", "5")])
    named = file.entries[1].model_copy(update={"name": NASTY})
    file = file.model_copy(update={"entries": (file.entries[0], named, *file.entries[2:])})
    with a_house(tmp_path, file=file) as opened:
        yield opened


def test_results_are_open_to_all_and_each_score_leads_to_its_explanation(house: House) -> None:
    visitor = house.browser(ON_THE_LAN)
    text = visitor.get("/results", headers=PAGE).text
    for link in ("/results/swings/score/ent_1", "/results/heavy/lift/ent_4", "/overall/open/ent_1", "/results.json"):
        assert f'href="{link}"' in text
        assert visitor.get(link, headers=PAGE).status_code == 200
    assert NASTY not in text and "&lt;b onclick" in text


def test_an_explanation_shows_steps_and_says_what_is_left_out_in_words(house: House) -> None:
    text = house.browser().get("/results/errands/score/ent_3", headers=PAGE).text
    assert "Capped with 3 repetitions left: ranks behind all who finished" in text and 'data-kind="window"' in text
    penalised = house.browser().get("/results/errands/score/ent_1", headers=PAGE).text
    assert "Penalty added by ruling: 0:05, which leaves 0:51" in penalised
    lifted = house.browser().get("/results/heavy/lift/ent_4", headers=PAGE).text
    assert "405 lb = 183.7049 kg (1 lb = 0.45359237 kg)" in lifted and LONG in lifted


def test_the_same_comes_as_data(house: House) -> None:
    visitor = house.browser()
    why = visitor.get("/results/swings/score/ent_1.json").json()
    assert (why["entry"], why["score"], why["event"]) == ("Ada Quill", "42 reps", "Swings")
    assert {"title", "lines"} == set(why["steps"][0])
    overall = visitor.get("/overall/open/ent_1.json").json()
    assert overall["steps"][0]["title"] == "How it is added up"
    told = visitor.get("/results.json").json()
    assert [event["event"] for event in told["events"]] == ["swings", "errands", "heavy"] and len(told["overall"]) == 2


@pytest.mark.parametrize(
    "path",
    ["/results/none/score/ent_1", "/results/swings/none/ent_1", "/results/swings/score/none.json", "/overall/open/none"],
)
def test_what_is_not_there_gets_a_sentence(house: House, path: str) -> None:
    answer = house.browser().get(path)
    assert answer.status_code == 404 and "Start from all results" in answer.json()["sentence"]
    assert "That didn't work" in house.browser().get(path, headers=PAGE).text


def test_the_board_leads_to_the_explanations_and_shows_the_overall_standing(house: House) -> None:
    text = house.browser().get("/", headers=PAGE).text
    assert 'id="panel-overall-open"' in text and 'href="/overall/open/ent_1"' in text
    assert 'class="why" href="/results/heavy/reps/ent_1"' in text and 'href="/results"' in text
    assert "panel-swings" not in text, "with so many standings only the event at hand has tabs; the rest is among all results"


def test_before_there_is_a_competition_the_page_says_so(empty_house: House) -> None:
    visitor = empty_house.browser()
    assert "has not set up a competition yet" in visitor.get("/results", headers=PAGE).text
    assert visitor.get("/results.json").status_code == 404
