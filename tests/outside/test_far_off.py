"""How far off a score is, against scipy's median absolute deviation.

The measure is the modified z-score of Iglewicz and Hoaglin (1993), How to Detect and Handle Outliers, ASQC Basic References in
Quality Control 16: 0.6745 (x - median) / MAD, far from 3.5 on. scipy scales the MAD by the exact 0.67449 (norm.ppf(0.75)).
The book was not opened; formula and bound were read as others quote them.
"""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation, norm

from app.rules.count.doubts import NORMAL, Bounds, far_off


def test_the_constant_is_the_published_rounding_of_the_normal_quartile() -> None:
    assert float(NORMAL) == pytest.approx(float(norm.ppf(0.75)), abs=5e-5)


@given(st.lists(st.integers(0, 500), min_size=5, max_size=40))
def test_it_is_the_distance_over_scipys_deviation(numbers: list[int]) -> None:
    scale, middle = float(median_abs_deviation(numbers, scale=float(NORMAL))), float(np.median(numbers))
    found = far_off({place: Fraction(number) for place, number in enumerate(numbers)}, Bounds(far=Fraction(0)))
    if scale == 0:
        assert found == {}
    else:
        assert {place: float(z) for place, z in found.items()} == {
            place: pytest.approx((number - middle) / scale) for place, number in enumerate(numbers)
        }
