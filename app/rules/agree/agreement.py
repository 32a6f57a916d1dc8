"""How far judges agree, in numbers: percent agreement, kappa, alpha, intraclass correlations, bias and limits of agreement.

Everything is exact until the last step: fractions go in, and a float is made where a root is taken or a page shows a number. A
number that can't be told (nobody to compare, no spread to explain) is None, never a zero that looks like one.
"""

from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from typing import Literal

NORMAL_95 = 1.96  # the two-sided 95 % point of the normal distribution, as Bland and Altman (1986) round it


def percent_agreement(pairs: Sequence[tuple[Hashable, Hashable]]) -> Fraction | None:
    """The share, 0 to 1, of things on which two judges said the same. None without a thing."""
    return Fraction(sum(a == b for a, b in pairs), len(pairs)) if pairs else None


def cohens_kappa(pairs: Sequence[tuple[Hashable, Hashable]]) -> Fraction | None:
    """Agreement of two judges beyond chance: (observed - by chance) / (1 - by chance). Cohen (1960).

    1 is full agreement, 0 what chance alone would give. None where chance alone must agree: both used one and the same word.
    """
    observed = percent_agreement(pairs)
    if observed is None:
        return None
    first, second = Counter(a for a, _ in pairs), Counter(b for _, b in pairs)
    chance = Fraction(sum(first[word] * second[word] for word in first), len(pairs) ** 2)
    return None if chance == 1 else (observed - chance) / (1 - chance)


def krippendorffs_alpha(units: Sequence[Sequence[int | Fraction]], level: Literal["nominal", "interval"]) -> Fraction | None:
    """Agreement of any number of judges, some of whom may have missed some things: 1 - observed / expected disagreement.

    `units`: for each thing, what was said of it by those who said anything. A thing with one voice is no comparison and is left
    out. nominal: numbers are names; interval: the square of their distance counts. Krippendorff (2011), "Computing Krippendorff's
    Alpha-Reliability". None without a comparison or without two different values.
    """
    compared = [unit for unit in units if len(unit) > 1]
    every = Counter(value for unit in compared for value in unit)
    total = sum(every.values())
    expected = _disagreement(every, level)
    if not expected:
        return None
    observed = sum((_disagreement(Counter(unit), level) / (len(unit) - 1) for unit in compared), Fraction(0))
    return 1 - observed * (total - 1) / expected


def _disagreement(values: Counter[int | Fraction], level: str) -> Fraction:
    """The distances of all ordered pairs of values, added up."""
    pairs = ((a, b, values[a] * values[b]) for a in values for b in values if a != b)
    return sum((count * (Fraction(1) if level == "nominal" else Fraction(a - b) ** 2) for a, b, count in pairs), Fraction(0))


@dataclass(frozen=True, slots=True)
class Intraclass:
    """The six intraclass correlations of Shrout and Fleiss (1979), and how many things and judges they come from.

    one, two, three: what one judge's count is worth; one_k and so on: what the mean of all judges' is. 1: each thing had judges
    of its own. 2: the same judges, drawn from many. 3: these judges and no others, their constant differences forgiven.
    """

    things: int
    judges: int
    one: Fraction | None
    two: Fraction | None
    three: Fraction | None
    one_k: Fraction | None
    two_k: Fraction | None
    three_k: Fraction | None


def intraclass(table: Sequence[Sequence[int | Fraction]]) -> Intraclass | None:
    """Intraclass correlations of a table: a row for each thing, a column for each judge, no gaps. Shrout and Fleiss (1979).

    None with fewer than two things or two judges. Raises ValueError for rows of different lengths.
    """
    n, k = len(table), len(table[0]) if table else 0
    if any(len(row) != k for row in table):
        raise ValueError("Every thing needs a count from every judge.")
    if n < 2 or k < 2:
        return None
    between, judges, within, error = _mean_squares(table, n, k)
    return Intraclass(
        things=n,
        judges=k,
        one=_ratio(between - within, between + (k - 1) * within),
        two=_ratio(between - error, between + (k - 1) * error + k * (judges - error) / n),
        three=_ratio(between - error, between + (k - 1) * error),
        one_k=_ratio(between - within, between),
        two_k=_ratio(between - error, between + (judges - error) / n),
        three_k=_ratio(between - error, between),
    )


def _mean_squares(table: Sequence[Sequence[int | Fraction]], n: int, k: int) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    """Between things, between judges, within things, and what is left: the mean squares of a two-way analysis of variance."""
    mean = Fraction(sum(sum(row) for row in table)) / (n * k)
    rows = [Fraction(sum(row)) / k for row in table]
    columns = [Fraction(sum(row[j] for row in table)) / n for j in range(k)]
    all_squares = sum(((value - mean) ** 2 for row in table for value in row), Fraction(0))
    between = k * sum(((row - mean) ** 2 for row in rows), Fraction(0))
    judges = n * sum(((column - mean) ** 2 for column in columns), Fraction(0))
    within, left = all_squares - between, all_squares - between - judges
    return between / (n - 1), judges / (k - 1), within / (n * (k - 1)), left / ((n - 1) * (k - 1))


def _ratio(above: Fraction, below: Fraction) -> Fraction | None:
    return above / below if below else None


@dataclass(frozen=True, slots=True)
class Limits:
    """What one judge's counts differ from another's by. Bland and Altman (1986).

    points: for each thing the mean of the two counts and their difference, first minus second. bias: the mean difference. sd: its
    standard deviation. low, high: the 95 % limits of agreement; all three are None with fewer than two things.
    """

    points: tuple[tuple[Fraction, Fraction], ...]
    bias: Fraction
    sd: float | None
    low: float | None
    high: float | None


def bland_altman(pairs: Sequence[tuple[int | Fraction, int | Fraction]]) -> Limits | None:
    """Bias and limits of agreement of two judges over many things: bias ± 1.96 standard deviations. None without a thing."""
    if not pairs:
        return None
    points = tuple((Fraction(a + b) / 2, Fraction(a - b)) for a, b in pairs)
    bias = sum((difference for _, difference in points), Fraction(0)) / len(points)
    if len(points) < 2:
        return Limits(points, bias, None, None, None)
    sd = sqrt(sum((difference - bias) ** 2 for _, difference in points) / (len(points) - 1))
    return Limits(points, bias, sd, float(bias) - NORMAL_95 * sd, float(bias) + NORMAL_95 * sd)
