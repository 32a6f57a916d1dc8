"""Standings over arrays: the very answers of the plain way, for every rule, with ties, absences and fractions."""

import random
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.overall_rule import Column, OverallRule, Result
from app.rules.result.overall import MANY, Overall, overall
from app.rules.result.standings_many import Rows, event_places, order_of, overall_of_many


@st.composite
def competitions(draw: st.DrawFn) -> tuple[list[str], list[Column]]:
    """A few entries with places as events give them: shared, absent, left out. Few different scores make many ties."""
    count, events = draw(st.integers(0, 9)), draw(st.integers(1, 4))
    entries = [f"e{n}" for n in range(count)]
    columns = []
    for n in range(events):
        scores = draw(st.lists(st.sampled_from([None, 1, 2, 3]), min_size=count, max_size=count))
        there = [score for score in scores if score is not None]
        results = {
            who: Result(None if score is None else 1 + sum(other > score for other in there), None)
            for who, score in zip(entries, scores, strict=True)
            if score is not None or draw(st.booleans())
        }
        columns.append(Column(f"evt_{n}", "score", results))
    return entries, columns


numbers = st.sampled_from([Fraction(0), Fraction(1), Fraction(1, 3), Fraction(5, 2), Fraction(100), Fraction(-7, 6)])


@st.composite
def rules(draw: st.DrawFn) -> OverallRule:
    """Any rule that the arrays take."""
    by = draw(st.sampled_from(["places", "linear", "table"]))
    absent = draw(st.sampled_from(["last", "out"] if by == "places" else ["last", "out", "none"]))
    return OverallRule(
        by=by,  # type: ignore[arg-type]
        points=tuple(draw(st.lists(numbers, min_size=1, max_size=5))) if by == "table" else (),
        beyond=draw(numbers),
        first=draw(numbers),
        less=draw(numbers),
        least=draw(numbers),
        absent=absent,  # type: ignore[arg-type]
        count_back=draw(st.booleans()),
        named=draw(st.sampled_from([None, "evt_0", "evt_1", "evt_9"])),
    )


@given(competitions(), rules())
def test_arrays_give_row_for_row_what_the_plain_way_gives(competition: tuple[list[str], list[Column]], rule: OverallRule) -> None:
    entries, columns = competition
    many = overall_of_many(rule, entries, columns)
    assert many is not None
    assert list(many) == Overall(rule, entries).plainly(columns)


@pytest.mark.parametrize(
    "rule",
    [
        OverallRule(),
        OverallRule(count_back=False),
        OverallRule(named="evt_2", absent="out"),
        OverallRule(by="linear", first=Fraction(100), less=Fraction(1, 3), least=Fraction(1, 7), absent="none"),
        OverallRule(by="table", points=tuple(map(Fraction, range(50, 0, -1))), named="evt_0"),
    ],
)
def test_many_thousands_stand_where_the_plain_way_puts_them(rule: OverallRule) -> None:
    chance = random.Random(3)
    entries = [f"e{n}" for n in range(MANY + 500)]
    columns = []
    for n in range(5):
        scores = np.array([chance.randrange(90) for _ in entries])
        places = event_places(scores).tolist()
        some = [place if chance.random() > 0.02 else None for place in places]
        came = {who: Result(place, None) for who, place in zip(entries, some, strict=True)}
        columns.append(Column(f"evt_{n}", "score", came))
    made = overall(rule, entries, columns)
    assert isinstance(made, Rows)
    plain = Overall(rule, entries).plainly(columns)
    assert len(made) == len(plain) and list(made) == plain
    assert (made[0], made[-1], made[10:13]) == (plain[0], plain[-1], plain[10:13])
    with pytest.raises(IndexError):
        made[len(plain)]


LARGE = {"by": "linear", "first": Fraction(10**14, 999983), "less": Fraction(1, 999979)}  # in whole numbers over 62 bits


@pytest.mark.parametrize("how", [{"by": "scores"}, {"shared": "split"}, LARGE])
def test_what_arrays_can_not_do_exactly_is_left_to_the_plain_way(how: dict[str, Any]) -> None:
    entries = [f"e{n}" for n in range(MANY)]
    column = Column("evt_0", "s", {who: Result(n + 1, Fraction(n, 7)) for n, who in enumerate(entries)})
    rule = OverallRule(**how)
    assert overall_of_many(rule, entries, [column]) is None
    assert list(overall(rule, entries, [column])) == Overall(rule, entries).plainly([column])


def test_nobody_and_no_event_are_no_trouble() -> None:
    nobody = overall_of_many(OverallRule(), [], [Column("e", "s", {})])
    assert nobody is not None and list(nobody) == []
    assert overall_of_many(OverallRule(), ["a"], []) is None


@given(st.lists(st.one_of(st.integers(-3, 3), st.integers(-(10**12), 10**12)), max_size=12))
def test_places_of_scores_are_one_more_than_how_many_are_better(scores: list[int]) -> None:
    assert event_places(np.array(scores, dtype=np.int64)).tolist() == [1 + sum(b > a for b in scores) for a in scores]


def test_equal_totals_are_parted_by_best_places_and_the_rest_share() -> None:
    found = order_of(np.array([6, 6, 6, 3]), np.array([[2, 1, 2, 1], [2, 2, 2, 1], [2, 3, 2, 1]]))
    assert found.order.tolist() == [3, 1, 0, 2]
    assert found.places.tolist() == [1, 2, 3, 3]
    assert found.shared.tolist() == [False, False, True, True]
    assert found.steps.tolist() == [-1, 0, 0, 0]
