"""A total asks for a good lift in each: who makes none in one of them is out, with every lift shown."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.tally import fold
from app.rules.records.signed import marks_held
from app.rules.result.results import Row, results
from app.rules.result.totals import is_settled
from app.rules.workout.formats import Format, Part, ScoreRule, Window
from tests.builders.cast import MOVES, Plain, Sheet, a_competition, a_lift_task, parsed, plain_load

LIFTS, TRIES = 3, 3
Card = list[list[tuple[int, bool]]]  # for each lift, its attempts: kilograms, and whether it was good


def _meet(**task: Any) -> Format:
    lift = a_lift_task(**{"attempts": TRIES, "tries_until_racked": False, **task})
    parts = tuple(Part(take="best", windows=(n,)) for n in range(LIFTS))
    windows = tuple(Window(start=100 * n, seconds=100, task="lift", who=(1,)) for n in range(LIFTS))
    rule = ScoreRule(unit="kg", parts=parts, every_part=True)
    return Format(movements=MOVES, tasks={"lift": lift}, windows=windows, scores=(rule,))


def _sheet(lane: int, card: Card, signed: bool = False) -> list[Plain]:
    sheet, marks = Sheet(f"asg_{lane}"), []
    for n, attempts in enumerate(card):
        for k, (kg, good) in enumerate(attempts):
            at, load = 100_000 * n + 20_000 * k, plain_load(f"{kg} kg")
            declared = sheet.mark("declare", at, n, load=load, by="judge")
            marks += [declared, sheet.mark("lift", at + 5_000, n, load=load, good=good, declared=declared["id"])]
    return [*marks, sheet.mark("sign", 300_000, None, who="judge", name="Io")] if signed else marks


def _ranked(cards: list[Card], signed: bool = False, rulings: list[Plain] | None = None, **task: Any) -> list[Row]:
    marks = [mark for lane, card in enumerate(cards, 1) for mark in _sheet(lane, card, signed)]
    names = [f"L{lane}" for lane in range(1, len(cards) + 1)]
    return list(results(a_competition(_meet(**task), {"Open": names}, marks, rulings=rulings or []))[0].tables[0].rows)


attempts = st.lists(st.tuples(st.integers(40, 60), st.booleans()), min_size=TRIES, max_size=TRIES)


@given(st.lists(st.lists(attempts, min_size=LIFTS, max_size=LIFTS), min_size=1, max_size=5))
def test_a_meet_that_is_over_ranks_the_totals_and_nobody_without_one(cards: list[Card]) -> None:
    found = {row.entry.name: row for row in _ranked(cards)}
    sums = {}
    for lane, card in enumerate(cards, 1):
        good = [[kg for kg, made in lift if made] for lift in card]
        sums[f"L{lane}"] = sum(map(max, good)) if all(good) else None
    for name, row in found.items():
        mine = sums[name]
        better = [one for one in sums.values() if one is not None and mine is not None and one > mine]
        assert (row.place, row.status) == ((None, "no total") if mine is None else (1 + len(better), ""))
        assert row.score is not None and row.score.text == ("no total" if mine is None else str(mine))
        bests = [max((kg for kg, made in lift if made), default=0) for lift in cards[int(name[1:]) - 1]]
        assert [part.value for part in row.score.parts] == bests, "all lifts are shown"


MISS, GOOD = [(50, False)], [(50, True)]


@pytest.mark.parametrize(
    ("card", "signed", "status"),
    [
        ([GOOD], False, ""),  # the other two are to come
        ([MISS], False, ""),
        ([MISS * 3], False, "no total"),  # the attempts are used up
        ([MISS, GOOD], False, "no total"),  # the next lift has begun
        ([GOOD, GOOD], True, "no total"),  # the sheet is closed
        ([GOOD, GOOD, GOOD], True, ""),
    ],
)
def test_a_lift_may_follow_until_it_is_known_that_none_can(card: Card, signed: bool, status: str) -> None:
    (row,) = _ranked([card], signed)
    assert row.status == status and (row.place is None) is bool(status)


@pytest.mark.parametrize(
    ("card", "task", "settled"),
    [
        ([GOOD, GOOD, GOOD], {}, False),  # attempts are left
        ([GOOD * 3, GOOD * 3, GOOD * 3], {}, True),
        ([GOOD * 3, GOOD * 3, MISS * 2], {}, False),
        ([GOOD * 3, GOOD * 3, MISS * 2], {"misses_out": 2}, True),
        ([GOOD * 3, GOOD * 3, GOOD * 3], {"attempts": None}, False),  # as many as time allows
    ],
)
def test_a_score_is_settled_once_no_attempt_of_any_part_is_left(card: Card, task: dict[str, Any], settled: bool) -> None:
    format = _meet(**task)
    tally = fold(format, parsed(_sheet(1, card)))
    assert is_settled(format, format.scores[0], tally) is settled


def test_who_lacks_a_lift_stands_behind_whoever_lacks_none_while_it_may_follow() -> None:
    rows = _ranked([[[(90, True)], [(90, True)]], [GOOD, GOOD, GOOD]])
    assert [(row.place, row.entry.name) for row in rows] == [(1, "L2"), (2, "L1")]


def test_no_lift_follows_in_a_heat_that_the_desk_has_closed() -> None:
    file = a_competition(_meet(), {"Open": ["L1", "L2"]}, _sheet(1, [GOOD, MISS]) + _sheet(2, [GOOD, GOOD, GOOD]))
    ends = {
        state: file.model_copy(update={"runs": tuple(one.model_copy(update={"state": state}) for one in file.runs)})
        for state in ("set", "closed")
    }
    told = {state: [(row.place, row.status) for row in results(one)[0].tables[0].rows] for state, one in ends.items()}
    assert told == {"set": [(1, ""), (2, "")], "closed": [(1, ""), (None, "no total")]}


def test_a_signed_event_holds_no_total_that_lacks_a_lift() -> None:
    ruling = {"id": "rul", "kind": "sign_off", "event": "evt", "by": "Sam", "why": "All seen", "made_wall_ms": 9}
    held = marks_held(parsed(_sheet(1, [GOOD, GOOD])))
    body = {"state": "signed", "marks": held, "runs": {"heat": 1}, "overall": None}
    assert [row.status for row in _ranked([[GOOD, GOOD]])] == [""]
    (row,) = _ranked([[GOOD, GOOD]], rulings=[{**ruling, "body": body}])
    assert (row.place, row.status, row.score and row.score.text) == (None, "no total", "no total")


def test_a_try_under_the_last_load_may_follow_until_its_bar_is_racked() -> None:
    (row,) = _ranked([[MISS * 3]], tries_until_racked=True)
    assert row.status == "" and row.place == 1
