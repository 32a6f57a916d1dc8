"""Choosing how the overall standing is made: what is stored, what is refused, and what the page then shows."""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from app.hall.changing import change_roster
from app.hall.forms import BadForm
from app.results.overall_form import overall_page, overall_typed, save_overall
from app.rules.records.body_formulas import age_factors_known, formulas_known
from app.rules.records.overall_rule import OverallRule
from app.rules.records.point_formulas import PointFormula
from app.rules.records.team_rule import TeamRule
from app.store.roster import put_overall, read_roster
from tests.builders.halls import House, a_house
from tests.builders.meets import a_meet

TYPED = {
    "by": "linear",
    "points": "100, 90; 80\n70.5",
    "beyond": "5",
    "first": "50",
    "less": "2,5",
    "least": "1",
    "shared": "split",
    "absent": "none",
    "better": "more",
    "count_back": "on",
    "named": "heavy",
}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=a_meet()) as opened:
        yield opened


def stored(house: House) -> OverallRule | None:
    """The rule as stored, which is the one that the projection has."""
    hall = house.app.state.hall
    roster = hall.database.read(read_roster)
    assert roster == hall.projection.roster
    return roster.overall


def save(house: House, **changes: str) -> OverallRule | None:
    house.do(save_overall, {**TYPED, **changes})
    return stored(house)


def refused(house: House, **changes: str) -> dict[str, str]:
    before = stored(house)
    with pytest.raises(BadForm) as wrong:
        house.do(save_overall, {**TYPED, **changes})
    assert stored(house) == before, "nothing is stored half"
    return {problem.field: problem.sentence for problem in wrong.value.problems}


def test_before_anything_was_chosen_there_is_no_overall_standing(house: House) -> None:
    assert overall_typed(house.app.state.hall)["by"] == "none"
    view = overall_page(house.app.state.hall)
    assert (view.rule, view.tables, view.scores) == ((), (), 4)


def test_points_that_fall_evenly(house: House) -> None:
    rule = save(house)
    assert rule == OverallRule(
        by="linear", first=Fraction(50), less=Fraction(5, 2), least=Fraction(1), shared="split", absent="none", named="heavy"
    )
    typed = overall_typed(house.app.state.hall)
    assert (typed["first"], typed["less"], typed["shared"], typed["count_back"]) == ("50", "2.5", "split", "on")


def test_a_table_is_read_with_any_sign_between(house: House) -> None:
    rule = save(house, by="table")
    assert rule is not None and rule.points == (100, 90, 80, Fraction(141, 2)) and rule.beyond == 5
    assert overall_typed(house.app.state.hall)["points"] == "100, 90, 80, 70.5"
    again = save(house, by="linear")
    assert again is not None and again.points == rule.points, "the table stays for whoever goes back to it"


def test_what_is_stored_can_be_stored_again_unchanged(house: House) -> None:
    for by, absent in (("places", "last"), ("table", "none"), ("linear", "out"), ("scores", "last")):
        rule = save(house, by=by, absent=absent)
        house.do(save_overall, overall_typed(house.app.state.hall))
        assert stored(house) == rule


def test_it_can_be_dropped(house: House) -> None:
    save(house)
    assert save(house, by="none", points="nonsense") is None


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"by": "magic"}, "by", "How the scores are added up is one of"),
        ({"by": "table", "points": ""}, "points", "The table of points is empty"),
        ({"by": "table", "points": "100, ninety"}, "points", "not “ninety”"),
        ({"by": "table", "points": "100, -5"}, "points", "not “-5”"),
        ({"by": "table", "points": "90, 100"}, "points", "Place 2 would be worth more than place 1"),
        ({"by": "table", "points": "1 " * 501}, "points", "501 places; at most 500"),
        ({"first": "-1"}, "first", "What place 1 is worth is 0 or more"),
        ({"less": "x"}, "less", "is a number such as 2, 0.5 or 1/3"),
        ({"shared": ""}, "shared", "What shared places are worth is not chosen"),
        ({"absent": "x"}, "absent", "What an entry without a place gets is one of"),
        ({"named": "x"}, "named", "one of those in the list, or none"),
        ({"by": "places"}, "", "would win by staying away"),
        ({"by": "scores", "better": "less"}, "", "would win by staying away"),
    ],
)
def test_a_rule_that_will_not_do_is_told_why(house: House, changes: dict[str, str], field: str, sentence: str) -> None:
    assert sentence in refused(house, **changes)[field]


def test_the_page_shows_everybody_under_the_rule(house: House) -> None:
    save(house, absent="last")
    view = overall_page(house.app.state.hall)
    assert view.rule[0].startswith("Each score gives 50 points for place 1 and 2.5 fewer")
    table = view.tables[0]
    assert table.columns == ("Swings", "Errands for the hall", "Heavy and quick: Swings", "Heavy and quick: Deadlift")
    first: Any = table.rows[0]
    assert (first.place, first.entry, first.cells[0], first.link) == ("1", "Bo Farrow", "50 (1)", "/overall/open/ent_2")
    assert [row.total for row in table.rows][-1] == "why?", "who has no place can still ask"


def test_weights_and_worst_scores_left_out_are_kept_and_told_with_the_names_of_events(house: House) -> None:
    rule = save(house, by="percent", drop="1", **{"weight-heavy": "1,5"})
    assert rule is not None and rule.by == "percent" and (rule.drop, rule.weights) == (1, {"heavy": Fraction("1.5")})
    page = overall_page(house.app.state.hall)
    heavy = next(choice.words for choice in page.events if choice.value == "heavy")
    told = " ".join(page.rule)
    assert page.weighed and f"{heavy} times 1.5; every other once" in told
    assert "percentage of the best one there" in told and "Everybody's worst score is left out" in told
    assert overall_typed(house.app.state.hall)["weight-heavy"] == "1.5"
    assert "a number from 0 to 1000" in refused(house, **{"weight-heavy": "-1"})["weight-heavy"]


def test_points_by_formula_are_kept_with_their_numbers_and_asked_in_a_unit_that_fits(house: House) -> None:
    hall = house.app.state.hall
    units = {event.id: event.format.scores[0].unit for event in hall.projection.roster.events}
    counted = next(key for key, unit in units.items() if unit not in ("m", "cm"))
    other = next(key for key in units if key != counted)
    assert "decathlon-400m" in {choice.value for choice in overall_page(hall).formulas}
    assert "needs cm" in refused(house, by="formula", **{f"formula-{counted}": "decathlon-high_jump"})[f"formula-{counted}"]
    assert "one of those in the list" in refused(house, by="formula", **{f"formula-{other}": "no such"})[f"formula-{other}"]
    assert "at least one event" in refused(house, by="formula")["by"]


def test_a_formula_that_is_not_the_librarys_stays_as_it_is_stored(house: House) -> None:
    hall = house.app.state.hall
    events = hall.projection.roster.events
    event = events[0]
    own = PointFormula(
        name="Ours",
        a=Fraction(2),
        b=Fraction(0),
        c=Fraction(1),
        unit=event.format.scores[0].unit,
        better="more",
        source="Invented",
    )  # type: ignore[arg-type]
    house.do(
        lambda hall, rule: change_roster(hall, lambda session: put_overall(session, rule)),
        OverallRule(by="formula", formulas={event.id: own}),
    )
    typed = overall_typed(hall)
    assert typed[f"formula-{event.id}"] == "kept" and "kept" in {choice.value for choice in overall_page(hall).formulas}
    assert f"{event.name}, by Ours: 2 × ({own.unit} − 0) ^ 1, whole points." in overall_page(hall).rule
    house.do(save_overall, typed)
    kept = stored(house)
    assert kept is not None and kept.formulas == {event.id: own}


def test_points_by_bodyweight_age_factors_and_one_standing_of_all_divisions_are_kept(house: House) -> None:
    hall = house.app.state.hall
    assert {"sinclair-2021", "wilks", "dots", "gl-classic"} <= {choice.value for choice in overall_page(hall).formulas}
    assert "needs kg" in refused(house, by="formula", **{"formula-swings": "dots"})["formula-swings"]
    formula = formulas_known()["dots"]
    rule = OverallRule(by="formula", formulas={"heavy": formula}, ages=age_factors_known()["foster-mcculloch"], across=True)
    house.do(lambda hall, rule: change_roster(hall, lambda session: put_overall(session, rule)), rule)
    typed = overall_typed(hall)
    assert (typed["formula-heavy"], typed["ages"], typed["ranked"]) == ("dots", "foster-mcculloch", "across")
    told = " ".join(overall_page(hall).rule)
    assert "500 / (− 57.96288" in told and "Foster and McCulloch" in told and "All divisions are one standing" in told
    assert "one of those in the list" in refused(house, by="formula", ages="no such")["ages"]
    falling = save(house)
    assert falling is not None and not falling.across, "places are places in a division"


def test_team_points_are_kept_shown_and_taken_along(house: House) -> None:
    team = {
        "team-of": "club",
        "team-by": "table",
        "team-points": "12, 9",
        "team-beyond": "1",
        "team-best": "2",
        "team-over": "all",
    }
    rule = save(house, **team)
    assert rule is not None and rule.teams == TeamRule(points=(Fraction(12), Fraction(9)), beyond=Fraction(1), best=2)
    assert {key: overall_typed(house.app.state.hall)[key] for key in team} == team
    page = overall_page(house.app.state.hall)
    assert page.team_rule[0].startswith("An entry counts for its members' club; its best 2 entries count")
    (standing,) = page.teams
    quay = standing.rows[0]
    assert (quay.team, quay.total) == ("Quay Barbell", "13") and "[Cy Marlow 1 (4, Open)]" in quay.cells
    assert "Bo Farrow" in standing.without
    desk = house.desk()
    csv = desk.get("/desk/teams.csv").text.lstrip("\ufeff").splitlines()
    assert csv[0].startswith("division,place,shared,team,total,entry") and len(csv) == 4, csv
    assert "Quay Barbell" in desk.get("/results").text and "All divisions · Teams" in desk.get("/").text
    assert refused(house, **{**team, "team-points": "9, 12"})["team-points"].startswith("Place 2 would be worth more")
    assert save(house) == rule, "a form that does not speak of teams leaves them"
    dropped = save(house, **{**team, "team-of": "none"})
    assert dropped is not None and dropped.teams is None


def test_of_an_event_with_several_scores_one_may_count_alone_and_a_formula_asks_no_more_than_that(house: House) -> None:
    hall = house.app.state.hall
    (heavy,) = overall_page(hall).several
    assert heavy.event.value == "heavy" and [choice.words for choice in heavy.scores] == ["Swings", "Deadlift"]
    assert "one of its scores, or all of them" in refused(house, **{"only-heavy": "no such"})["only-heavy"]
    assert "needs kg" in refused(house, by="formula", **{"formula-heavy": "dots"})["formula-heavy"]
    lift = heavy.scores[1].value
    rule = save(house, by="formula", **{"formula-heavy": "dots", "only-heavy": lift})
    assert rule is not None and rule.only == {"heavy": lift} and overall_typed(hall)["only-heavy"] == lift
    page = overall_page(hall)
    assert page.scores == 3 and "Of Heavy and quick only Deadlift counts." in page.rule
    assert page.tables[0].columns[2:] == ("Heavy and quick: Deadlift",)
    assert save(house) == save(house, **{"only-heavy": lift}), "a form that does not ask leaves it"
    every = save(house, **{"only-heavy": ""})
    assert every is not None and every.only == {}
