"""What results bring to an overall standing: points for place, the scores themselves, or points of them."""

from collections import Counter
from collections.abc import Hashable, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from app.rules.records.body_formulas import Body
from app.rules.records.overall_rule import NOTHING, Column, OverallRule, Result
from app.rules.records.point_formulas import PointFormula
from app.rules.values.units import Rounding, round_to
from app.rules.values.words import UNTOLD, Told
from app.rules.workout.score_units import convert

HUNDRED, THOUSANDTH = Fraction(100), Fraction(1, 1000)


def weighed(rule: OverallRule, column: Column, results: Sequence[Result]) -> list[Fraction]:
    """What each entry gets from a column, times the weight of its event."""
    weight = rule.weights.get(column.event, Fraction(1))
    points = _column_points(rule, results, column)
    return points if weight == 1 else _times(weight, points)


def _times(weight: Fraction, points: Sequence[Fraction]) -> list[Fraction]:
    """The points times a weight; of those that are one and the same once."""
    made = {id(one): one * weight for one in {id(one): one for one in points}.values()}
    return [made[id(one)] for one in points]


def points_for(rule: OverallRule, place: int) -> Fraction:
    """What a place is worth."""
    match rule.by:
        case "table":
            return rule.points[place - 1] if place <= len(rule.points) else rule.beyond
        case "linear":
            return max(rule.least, rule.first - rule.less * (place - 1))
        case _:
            return parts_of(place, 1)


@lru_cache(maxsize=1 << 17)
def parts_of(number: int, scale: int) -> Fraction:
    """So many parts of which `scale` make one, made once: of many entries most hold the same few, and making them was half the
    time of an overall standing."""
    return Fraction(number, scale)


def _column_points(rule: OverallRule, results: Sequence[Result], column: Column) -> list[Fraction]:
    """What each entry gets from a column, in the order of the entries."""
    if rule.by == "percent":
        return _percents(rule, results, column.better)
    if rule.by == "formula":
        return _column_scores(rule, _by_formula(rule, results, column))
    if rule.by == "scores":
        return _column_scores(rule, results)
    places = [result.place for result in results]
    sharing = Counter(places)
    nowhere = sharing.pop(None, 0)
    last = Fraction(0) if rule.absent == "none" else points_for(rule, len(places) - nowhere + 1)
    worth = {place: _shared_points(rule, place, several) for place, several in sharing.items() if place is not None}
    return [last if place is None else worth[place] for place in places]


def _shared_points(rule: OverallRule, place: int, several: int) -> Fraction:
    """What each of `several` who share a place gets."""
    if rule.shared == "same" or several == 1:
        return points_for(rule, place)
    return sum((points_for(rule, covered) for covered in range(place, place + several)), Fraction(0)) / several


def _column_scores(rule: OverallRule, results: Sequence[Result]) -> list[Fraction]:
    """The scores as they are; who has none gets the worst one there, or 0."""
    values = [result.value for result in results if result.value is not None]
    worst = max if rule.low_wins else min
    absent = worst(values) if values and rule.absent != "none" else Fraction(0)
    return [absent if result.value is None else result.value for result in results]


def _percents(rule: OverallRule, results: Sequence[Result], better: Literal["more", "less"]) -> list[Fraction]:
    """Each score as a part of the best one, which is 100; where less is better, the best as a part of each. Who has no score gets
    the least that somebody has there, or 0. Common practice, no source."""
    values = [result.value for result in results if result.value is not None]
    best = (max if better == "more" else min)(values, default=Fraction(0))
    known = {value: _percent(value, best, better) for value in set(values)}
    absent = Fraction(0) if rule.absent == "none" or not known else min(known.values())
    return [absent if result.value is None else known[result.value] for result in results]


def lacks(rule: OverallRule, column: Column, who: Hashable) -> Told:
    """What keeps a score of an entry from its points, as the end of a sentence; nothing if nothing does."""
    formula, result = rule.body_formula(column.event), column.results.get(who, NOTHING)
    return formula.lacking(result.body or Body(), rule.ages) if formula is not None and result.value is not None else UNTOLD


def _by_formula(rule: OverallRule, results: Sequence[Result], column: Column) -> Sequence[Result]:
    """The results with their points for their values, where the event has a formula, with 0 where they can't be told; of one
    value, and one body, they are worked out once."""
    formula = rule.formulas.get(column.event)
    if formula is None:
        return results
    points: dict[tuple[Fraction, Body | None], Fraction] = {}
    for value, body in {(result.value, result.body) for result in results if result.value is not None}:
        if isinstance(formula, PointFormula):
            points[value, body] = _worth(formula, value, column.unit)
        else:
            amount = convert(value, column.unit, formula.unit)
            points[value, body] = formula.points(amount, body or Body(), rule.ages) or Fraction(0)
    return [one if one.value is None else Result(one.place, points[one.value, one.body]) for one in results]


@lru_cache(maxsize=1 << 15)
def _worth(formula: PointFormula, value: Fraction, unit: str) -> Fraction:
    """What a value is worth by a formula: a power to sixty digits, which an event that changes by one score need not pay anew."""
    return formula.points(convert(value, unit, formula.unit))


@lru_cache(maxsize=1 << 15)
def _percent(value: Fraction, best: Fraction, better: Literal["more", "less"]) -> Fraction:
    part, whole = (value, best) if better == "more" else (best, value)
    if value == best:
        return HUNDRED
    return round_to(max(Fraction(0), part / whole) * 100, THOUSANDTH, Rounding.NEAREST) if whole > 0 else Fraction(0)
