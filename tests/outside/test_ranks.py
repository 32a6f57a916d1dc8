"""Places against scipy and pandas, which rank for a living."""

from fractions import Fraction

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from app.rules.records.document import CompetitionFile
from app.rules.result.results import results
from app.rules.result.standings import Candidate, Standing, rank
from app.rules.workout.formats import CountTask
from tests.builders.cast import a_competition, a_format, reps

marks_of = st.lists(st.integers(0, 12), min_size=1, max_size=30)


def _places(scores: list[int | None]) -> list[int | None]:
    """The places in the order of the scores; None did not start."""
    field = [
        Candidate(who, Standing.DID_NOT_START, ()) if score is None else Candidate(who, Standing.RANKED, (-score,))
        for who, score in enumerate(scores)
    ]
    place = {placed.who: placed.place for placed in rank(field)}
    return [place[who] for who in range(len(scores))]


def _kinds(places: list[int]) -> dict[str, list[Fraction]]:
    """What the other customs of ranking make of our places: they all follow from the place and how many share it."""
    distinct = sorted(set(places))
    return {
        "min": [Fraction(p) for p in places],
        "max": [Fraction(p + places.count(p) - 1) for p in places],
        "dense": [Fraction(distinct.index(p) + 1) for p in places],
        "average": [p + Fraction(places.count(p) - 1, 2) for p in places],
    }


@pytest.mark.parametrize(
    ("method", "ranks"),
    # Standard, modified, dense and fractional ranking of one list, by scipy.stats.rankdata.
    [
        ("min", [1, 2, 2, 4, 4, 4, 7]),
        ("max", [1, 3, 3, 6, 6, 6, 7]),
        ("dense", [1, 2, 2, 3, 3, 3, 4]),
        ("average", [1, 2.5, 2.5, 5, 5, 5, 7]),
    ],
)
def test_a_list_with_two_ties_is_ranked_as_by_scipy(method: str, ranks: list[float]) -> None:
    scores = [44, 42, 42, 41, 41, 41, 39]
    assert rankdata([-score for score in scores], method=method).tolist() == ranks
    assert _kinds([place or 0 for place in _places([*scores])])[method] == ranks


@given(marks_of)
def test_any_scores_are_ranked_as_by_scipy_in_each_custom(scores: list[int]) -> None:
    kinds = _kinds([place or 0 for place in _places([*scores])])
    for method, ranks in kinds.items():
        assert rankdata([-score for score in scores], method=method).tolist() == ranks


def test_who_is_absent_has_no_place_as_in_pandas() -> None:
    # pandas.Series.rank(method="min", ascending=False) leaves missing values out: 1, NaN, 1, 3.
    by_pandas = pd.Series([10, None, 10, 7]).rank(method="min", ascending=False)
    assert _places([10, None, 10, 7]) == [1, None, 1, 3]
    assert [None if pd.isna(rank) else int(rank) for rank in by_pandas] == [1, None, 1, 3]


@given(st.lists(st.none() | st.integers(0, 9), min_size=1, max_size=20))
def test_any_scores_with_absences_are_ranked_as_by_pandas(scores: list[int | None]) -> None:
    by_pandas = pd.Series(scores, dtype="Float64").rank(method="min", ascending=False)
    assert _places(scores) == [None if pd.isna(rank) else int(rank) for rank in by_pandas]


@given(st.lists(st.none() | st.integers(0, 4), min_size=2, max_size=6))
def test_a_whole_competition_is_ranked_as_by_pandas(counts: list[int | None]) -> None:
    # Who counted nothing at all has no marks and is absent; so a zero is drawn as one repetition that all have.
    marks = [mark for lane, count in enumerate(counts, start=1) if count is not None for mark in reps(count + 1, lane=lane)]
    names = [f"Entry {n}" for n in range(len(counts))]
    file: CompetitionFile = a_competition(a_format(CountTask(movement="swing")), {"Open": names}, marks)
    place = {row.entry.name: row.place for row in results(file)[0].tables[0].rows}
    by_pandas = pd.Series(counts, dtype="Float64").rank(method="min", ascending=False)
    assert [place[name] for name in names] == [None if pd.isna(rank) else int(rank) for rank in by_pandas]
