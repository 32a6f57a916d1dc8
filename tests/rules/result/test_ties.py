"""The stated steps that break a tie, each on two sheets whose scores are equal."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.document import Run
from app.rules.records.holding import Hold
from app.rules.result.results import results
from app.rules.result.ties import KEYS, NEVER
from app.rules.workout.formats import CountTask, Format, TieStep
from app.rules.workout.tie_steps import TIE_STEPS
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, load, scored, take, tied
from tests.builders.platforms import LEVEL, level_flights


def _format(*steps: Plain, windows: int = 2, **rule: Any) -> Format:
    ties = tuple(TieStep(**step) for step in steps)
    return a_format(CountTask(movement="swing"), *rule.pop("parts", ()), windows=windows, ties=ties, **rule)


def _reps(*times: int) -> list[Plain]:
    sheet = Sheet()
    return [sheet.rep(at) for at in times]


def test_more_work_done_by_a_checkpoint_comes_first() -> None:
    format = _format({"kind": "count_at", "at": 30})
    quick, slow = _reps(1_000, 2_000, 29_999), _reps(1_000, 30_000, 31_000)
    assert scored(format, quick).key == scored(format, slow).key
    assert tied(format, quick) == ((0, -3),) and tied(format, slow) == ((0, -1),)


def test_who_reached_the_same_count_sooner_comes_first() -> None:
    format = _format({"kind": "time_of_count"})
    assert tied(format, _reps(9_000, 50_000)) < tied(format, _reps(1_000, 50_001))
    assert tied(format, _reps(70_000)) == ((0, 70_000),)


def test_who_has_nothing_to_show_comes_last_and_equal_to_each_other() -> None:
    format = _format({"kind": "time_of_count"})
    assert tied(format, []) == (NEVER,)
    assert tied(format, _reps(119_999)) < tied(format, [])


def _lifts(*lifts: tuple[int, str]) -> list[Plain]:
    sheet = Sheet()
    return [sheet.lift(at, text, True) for at, text in lifts]


def test_the_heavier_best_lift_comes_first_whatever_its_unit() -> None:
    # Two lifts each: 100 + 90 kg, and 95 + 95 kg.
    format = a_format(a_lift_task(), take("sum"), windows=2, unit="kg", ties=(TieStep(kind="best_lift"),))
    split, even = _lifts((5_000, "100 kg"), (65_000, "90 kg")), _lifts((5_000, "95 kg"), (65_000, "95 kg"))
    assert scored(format, split).key == scored(format, even).key
    assert tied(format, split) < tied(format, even)
    assert tied(format, _lifts((5_000, "225 lb"))) == ((0, -load("225 lb").kg),)


def test_who_made_the_best_lift_sooner_comes_first() -> None:
    format = a_format(a_lift_task(), take("best"), windows=2, unit="kg", ties=(TieStep(kind="earlier_best"),))
    assert tied(format, _lifts((5_000, "90 kg"), (70_000, "100 kg"))) == ((0, 70_000),)
    assert tied(format, _lifts((20_000, "100 kg"), (70_000, "100 kg"))) == ((0, 20_000),)
    assert tied(format, []) == (NEVER,)


@pytest.mark.parametrize(("better", "keys"), [("more", (0, -3)), ("less", (0, 3))])
def test_the_better_of_a_part_follows_the_way_the_score_is_better(better: str, keys: tuple[int, int]) -> None:
    parts = (take("sum"), take("best"))
    format = _format({"kind": "part", "part": 1}, parts=parts, better="more")
    less = _format({"kind": "part", "part": 1}, parts=(take("sum"), take("worst")), better="less")
    marks = _reps(1_000, 2_000, 3_000, 61_000)
    assert tied(format if better == "more" else less, marks) == (keys,)


def test_steps_stand_in_the_order_stated() -> None:
    format = _format({"kind": "count_at", "at": 30}, {"kind": "time_of_count"})
    assert tied(format, _reps(1_000, 40_000)) == ((0, -1), (0, 40_000))


def test_work_outside_the_scored_windows_breaks_no_tie() -> None:
    plain = _format({"kind": "time_of_count"}).model_dump(mode="json")
    plain["scores"][0]["parts"] = [{"take": "sum", "windows": [0]}]
    assert tied(Format.model_validate(plain), _reps(5_000, 70_000)) == ((0, 5_000),)


def test_each_step_has_its_words() -> None:
    steps = [TieStep(kind="count_at", at=605), TieStep(kind="time_of_count"), TieStep(kind="part", part=1)]
    assert [step.explained() for step in steps] == [
        "more done by 10:05",
        "reached the same count sooner",
        "better in part 2 of the score",
    ]
    assert [step.plain() for step in steps] == [
        "more work done by 10:05",
        "who reached the count sooner",
        "the better part 2",
    ]


def test_every_row_of_the_tie_steps_has_a_function_and_a_step_that_asks_for_something_says_what_it_lacks() -> None:
    assert set(KEYS) == set(TIE_STEPS)
    for name, kind in TIE_STEPS.items():
        if not kind.asks:
            assert TieStep(kind=name).explained() == kind.explained
        else:
            with pytest.raises(ValueError, match=kind.lacks):
                TieStep(kind=name)
    with pytest.raises(ValueError, match="'count_at', 'time_at', 'time_of_count'"):
        TieStep(kind="coin")


Attempts = list[tuple[int, bool]]


def _card(*windows: Attempts) -> list[Plain]:
    """Attempts of one lifter, each under a declaration of its own, ten seconds apart in windows of a minute."""
    sheet, marks = Sheet(), []
    for n, attempts in enumerate(windows):
        for k, (kg, good) in enumerate(attempts):
            at, said = 60_000 * n + 10_000 * k, {"amount": str(kg), "unit": "kg"}
            declared = sheet.mark("declare", at, n, load=said, by="judge")
            marks += [declared, sheet.mark("lift", at + 5_000, n, load=said, good=good, declared=declared["id"])]
    return marks


def _two_lifts(kind: str, **more: Any) -> Format:
    parts = (take("best").model_copy(update={"tasks": (), "windows": (n,)}) for n in range(2))
    return a_format(a_lift_task(), *parts, windows=2, unit="kg", ties=(TieStep(kind=kind, **more),))


@pytest.mark.parametrize(
    ("kind", "more", "first", "behind"),
    [
        ("total_first", {}, 75_000, 115_000),
        ("fewer_attempts", {}, 2 + 2, 1 + 6),
        ("attempt_of_part", {"part": 0}, 2, 1),
        ("attempt_of_part", {"part": 1}, 2, 6),
        ("lower_part", {"part": 0}, 100, 90),
        ("lower_part", {"part": 1}, 120, 130),
        ("tries_at_best", {}, 1 + 1, 1 + 3),
        ("fewer_misses", {}, 1 + 0, 0 + 4),
    ],
)
def test_what_the_lifts_of_a_score_say_where_totals_are_equal(kind: str, more: Any, first: int, behind: int) -> None:
    format = _two_lifts(kind, **more)
    cards = (
        _card([(90, False), (100, True), (105, False)], [(110, True), (120, True), (125, False)]),
        _card([(90, True), (100, False)], [(115, True), (125, False), (128, False), (130, False), (130, False), (130, True)]),
    )
    assert [scored(format, card).value for card in cards] == [220, 220]
    assert [tied(format, card) for card in cards] == [((0, first),), ((0, behind),)]


def test_of_equal_attempt_numbers_the_attempts_before_the_best_lift_are_compared_from_the_last() -> None:
    one, other = _card([(90, True), (97, False), (100, True), (105, False)]), _card([(95, True), (96, True), (100, True)])
    parts = (take("best").model_copy(update={"tasks": (), "windows": (0,)}),)
    for kind, more in (("previous_attempts", {}), ("previous_of_part", {"part": 0})):
        format = a_format(a_lift_task(), *parts, windows=1, unit="kg", ties=(TieStep(kind=kind, **more),))
        assert tied(format, one) == ((0, 97, 90),) and tied(format, other) == ((0, 96, 95),)
        assert tied(format, _card([(100, True)])) == ((0,),) and tied(format, _card([(100, False)])) == (NEVER,)


def test_who_lacks_a_lift_has_nothing_to_show_where_lifts_part() -> None:
    for kind in ("total_first", "fewer_attempts", "previous_attempts", "tries_at_best", "fewer_misses"):
        assert tied(_two_lifts(kind), _card([(100, True)], [(100, False)])) == (NEVER,)


@given(st.lists(st.tuples(st.integers(0, 3), st.booleans()), max_size=6))
def test_a_count_back_is_what_a_plain_walk_over_the_card_says(walked: Attempts) -> None:
    card = [(100 + rise, good) for rise, good in walked]
    best = max((kg for kg, good in card if good), default=None)
    upto = [] if best is None else card[: card.index((best, True)) + 1]
    wanted = {
        "tries_at_best": sum(1 for kg, _ in upto if kg == best),
        "fewer_misses": sum(1 for _, good in upto if not good),
        "fewer_attempts": len(upto),
    }
    for kind, number in wanted.items():
        format = a_format(a_lift_task(), take("best"), windows=1, unit="kg", ties=(TieStep(kind=kind),))
        assert tied(format, _card(card)) == ((0, number) if upto else NEVER,)


GO = st.integers(0, 6).map(lambda tens: 10_000 * tens)


@given(gos=st.lists(GO, min_size=3, max_size=3, unique=True), last_s=st.lists(st.integers(0, 2), min_size=3, max_size=3))
def test_of_three_flights_with_one_total_who_made_it_first_in_the_competition_stands_before(
    gos: list[int], last_s: list[int]
) -> None:
    file = level_flights(last_s, held_ms=17_000)
    held = Hold(at_ms=30_000, for_ms=17_000)  # the first flight's clock stood before its second lift
    runs = [Run(heat=f"heat_{n}", number=1, go_wall_ms=1 + go, holds=(held,) if n == 1 else ()) for n, go in enumerate(gos, 1)]
    made = [1 + go + 105_000 + 1_000 * s + (17_000 if n == 0 else 0) for n, (go, s) in enumerate(zip(gos, last_s, strict=True))]
    (table,) = results(file.model_copy(update={"runs": tuple(runs)}))[0].tables
    assert [row.place for row in table.rows] == [1, 2, 3]
    assert [row.entry.name for row in table.rows] == [LEVEL[n] for n in sorted(range(3), key=lambda n: made[n])]
    # Where no GO is known, as in a file that was keyed in, the flights stand in the order of their numbers.
    unsaid = tuple(one.model_copy(update={"go_wall_ms": 0}) for one in runs)
    (unknown,) = results(file.model_copy(update={"runs": unsaid}))[0].tables
    assert [row.entry.name for row in unknown.rows] == list(LEVEL)
