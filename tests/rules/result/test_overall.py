"""Overall: points for places, places and scores added up, ties parted, who goes on, and on which lane."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.rules.records.overall_rule import Column, OverallRow, OverallRule, Result
from app.rules.result.overall import Overall, cut, heats_by_seed, overall, seeded_lanes
from app.rules.result.overall_points import points_for

FIVE = ["ana", "bo", "cy", "di", "ed"]


def column(event: str, **places: int | None) -> Column:
    """What entries brought from one event: their places; their scores are ten less the place."""
    results = {who: Result(place, None if place is None else Fraction(10 - place)) for who, place in places.items()}
    return Column(event, "score", results)


def standing(rule: OverallRule, entries: Sequence[str], *columns: Column) -> list[tuple[str, int | None, Fraction]]:
    return [(str(row.who), row.place, row.total) for row in overall(rule, entries, columns)]


def test_places_added_up_and_the_lowest_sum_wins() -> None:
    columns = column("a", ana=1, bo=2, cy=3), column("b", ana=3, bo=1, cy=2)
    assert standing(OverallRule(), ["ana", "bo", "cy"], *columns) == [("bo", 1, 3), ("ana", 2, 4), ("cy", 3, 5)]


def test_points_fall_evenly_and_never_under_the_least() -> None:
    rule = OverallRule(by="linear", first=Fraction(100), less=Fraction(40), least=Fraction(15))
    assert [points_for(rule, place) for place in (1, 2, 3, 4, 5)] == [100, 60, 20, 15, 15]


def test_a_table_gives_what_it_says_and_later_places_what_lies_beyond() -> None:
    rule = OverallRule(by="table", points=(Fraction(10), Fraction("7.5")), beyond=Fraction(1))
    assert [points_for(rule, place) for place in (1, 2, 3, 9)] == [10, Fraction("7.5"), 1, 1]


def test_scores_are_added_up_as_they_are() -> None:
    columns = column("a", ana=1, bo=2), column("b", ana=2, bo=1)
    assert standing(OverallRule(by="scores", count_back=False), ["ana", "bo"], *columns) == [("ana", 1, 17), ("bo", 1, 17)]


@pytest.mark.parametrize(("shared", "points"), [("same", [10, 10, 1]), ("split", [8, 8, 1])])
def test_a_shared_place_gives_each_its_points_or_splits_those_of_the_places_covered(shared: Any, points: list[int]) -> None:
    rule = OverallRule(by="table", points=(Fraction(10), Fraction(6), Fraction(1)), shared=shared)
    rows = overall(rule, ["ana", "bo", "cy"], [column("a", ana=1, bo=1, cy=3)])
    assert [row.points[0] for row in rows] == points


@pytest.mark.parametrize(
    ("by", "absent", "total"),
    [("linear", "last", 97), ("linear", "none", 0), ("places", "last", 4), ("scores", "last", 7), ("scores", "none", 0)],
)
def test_without_a_place_an_entry_gets_what_the_rule_says(by: Any, absent: Any, total: int) -> None:
    rows = overall(OverallRule(by=by, absent=absent), FIVE[:4], [column("a", ana=1, bo=2, cy=3)])
    absent_row = next(row for row in rows if row.who == "di")
    assert (absent_row.total, absent_row.place) == (total, None)


def test_with_out_a_missing_place_costs_the_overall_place() -> None:
    columns = column("a", ana=1, bo=2), column("b", bo=1, ana=None)
    assert standing(OverallRule(absent="out"), ["ana", "bo"], *columns) == [("bo", 1, 3), ("ana", None, 3)]


def test_who_took_no_part_at_all_has_no_place() -> None:
    assert standing(OverallRule(), ["ana", "bo"], column("a", ana=1)) == [("ana", 1, 1), ("bo", None, 2)]
    assert standing(OverallRule(), ["ana", "bo"]) == [("ana", None, 0), ("bo", None, 0)]


@pytest.mark.parametrize("wrong", [{"by": "places"}, {"by": "scores", "better": "less"}])
def test_nobody_can_win_by_staying_away(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValidationError, match="would win by staying away"):
        OverallRule(absent="none", **wrong)


def test_a_table_needs_a_place() -> None:
    with pytest.raises(ValidationError, match="at least one place"):
        OverallRule(by="table")


def test_count_back_parts_an_equal_sum_by_the_best_places() -> None:
    columns = column("a", ana=1, bo=2, cy=3), column("b", ana=3, bo=2, cy=1)
    rows = overall(OverallRule(), ["bo", "ana", "cy"], columns)
    assert [(row.who, row.place, row.by_tie) for row in rows] == [
        ("ana", 1, "count-back"),
        ("cy", 1, "count-back"),
        ("bo", 3, "count-back"),
    ]


def test_then_the_named_event_parts_them() -> None:
    columns = column("a", ana=1, bo=2), column("b", ana=2, bo=1)
    rows = overall(OverallRule(named="b"), ["ana", "bo"], columns)
    assert [(row.who, row.place, row.by_tie) for row in rows] == [("bo", 1, "named event"), ("ana", 2, "named event")]
    assert [row.place for row in overall(OverallRule(named="c"), ["ana", "bo"], columns)] == [1, 1], "it was not held"
    assert [row.place for row in overall(OverallRule(), ["ana", "bo"], columns)] == [1, 1]


# --- Laws -----------------------------------------------------------------------------------------------------------------


def _places(scores: Sequence[int | None]) -> list[int | None]:
    return [None if own is None else 1 + sum(1 for other in scores if other is not None and other > own) for own in scores]


@st.composite
def contests(draw: st.DrawFn) -> tuple[OverallRule, list[str], list[Column]]:
    """A rule, entries, and columns in which places follow from scores as in an event."""
    by = draw(st.sampled_from(["places", "table", "linear", "scores"]))
    better = draw(st.sampled_from(["more", "less"]))
    low_wins = by == "places" or (by == "scores" and better == "less")
    falling = sorted(draw(st.lists(st.integers(0, 50), min_size=1, max_size=6)), reverse=True)
    rule = OverallRule(
        by=by,
        points=tuple(Fraction(points) for points in falling),
        beyond=Fraction(draw(st.integers(0, falling[-1]))),
        first=Fraction(draw(st.integers(0, 20))),
        less=Fraction(draw(st.integers(0, 5))),
        shared=draw(st.sampled_from(["same", "split"])),
        absent=draw(st.sampled_from(["last", "out"] if low_wins else ["last", "none", "out"])),
        better=better,
        count_back=draw(st.booleans()),
        named=draw(st.sampled_from([None, "event-0", "event-1"])),
    )
    columns = []
    for n in range(draw(st.integers(1, 4))):
        scores = draw(st.lists(st.none() | st.integers(0, 4), min_size=5, max_size=5))
        sign = 1 if better == "more" else -1
        results = {
            who: Result(place, None if score is None else Fraction(10 + sign * score))
            for who, place, score in zip(FIVE, _places(scores), scores, strict=True)
        }
        columns.append(Column(f"event-{n}", "score", results))
    return rule, FIVE, columns


def _before(rule: OverallRule, columns: Sequence[Column], one: OverallRow, other: OverallRow) -> bool:
    """Whether one beats the other, by the rule's own words and nothing of its code."""
    if one.total != other.total:
        return one.total < other.total if rule.low_wins else one.total > other.total
    if rule.count_back:
        for place in range(1, 6):
            mine, theirs = one.places.count(place), other.places.count(place)
            if mine != theirs:
                return mine > theirs
    if rule.named is not None:
        held = [n for n, one_column in enumerate(columns) if one_column.event == rule.named]
        if held:
            mine, theirs = one.places[held[0]] or 99, other.places[held[0]] or 99
            return mine < theirs
    return False


@given(contests())
def test_the_standing_is_a_weak_order_that_agrees_with_comparing_two_by_two(
    contest: tuple[OverallRule, list[str], list[Column]],
) -> None:
    rule, entries, columns = contest
    ranked = [row for row in overall(rule, entries, columns) if row.place is not None]
    for row in ranked:
        assert row.place == 1 + sum(_before(rule, columns, other, row) for other in ranked if other is not row)
        assert row.shared == any(other.place == row.place for other in ranked if other is not row)
    for one, other in combinations(ranked, 2):
        assert not (_before(rule, columns, one, other) and _before(rule, columns, other, one))


@given(contests(), st.randoms(use_true_random=False))
def test_the_order_of_the_list_changes_no_place(contest: tuple[OverallRule, list[str], list[Column]], chance: Any) -> None:
    rule, entries, columns = contest
    mixed = entries[:]
    chance.shuffle(mixed)
    told = {row.who: (row.place, row.shared, row.points, row.total) for row in overall(rule, entries, columns)}
    assert {row.who: (row.place, row.shared, row.points, row.total) for row in overall(rule, mixed, columns)} == told


@given(contests())
def test_a_total_is_the_sum_of_what_the_columns_bring(contest: tuple[OverallRule, list[str], list[Column]]) -> None:
    rule, entries, columns = contest
    for row in overall(rule, entries, columns):
        assert row.total == sum(row.points, Fraction(0)) and len(row.points) == len(columns)


@given(contests())
def test_staying_away_from_an_event_brings_no_more_than_coming_last_in_it(
    contest: tuple[OverallRule, list[str], list[Column]],
) -> None:
    rule, entries, columns = contest
    sign = -1 if rule.low_wins else 1
    for n in range(len(columns)):
        rows = overall(rule, entries, columns)
        there = [sign * row.points[n] for row in rows if row.places[n] is not None]
        away = [sign * row.points[n] for row in rows if row.places[n] is None]
        assert not there or not away or max(away) <= min(there)


@given(contests())
def test_points_split_among_those_who_share_are_the_points_of_the_places_covered(
    contest: tuple[OverallRule, list[str], list[Column]],
) -> None:
    rule, entries, columns = contest
    if rule.by == "scores":
        return
    split = rule.model_copy(update={"shared": "split"})
    for n, one in enumerate(columns):
        ranked = sum(1 for result in one.results.values() if result.place is not None)
        given_out = sum((row.points[n] for row in overall(split, entries, columns) if row.places[n] is not None), Fraction(0))
        assert given_out == sum((points_for(rule, place) for place in range(1, ranked + 1)), Fraction(0))


# --- Who goes on, and where -----------------------------------------------------------------------------------------------


def test_who_share_the_last_place_that_goes_on_all_go_on() -> None:
    order = [("ana", 1), ("bo", 2), ("cy", 2), ("di", 4), ("ed", None)]
    assert [cut(order, most) for most in (1, 2, 3, 4, 9)] == [
        ["ana"],
        ["ana", "bo", "cy"],
        ["ana", "bo", "cy"],
        ["ana", "bo", "cy", "di"],
        ["ana", "bo", "cy", "di"],
    ]


def test_lanes_are_given_from_the_middle_outwards_or_from_one_up() -> None:
    assert seeded_lanes("abcde", 5) == {3: "a", 2: "b", 4: "c", 1: "d", 5: "e"}
    assert seeded_lanes("abcd", 4) == {2: "a", 3: "b", 1: "c", 4: "d"}
    assert seeded_lanes("abc", 4, middle=False) == {1: "a", 2: "b", 3: "c"}


@given(st.lists(st.integers(), unique=True, max_size=40), st.integers(1, 12), st.booleans())
def test_heats_hold_everybody_once_and_the_best_together(order: list[int], lanes: int, best_last: bool) -> None:
    heats = heats_by_seed(order, lanes, best_last)
    from_best = heats[::-1] if best_last else heats
    assert [one for heat in from_best for one in heat] == order
    assert all(len(heat) == lanes for heat in from_best[:-1]) and all(1 <= len(heat) <= lanes for heat in heats)


@given(st.integers(1, 60), st.integers(1, 60), st.booleans())
def test_each_lane_is_given_once_and_a_better_seed_stands_no_farther_out(lanes: int, entries: int, middle: bool) -> None:
    given_out = seeded_lanes(range(entries), lanes, middle)
    assert len(given_out) == min(lanes, entries) and set(given_out) <= set(range(1, lanes + 1))
    by_seed = sorted(given_out, key=lambda lane: given_out[lane])
    away = [abs(2 * lane - lanes - 1) if middle else lane for lane in by_seed]
    assert away == sorted(away)


results_in_three = st.lists(st.tuples(*[st.none() | st.integers(1, 9)] * 3), min_size=1, max_size=6)


@given(results_in_three, st.integers(0, 4), st.booleans())
def test_what_is_left_of_the_scores_without_the_worst_is_the_best_sum_of_as_many(
    brought: list[tuple[int | None, ...]], drop: int, low: bool
) -> None:
    rule = OverallRule(by="scores", better="less" if low else "more", drop=drop)
    columns = [
        Column(f"e{at}", "score", {who: Result(own[at], own[at] and Fraction(own[at])) for who, own in enumerate(brought)})  # type: ignore[arg-type]
        for at in range(3)
    ]
    for row in overall(rule, range(len(brought)), columns):
        some = combinations(row.points, max(1, 3 - drop))
        assert row.total == (min if low else max)(sum(one, Fraction(0)) for one in some)
        assert len(row.dropped) == min(drop, 2)


@given(results_in_three, st.lists(st.integers(0, 5), min_size=3, max_size=3))
def test_an_event_with_a_weight_counts_as_often_as_that(brought: list[tuple[int | None, ...]], weights: list[int]) -> None:
    def of(names: list[str]) -> list[Column]:
        return [
            Column(f"{name}{n}", "score", {who: Result(own[at], None) for who, own in enumerate(brought)})
            for at, name in enumerate("abc")
            for n in range(1 if names else weights[at])
        ]

    weighed = OverallRule(by="linear", weights={f"{name}0": Fraction(weights[at]) for at, name in enumerate("abc")})
    once = {row.who: row.total for row in overall(weighed, range(len(brought)), of(["once"]))}
    often = {row.who: row.total for row in overall(OverallRule(by="linear"), range(len(brought)), of([]))}
    assert once == often


@pytest.mark.parametrize(
    ("better", "values", "told"),
    [
        ("more", [200, 150, 33], [100, 75, Fraction("16.5")]),
        ("less", [60, 90, 240], [100, Fraction("66.667"), 25]),
        ("more", [0, 0, -5], [100, 100, 0]),
    ],
)
def test_each_score_is_a_part_of_the_best_one_there(better: Any, values: list[int], told: list[Any]) -> None:
    results = {who: Result(place, Fraction(value)) for place, (who, value) in enumerate(zip(FIVE, values, strict=False), 1)}
    rows = overall(OverallRule(by="percent"), FIVE[:4], [Column("a", "score", results, better)])
    assert [row.points[0] for row in rows if row.who != "di"] == told
    assert next(row for row in rows if row.who == "di").points == (told[-1],), "without a score as the worst there"


def test_what_was_left_out_is_not_counted_back() -> None:
    columns = [column("a", ana=1, bo=2), column("b", ana=4, bo=3), column("c", ana=9, bo=9)]
    rows = overall(OverallRule(drop=1), ["bo", "ana"], columns)
    assert [(row.who, row.total, row.by_tie, row.dropped) for row in rows] == [
        ("ana", 5, "count-back", (2,)),
        ("bo", 5, "count-back", (2,)),
    ]


SHARES = st.sampled_from([Fraction(1), Fraction(0), Fraction(3, 2), Fraction(2, 7)])


@st.composite
def any_rules(draw: st.DrawFn) -> OverallRule:
    """Any rule: weights, formulas and drops too."""
    by = draw(st.sampled_from(["places", "table", "linear", "scores", "percent"]))
    better = draw(st.sampled_from(["more", "less"]))
    low_wins = by == "places" or (by == "scores" and better == "less")
    return OverallRule(
        by=by,  # type: ignore[arg-type]
        better=better,  # type: ignore[arg-type]
        points=(Fraction(9), Fraction(20, 3), Fraction(1)) if by == "table" else (),
        less=draw(SHARES),
        shared=draw(st.sampled_from(["same", "split"])),
        absent=draw(st.sampled_from(["last", "out"] if low_wins else ["last", "out", "none"])),  # type: ignore[arg-type]
        count_back=draw(st.booleans()),
        named=draw(st.sampled_from([None, "a", "c"])),
        weights=draw(st.dictionaries(st.sampled_from("abc"), SHARES)),
        drop=draw(st.integers(0, 3)),
    )


@st.composite
def columns_of(draw: st.DrawFn, event: str) -> Column:
    """What some entries brought from an event."""
    places = draw(st.dictionaries(st.sampled_from(FIVE), st.sampled_from([None, 1, 1, 2, 3])))
    return column(event, **places)


@given(any_rules(), st.lists(st.sampled_from("abc").flatmap(columns_of), min_size=1, max_size=9))
def test_a_standing_that_is_looked_at_again_and_again_is_the_one_worked_out_anew(rule: OverallRule, came: list[Column]) -> None:
    kept, columns = Overall(rule, FIVE), dict[str, Column]()
    for one in came:
        columns[one.event] = one
        there = [columns[event] for event in sorted(columns)]
        assert kept.plainly(there) == Overall(rule, FIVE).plainly(there)
    assert kept.plainly(list(columns.values())[:1]) == Overall(rule, FIVE).plainly(list(columns.values())[:1])
