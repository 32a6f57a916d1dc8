"""Totals read out stand in for marks that have not come, and count neither twice nor against marks that are there."""

import pytest

from app.rules.count.joined import joined_tally
from app.rules.count.paper import standing_in
from app.rules.count.tally import fold
from tests.builders.cast import FORMATS, Plain, Sheet, parsed

PAIR, LIST, LIFT, MEASURE = (FORMATS[key] for key in ("pair", "list", "lift", "measure"))


def reps(count: int, first_ms: int = 1_000) -> list[Plain]:
    sheet = Sheet(device=f"tab-{count}")
    return [sheet.rep(first_ms + 500 * n, 0) for n in range(count)]


@pytest.mark.parametrize(("own", "read_out", "counts"), [(25, 40, 40), (40, 40, 40), (41, 40, 41), (0, 12, 12), (12, 0, 12)])
def test_the_greater_count_of_a_window_counts(own: int, read_out: int, counts: int) -> None:
    made = joined_tally(PAIR, {"lane": fold(PAIR, parsed(reps(own))), "paper": fold(PAIR, parsed(reps(read_out)))})
    assert made is not None and made.windows[0].credited == counts
    assert made.any_marks


def test_without_paper_nothing_changes_and_without_marks_the_paper_counts() -> None:
    tally = fold(PAIR, parsed(reps(3)))
    assert joined_tally(PAIR, {"lane": tally}) is tally
    assert joined_tally(PAIR, {"lane": tally, "paper": fold(PAIR, [])}) == tally
    alone = joined_tally(PAIR, {"paper": tally})
    assert alone is not None and (alone.windows[0].credited, alone.windows[0].by, alone.any_marks) == (3, ("paper",), True)
    assert joined_tally(PAIR, {}) is None


def test_each_window_is_chosen_by_itself() -> None:
    own = fold(PAIR, parsed([*reps(10), *[Sheet(device="x").rep(240_500, 2)]]))
    paper = fold(PAIR, parsed([Sheet().rep(1_000, 0), *[mark | {"win": 2} for mark in reps(5, 241_000)]]))
    assert list(standing_in(PAIR, own, paper)) == [2]
    made = joined_tally(PAIR, {"lane": own, "paper": paper})
    assert made is not None and (made.windows[0].credited, made.windows[2].credited) == (10, 5)


def test_a_finish_a_heavier_lift_and_a_first_measure_stand_in() -> None:
    done = [Sheet().rep(1_000 * i) for i in range(1, 14)]
    finished = [*(mark | {"id": f"{n:032x}"} for n, mark in enumerate(done)), Sheet().mark("finish", 14_250)]
    assert list(standing_in(LIST, fold(LIST, parsed(finished[:-1])), fold(LIST, parsed(finished)))) == [0]
    light, heavy = ([Sheet().lift(5_000, load, True)] for load in ("100 kg", "105 kg"))
    assert list(standing_in(LIFT, fold(LIFT, parsed(light)), fold(LIFT, parsed(heavy)))) == [0]
    assert list(standing_in(LIFT, fold(LIFT, parsed(heavy)), fold(LIFT, parsed(light)))) == []
    measured = [Sheet().mark("measure", 10_000, value="12.5")]
    assert list(standing_in(MEASURE, fold(MEASURE, []), fold(MEASURE, parsed(measured)))) == [0]


def test_misses_on_paper_count_where_the_tablet_judged_nothing_and_not_beside_what_it_judged() -> None:
    asked, missed = Sheet().declare(1_000, "100 kg"), Sheet(device="desk").lift(5_000, "100 kg", False)
    own, said = fold(LIFT, parsed([asked])), fold(LIFT, parsed([missed]))
    made = joined_tally(LIFT, {"lane": own, "paper": said})
    assert made is not None and made.windows[0].by == ("paper",) and made.says(0)
    assert list(standing_in(LIFT, fold(LIFT, parsed([asked, missed])), said)) == []
