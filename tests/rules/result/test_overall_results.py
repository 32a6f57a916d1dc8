"""From the events of a meet to its overall standing, and why a place overall is what it is."""

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.result.explain_windows import Step
from app.rules.result.overall_explain import explain_overall, rule_lines, total_text
from app.rules.result.overall_results import OverallColumn, Overalls, OverallTable, begun, overall_tables
from app.rules.result.results import EventResults, results
from tests.builders.meets import DONE, LONG, a_meet, penalty, status

PLACES = OverallRule()
CHOSEN = {"Cy Marlow": "scaled", "Gil Haverstock": "light"}
FALLING = OverallRule(by="linear", less=Fraction(5))


def overall_of(file: CompetitionFile) -> tuple[OverallTable, ...]:
    """From nothing but the file."""
    return overall_tables(file, results(file))


def open_table(file: CompetitionFile) -> OverallTable:
    return overall_of(file)[0]


def lines(table: OverallTable) -> list[tuple[int | None, str, Fraction]]:
    return [(row.place, row.entry.name, row.total) for row in table.rows]


def told(table: OverallTable, name: str, named: str = "") -> tuple[Step, ...]:
    row = next(row for row in table.rows if row.entry.name == name)
    return explain_overall(table, row, named).steps


def texts(step: Step) -> list[str]:
    return [line.text for line in step.lines]


def test_without_a_rule_there_is_no_overall_standing() -> None:
    assert overall_of(a_meet()) == ()


def test_every_score_that_has_begun_counts_in_its_division() -> None:
    table = open_table(a_meet(PLACES))
    assert [column.title for column in table.columns] == [
        "Swings",
        "Errands for the hall",
        "Heavy and quick: Swings",
        "Heavy and quick: Deadlift",
    ]
    # By hand: Bo 1 1 1 2, Ada 2 3 3 2, the sisterhood 3 2 4 1, Cy 4 4 1 4; Dot took no part and gets 5 everywhere.
    assert lines(table) == [
        (1, "Bo Farrow", 5),
        (2, LONG, 10),
        (3, "Ada Quill", 10),
        (4, "Cy Marlow", 13),
        (None, "Dot Penhale", 20),
    ]
    assert [row.by_tie for row in table.rows] == [None, "count-back", "count-back", None, None]
    assert [table.division_name for table in overall_of(a_meet(PLACES))] == ["Open", "Masters"]


def test_a_score_that_nobody_has_does_not_count_yet() -> None:
    assert [column.event for column in open_table(a_meet(PLACES, events=1)).columns] == ["swings"]
    nothing = open_table(a_meet(PLACES, done={}))
    assert nothing.columns == () and [row.place for row in nothing.rows] == [None] * 5


@cache
def results_at(stage: int) -> Sequence[EventResults]:
    """How the events of one and the same meet stand at some stage of it."""
    some = dict(list(DONE.items())[:stage])
    rulings = [penalty("ent_1", "swings", "3"), status("ent_2", "errands", "withdrawn")] if stage > len(DONE) else []
    return results(a_meet(PLACES, done=some, rulings=rulings, chosen=CHOSEN))


@settings(max_examples=40)
@given(
    st.sampled_from([PLACES, OverallRule(by="linear", drop=1)]),
    st.lists(st.tuples(st.integers(0, 2), st.sampled_from([0, 3, 5, 7, 8])), min_size=1, max_size=6),
)
def test_tables_that_are_looked_at_again_and_again_are_those_made_anew(rule: OverallRule, changes: list[tuple[int, int]]) -> None:
    meet = a_meet(rule, chosen=CHOSEN)
    kept, found = Overalls(meet), list(results_at(0))
    for event, stage in changes:
        found[event] = results_at(stage)[event]
        assert kept.tables(found) == overall_tables(meet, found)


def test_a_score_counts_from_the_first_who_is_out_of_it() -> None:
    file = a_meet(PLACES, done={}, rulings=[status("ent_1", "errands", "did_not_start")])
    table = open_table(file)
    assert [column.event for column in table.columns] == ["errands"] and table.columns[0].ranked == 0
    assert [begun(one) for one in results(file)[1].tables] == [True, False]


def test_who_is_out_of_all_events_has_no_overall_place() -> None:
    table = open_table(a_meet(PLACES, rulings=[status("ent_2", None, "disqualified")]))
    out = next(row for row in table.rows if row.entry.name == "Bo Farrow")
    assert (out.place, {cell.status for cell in out.cells}) == (None, {"disqualified"})


def test_a_penalty_in_one_event_is_felt_overall() -> None:
    table = open_table(a_meet(PLACES, rulings=[penalty("ent_2", "errands", "30")]))
    assert next(row for row in table.rows if row.entry.name == "Bo Farrow").cells[1].place == 3


def test_who_is_ranked_apart_has_no_place_in_that_event() -> None:
    table = open_table(a_meet(FALLING, chosen={"Cy Marlow": "scaled"}))
    cell = next(row for row in table.rows if row.entry.name == "Cy Marlow").cells[0]
    assert (cell.place, cell.status, cell.points, table.columns[0].ranked) == (None, "ranked apart, Scaled", 85, 3)


def test_scores_added_up_leave_out_what_was_never_made() -> None:
    table = open_table(a_meet(OverallRule(by="scores"), events=1))
    assert lines(table)[0][1:] == ("Bo Farrow", 42)
    assert lines(table)[-1] == (None, "Dot Penhale", 33), "the worst score there"


@given(st.permutations(range(len(a_meet(FALLING).marks))))
def test_the_order_of_marks_changes_nothing_overall(order: list[int]) -> None:
    file = a_meet(FALLING)
    mixed = file.model_copy(update={"marks": tuple(file.marks[i] for i in order)})
    assert overall_of(mixed) == overall_of(file)


# --- Why ------------------------------------------------------------------------------------------------------------------


def test_a_place_overall_is_told_from_the_rule_to_the_tie() -> None:
    table = open_table(a_meet(FALLING))
    rule, brought, place = told(table, "Ada Quill")
    assert texts(rule)[0] == "Each score gives 100 points for place 1 and 5 fewer for each place after it; the highest sum wins."
    assert texts(brought) == [
        "Swings: place 2 of 4, which counts 95",
        "Errands for the hall: place 3 of 4, which counts 90",
        "Heavy and quick: Swings: place 3 of 4, which counts 90",
        "Heavy and quick: Deadlift: place 2 of 4, shared, which counts 95",
        "Together 95 + 90 + 90 + 95 = 370",
    ]
    assert texts(place) == [
        "Ranked in Open among 4: the highest total first",
        f"The same total as {LONG}; behind it by count-back of best places: 2, 2, 3, 3 against 1, 2, 3, 4",
        "Place 3",
    ]


def test_a_tie_that_the_named_event_parts_and_one_that_nothing_parts() -> None:
    done = {"Ada Quill": (5, 5, 40, 1, 100), "Bo Farrow": (4, 4, 39, 1, 100)}
    named = open_table(a_meet(OverallRule(named="swings"), done=done, events=2))
    assert texts(told(named, "Bo Farrow", "Swings")[2])[1:] == [
        "The same total as Ada Quill and the same places; behind it by the place in Swings",
        "Place 2",
    ]
    shared = open_table(a_meet(PLACES, done=done, events=2))
    assert texts(told(shared, "Bo Farrow")[2])[1:] == [
        "The same total as Ada Quill, and nothing separates them: the place is shared",
        "Place 1, shared",
    ]


def test_only_a_score_that_is_left_out_is_struck_out() -> None:
    brought = told(open_table(a_meet(OverallRule(drop=1))), "Dot Penhale")[1].lines
    assert [line.counts for line in brought].count(False) == 1
    assert (brought[-1].text, brought[-1].counts) == ("Together 5 + 5 + 5 = 15", True)


def test_who_has_no_place_is_told_why() -> None:
    none = told(open_table(a_meet(PLACES)), "Dot Penhale")
    assert texts(none[2])[-1] == "No overall place: the entry has no place in any score yet"
    assert texts(none[1])[0] == "Swings: not judged yet; until then it counts 5"
    assert all(line.counts for line in none[1].lines), "what is added up below is not struck out"
    missed = open_table(a_meet(OverallRule(absent="out"), rulings=[status("ent_1", "errands", "withdrawn")]))
    assert texts(told(missed, "Ada Quill")[2])[-1] == "No overall place: the entry has no place in every score"
    nothing = told(open_table(a_meet(PLACES, done={})), "Ada Quill")
    assert texts(nothing[1]) == ["No event has started yet"]


@pytest.mark.parametrize(
    ("rule", "first"),
    [
        ({}, "The places in all scores are added up; the lowest sum wins."),
        ({"by": "scores", "better": "less"}, "The scores themselves are added up; the lowest sum wins."),
        (
            {"by": "table", "points": ("10", "8", "6.5"), "beyond": "1"},
            "Each score gives points for the place: 10, 8, 6.5, then 1; the highest sum wins.",
        ),
        (
            {"by": "linear", "first": "9", "least": "4"},
            "Each score gives 9 points for place 1 and 1 fewer for each place after it, never fewer than 4; "
            "the highest sum wins.",
        ),
    ],
)
def test_the_rule_in_words(rule: dict[str, Any], first: str) -> None:
    assert rule_lines(OverallRule.model_validate(rule))[0] == first


def test_the_rest_of_the_rule_in_words() -> None:
    split = OverallRule(by="linear", shared="split", absent="none", count_back=False, named="swings")
    assert rule_lines(split, "Swings")[1:] == (
        "Entries that share a place split what the places they cover are worth.",
        "An entry without a place in a score gets 0.",
        "Ties are broken by the place in Swings; otherwise the place is shared.",
    )
    assert rule_lines(OverallRule(count_back=False, absent="out"))[2:] == (
        "An entry without a place in every score has no overall place.",
        "Ties share the place.",
    )
    long = OverallRule(by="table", points=tuple(Fraction(n) for n in range(30, 0, -1)))
    assert "19 and so on to place 30, then 0" in rule_lines(long)[0]


def test_a_total_says_what_it_counts_and_unlike_scores_added_up_are_points() -> None:
    def told(by: str, *units: str) -> str:
        columns = tuple(OverallColumn(f"e{n}", "score", "Event", unit, 2) for n, unit in enumerate(units))
        return total_text(OverallTable(OverallRule.model_validate({"by": by}), "open", "Open", columns, ()), Fraction(25, 2))

    assert told("places", "reps", "kg") == "12.5 places added"
    assert told("linear", "kg") == told("scores", "reps", "kg") == told("scores") == "12.5 points"
    assert told("scores", "kg", "kg") == "12.5 kg" and told("scores", "s") == "12.5 s"


@given(
    st.sampled_from([PLACES, FALLING, OverallRule(by="scores"), OverallRule(by="linear", shared="split", absent="none")]),
    st.dictionaries(
        st.sampled_from(sorted(DONE)),
        st.tuples(st.integers(0, 3), st.integers(0, 3), st.none() | st.integers(13, 15), st.integers(0, 3), st.integers(50, 52)),
    ),
)
def test_what_is_told_adds_up_to_the_total(rule: OverallRule, done: dict[str, Any]) -> None:
    for table in overall_of(a_meet(rule, done=done)):
        for row in table.rows:
            assert row.total == sum((cell.points for cell in row.cells), Fraction(0))
            said = texts(explain_overall(table, row).steps[1])
            if len(row.cells) > 1:
                assert said[-1].startswith("Together ")
            assert len(said) == len(table.columns) + (len(table.columns) != 1)
