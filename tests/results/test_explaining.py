"""Results for everybody: all standings, and for each number how it was worked out."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path

import pytest

from app.results.explaining import NothingHere, explained, explained_overall, results_page, results_plain
from app.results.publishing import export_file
from app.results.recount import recount, recount_plain
from app.rules.records.overall_rule import OverallRule
from app.rules.result.explain import RULES
from app.rules.result.signed_words import NOT_ALL_SIGNED
from tests.builders.halls import House, a_house
from tests.builders.meets import LONG, a_mark, a_meet, counted, penalty

RULE = OverallRule(by="linear", less=Fraction(5), named="swings")
EXTRA = (
    *counted("asg_12/1/second", (0, 250, 26)),
    a_mark("asg_11/1/lane", 80, "norep", 30_000, 0, fault="height"),
    a_mark("asg_11/1/lane", 81, "rep", 75_000, 0),
)


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    file = a_meet(RULE, extra=EXTRA, rulings=[penalty("ent_1", "errands", "5")], chosen={"Cy Marlow": "scaled"})
    with a_house(tmp_path, file=file) as opened:
        yield opened


def test_all_standings_stand_on_one_page_those_overall_first(house: House) -> None:
    view = results_page(house.app.state.hall)
    assert view is not None
    assert [(table.division, table.title) for table in view.tables][:5] == [
        ("Open", "Overall"),
        ("Masters", "Overall"),
        ("Open", "Swings"),
        ("Open", "Swings, Scaled"),
        ("Masters", "Swings, Light bell"),
    ]
    assert [bool(table.about) for table in view.tables][:3] == [True, False, False], "the rule is told once"
    swings = view.tables[2]
    assert [(line.place, line.entry, line.score, line.note) for line in swings.lines] == [
        ("1", "Bo Farrow", "44 reps", "to be counted again"),
        ("2", "Ada Quill", "42 reps", ""),
        ("3", LONG, "42 reps", ""),
        ("", "Dot Penhale", "", "not judged yet"),
    ]
    assert [line.link for line in swings.lines][2:] == ["/results/swings/score/ent_4", ""]
    assert len({table.anchor for table in view.tables}) == len(view.tables)


def test_the_same_as_data_is_what_a_recount_of_the_export_prints(house: House) -> None:
    hall = house.app.state.hall
    told, again = results_plain(hall), recount_plain(recount(export_file(hall)))
    assert told.pop("final")["overall"]["text"] == NOT_ALL_SIGNED
    assert again.pop("seal")["holds"] and again.pop("signed")["overall"]["text"] == NOT_ALL_SIGNED
    assert told == again
    assert told["overall"][0]["rows"][0]["name"] == "Bo Farrow"


def test_a_score_is_explained_with_what_does_not_count_marked_in_words(house: House) -> None:
    page, plain = explained(house.app.state.hall, "swings", "score", "ent_1")
    assert (page.entry, page.title, page.score, page.place, page.members) == ("Ada Quill", "Swings", "42 reps", "place 2", "")
    assert [(step.title, step.kind) for step in page.steps] == [
        ("Window 1: Swings, 0:00 to 1:00", "window"),
        ("Window 3: Swings, 2:00 to 3:00", "window"),
        ("Score", "score"),
        ("Place", "place"),
        (RULES, "rule"),
    ]
    out = [fact for step in page.steps for fact in step.facts if fact.left_out]
    assert [(fact.text, fact.left_out) for fact in out] == [
        ("1 no-rep: not to eye height", "does not count"),
        ("At 1:15.0: Marked outside every window that fits it. It does not count.", "does not count"),
    ]
    tie = page.steps[-2].facts[1].text
    assert tie == f"The same score as {LONG}; before it by tie-break 2: lighter bodyweight"
    assert json.loads(json.dumps(plain))["steps"][0]["lines"][1]["counts"] is False


def test_a_score_is_explained_under_the_variant_that_was_done(house: House) -> None:
    page, _ = explained(house.app.state.hall, "swings", "score", "ent_3")
    assert page.title == "Swings, Scaled" and page.steps[0].title == "Window 1: Light swings, 0:00 to 1:00"
    assert "Scaled, ranked in a separate standing" in [fact.text for fact in page.steps[-2].facts]


def test_several_counters_and_a_penalty_are_explained(house: House) -> None:
    hall = house.app.state.hall
    joined = [fact.text for fact in explained(hall, "swings", "score", "ent_2")[0].steps[0].facts]
    assert "Counters 22, 26: the mean of the two closest counts is 24" in joined
    late = [fact.text for step in explained(hall, "errands", "score", "ent_1")[0].steps for fact in step.facts]
    assert "Penalty added by ruling: 0:05, which leaves 0:51" in late


def test_a_place_overall_is_explained(house: House) -> None:
    page, plain = explained_overall(house.app.state.hall, "open", "ent_1")
    assert (page.title, page.entry, page.score) == ("Overall", "Ada Quill", "370 points")
    assert [step.kind for step in page.steps] == ["rule", "points", "place"]
    assert any("then by the place in Swings" in fact.text for fact in page.steps[0].facts)
    assert asdict(page)["json"] == "/overall/open/ent_1.json" and plain["place"] == page.place


def test_who_was_not_judged_is_explained_too(house: House) -> None:
    page, _ = explained(house.app.state.hall, "swings", "score", "ent_5")
    assert [step.title for step in page.steps] == ["Place", RULES] and page.place == "not judged yet"


@pytest.mark.parametrize(
    ("event", "score", "entry"), [("none", "score", "ent_1"), ("swings", "none", "ent_1"), ("swings", "score", "none")]
)
def test_what_is_not_there_is_told_with_a_sentence(house: House, event: str, score: str, entry: str) -> None:
    with pytest.raises(NothingHere, match="Start from all results"):
        explained(house.app.state.hall, event, score, entry)


@pytest.mark.parametrize(("division", "entry"), [("none", "ent_1"), ("open", "none"), ("masters", "ent_1")])
def test_no_place_overall_is_told_with_a_sentence(house: House, division: str, entry: str) -> None:
    with pytest.raises(NothingHere, match="no such place overall"):
        explained_overall(house.app.state.hall, division, entry)


def test_before_there_is_a_competition_there_is_nothing(tmp_path: Path) -> None:
    with a_house(tmp_path, competition=False) as empty:
        assert results_page(empty.app.state.hall) is None
        with pytest.raises(NothingHere, match="no competition yet"):
            results_plain(empty.app.state.hall)
