"""Marks beyond what hands make on a sheet: kept aside, the same for everybody, until somebody lets them count."""

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count import beyond
from app.rules.count.beyond import TOO_MANY, most_marks
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import Tally, fold
from app.rules.records.marks import Mark, parse_mark
from app.rules.records.receipts import Receipt
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import CountTask
from tests.builders.cast import FORMATS, Sheet, a_format

FORMAT = a_format(CountTask(movement="squat"))
MOST = 7


@pytest.fixture(autouse=True)
def _few(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beyond, "PER_SECOND", 0)
    monkeypatch.setattr(beyond, "BESIDE", MOST)


def came(sheet: Sheet, numbers: list[int], seat: str = "lane") -> list[Mark]:
    """Repetitions a second apart, received in the order of these numbers; 0 has no receipt."""
    marks = [parse_mark(sheet.rep(1_000 * n)) for n in range(len(numbers))]
    return [replace(mark, receipt=Receipt(n, seat, 90_000) if n else None) for mark, n in zip(marks, numbers, strict=True)]  # type: ignore[arg-type]


def aside(tally: Tally) -> set[str]:
    return {flag.mark for flag in tally.flags if flag.why == TOO_MANY}


@given(st.permutations(range(1, 15)), st.integers(0, 3), st.randoms(use_true_random=False))
def test_of_each_seat_so_many_count_as_came_first_whatever_order_they_are_read_in(
    numbers: list[int], unknown: int, dice: random.Random
) -> None:
    sheet = Sheet()
    judge = came(sheet, [*numbers, *[0] * unknown])
    other = came(sheet, [100 + n for n in range(MOST)], "desk")
    marks = [*judge, *other]
    dice.shuffle(marks)
    tally = fold(FORMAT, marks)
    late = {mark.id for mark in judge if mark.receipt is not None and mark.receipt.number > MOST}
    assert aside(tally) == late
    assert tally.windows[0].count == MOST + unknown + MOST


@given(st.permutations(range(1, 15)), st.data())
def test_a_ruling_lets_some_of_them_count_and_puts_no_other_aside(numbers: list[int], data: st.DataObject) -> None:
    marks = came(Sheet(), numbers)
    waiting = aside(fold(FORMAT, marks))
    named = data.draw(st.lists(st.sampled_from(sorted(waiting)), min_size=1, unique=True))
    about = {
        "id": "r",
        "kind": "admit",
        "assignment": "asg_1",
        "body": {"marks": named},
        "by": "x",
        "why": "y",
        "made_wall_ms": 1,
    }
    tally = fold(FORMAT, marks, SheetClock(ruled=(Ruling.model_validate(about),)))
    assert aside(tally) == waiting - set(named)
    assert tally.windows[0].count == MOST + len(named)


def test_a_stop_is_heard_however_many_marks_came_before_it() -> None:
    sheet = Sheet()
    marks = came(sheet, list(range(1, 30)))
    stop = replace(parse_mark(sheet.mark("stop", 40_000, why="The bar fell")), receipt=Receipt(50, "lane", 90_000))
    tally = fold(FORMAT, [*marks, stop])
    assert tally.stops == (stop.id,) and len(aside(tally)) == 29 - MOST


def test_what_people_do_lies_far_below(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    assert all(most_marks(format) >= 2 * 3 * format.length_ms / 1000 + 300 for format in FORMATS.values())
