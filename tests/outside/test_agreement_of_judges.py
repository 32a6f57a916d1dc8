"""Agreement of judges against scikit-learn, krippendorff, and the worked examples of those who named the measures.

Of both papers only what comes before their tables could be opened (Psychological Bulletin 86, 420-428; Lancet 1986, 307-310), so
tables and results are from memory: the six correlations, the two numbers of peak flow and both alphas were reckoned once more by
hand from the readings, in code that shares nothing with ours, and are equal. Each test was tried against the code with one rule
broken, and failed.
"""

import warnings
from collections.abc import Callable
from fractions import Fraction

import krippendorff
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.rules.agree.agreement import bland_altman, cohens_kappa, intraclass, krippendorffs_alpha

# Shrout and Fleiss (1979), "Intraclass correlations: uses in assessing rater reliability", Psychological Bulletin 86, table 2:
# six targets, four judges. Table 4 gives the six correlations. pingouin is not among our test libraries, so they stand alone.
SHROUT_AND_FLEISS = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
THEIR_SIX = [0.17, 0.29, 0.71, 0.44, 0.62, 0.91]

# Bland and Altman (1986), "Statistical methods for assessing agreement between two methods of clinical measurement", Lancet i:
# the first readings of peak flow (l/min) by two meters. They give a mean difference of -2.1 and a standard deviation of 38.8. The
# readings are from memory; the two published numbers check them.
LARGE = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
SMALL = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]

# The example in krippendorff's own documentation: 3 coders, 15 units, * where a coder said nothing.
CODERS = ("* * * * * 3 4 1 2 1 1 3 3 * 3", "1 * 2 1 3 3 4 3 * * * * * * *", "* * 2 1 3 4 4 * 2 1 1 3 3 * 4")

Measure = Callable[[list[object], list[object]], float]


@pytest.fixture(scope="module")
def cohen_kappa_score() -> Measure:
    """Loaded by the process that runs these tests alone: every other would take two seconds for it too when it reads the file."""
    from sklearn.metrics import cohen_kappa_score

    return cohen_kappa_score  # type: ignore[no-any-return]


def test_the_worked_example_of_shrout_and_fleiss() -> None:
    found = intraclass(SHROUT_AND_FLEISS)
    assert found is not None
    six = (found.one, found.two, found.three, found.one_k, found.two_k, found.three_k)
    assert [round(float(value), 2) for value in six if value is not None] == THEIR_SIX


@given(
    st.integers(2, 5).flatmap(lambda k: st.lists(st.lists(st.integers(0, 60), min_size=k, max_size=k), min_size=2, max_size=9))
)
def test_mean_squares_against_numpy(table: list[list[int]]) -> None:
    a = np.array(table, dtype=float)
    (n, k), mean = a.shape, a.mean()
    between = k * ((a.mean(axis=1) - mean) ** 2).sum() / (n - 1)
    judges = n * ((a.mean(axis=0) - mean) ** 2).sum() / (k - 1)
    error = ((a - a.mean(axis=1, keepdims=True) - a.mean(axis=0, keepdims=True) + mean) ** 2).sum() / ((n - 1) * (k - 1))
    below = between + (k - 1) * error + k * (judges - error) / n
    assume(abs(below) > 1e-6)
    found = intraclass(table)
    assert found is not None and found.two is not None
    assert float(found.two) == pytest.approx((between - error) / below, abs=1e-6)


@pytest.mark.parametrize("table", [((20, 5), (10, 15)), ((3, 0), (4, 9)), ((50, 1), (1, 2))])
def test_kappa_against_scikit_learn(table: tuple[tuple[int, int], tuple[int, int]], cohen_kappa_score: Measure) -> None:
    pairs = [(i, j) for i, row in enumerate(table) for j, count in enumerate(row) for _ in range(count)]
    kappa = cohens_kappa(pairs)
    assert kappa is not None
    assert float(kappa) == pytest.approx(cohen_kappa_score([a for a, _ in pairs], [b for _, b in pairs]))


def test_kappa_of_the_table_20_5_10_15_is_four_tenths() -> None:
    pairs = [("y", "y")] * 20 + [("y", "n")] * 5 + [("n", "y")] * 10 + [("n", "n")] * 15
    assert cohens_kappa(pairs) == Fraction(2, 5)


@given(pairs=st.lists(st.tuples(st.sampled_from("grn"), st.sampled_from("grn")), min_size=1, max_size=40))
def test_kappa_of_any_pairs_against_scikit_learn(cohen_kappa_score: Measure, pairs: list[tuple[str, str]]) -> None:
    kappa = cohens_kappa(pairs)
    assume(kappa is not None)
    assert kappa is not None
    assert float(kappa) == pytest.approx(cohen_kappa_score([a for a, _ in pairs], [b for _, b in pairs]), abs=1e-9)


def test_alpha_of_krippendorffs_own_example() -> None:
    units = [[int(coder.split()[i]) for coder in CODERS if coder.split()[i] != "*"] for i in range(15)]
    nominal, interval = krippendorffs_alpha(units, "nominal"), krippendorffs_alpha(units, "interval")
    assert nominal is not None and round(float(nominal), 4) == 0.6914
    assert interval is not None and round(float(interval), 4) == 0.8108


@given(st.lists(st.lists(st.none() | st.integers(0, 5), min_size=3, max_size=3), min_size=2, max_size=12))
def test_alpha_of_any_counts_with_gaps_against_krippendorff(units: list[list[int | None]]) -> None:
    ours = krippendorffs_alpha([[value for value in unit if value is not None] for unit in units], "interval")
    assume(ours is not None)
    assert ours is not None
    data = np.array([[np.nan if value is None else value for value in unit] for unit in units], dtype=float).T
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = krippendorff.alpha(reliability_data=data, level_of_measurement="interval")
    assert float(ours) == pytest.approx(theirs, abs=1e-9)


def test_the_peak_flow_readings_of_bland_and_altman() -> None:
    found = bland_altman(list(zip(LARGE, SMALL, strict=True)))
    assert found is not None and found.sd is not None
    assert round(float(found.bias), 1) == -2.1
    assert round(found.sd, 1) == 38.8
