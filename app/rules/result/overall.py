"""Places in events to places overall: points for place, places added up, or scores added up; then count-back, a named event,
or shared."""

from collections import Counter
from collections.abc import Hashable, Sequence
from fractions import Fraction
from functools import lru_cache
from math import lcm
from typing import Literal, TypeVar, cast

from app.rules.records.body_formulas import Body
from app.rules.records.overall_rule import NOTHING, UNPLACED, Column, OverallRow, OverallRule, Result, Step, step_names
from app.rules.records.point_formulas import PointFormula
from app.rules.result.standings import Candidate, Standing, rank
from app.rules.values.units import Rounding, round_to
from app.rules.workout.score_units import convert

HUNDRED, THOUSANDTH = Fraction(100), Fraction(1, 1000)
MANY = 5_000  # entries; beyond that arrays are quicker even with their loading

T = TypeVar("T")


def overall(rule: OverallRule, entries: Sequence[Hashable], columns: Sequence[Column]) -> Sequence[OverallRow]:
    """The overall standing of `entries` from their results in each column that has begun. Entries keep their order when they
    share."""
    if len(entries) >= MANY and rule.added_plainly:
        from app.rules.result.standings_many import overall_of_many  # it brings numpy, which a hall never needs

        many = overall_of_many(rule, entries, columns)
        if many is not None:
            return many
    return overall_of_few(rule, entries, columns)


def overall_of_few(rule: OverallRule, entries: Sequence[Hashable], columns: Sequence[Column]) -> list[OverallRow]:
    """The same in plain Python, for any rule and any number."""
    brought = [[column.results.get(entry, NOTHING) for entry in entries] for column in columns]
    places = _by_entry([[result.place for result in results] for results in brought], entries)
    columns_of_points = [_weighed(rule, column, results) for column, results in zip(columns, brought, strict=True)]
    points = _by_entry(columns_of_points, entries)
    left_out = [_left_out(rule, own) for own in points]
    totals, scale = _totals(_counting(columns_of_points, left_out) if rule.drop else columns_of_points, entries)
    named = next((n for n, column in enumerate(columns) if column.event == rule.named), None)
    must_all = rule.absent == "out"
    lacking = [tuple(at for at, column in enumerate(columns) if lacks(rule, column, one)) for one in entries]
    out = [not any(own) or (must_all and None in own) or bool(lacking[n]) for n, own in enumerate(places)]
    order = _order(rule, totals, places, out, named, left_out)
    sums = {total: _whole(total) if scale == 1 else Fraction(total, scale) for total in set(totals)}
    return [
        OverallRow(entries[n], place, shared, points[n], places[n], sums[totals[n]], by, left_out[n], lacking[n])
        for n, place, shared, by in order
    ]


def _weighed(rule: OverallRule, column: Column, results: Sequence[Result]) -> list[Fraction]:
    """What each entry gets from a column, times the weight of its event."""
    weight = rule.weights.get(column.event, Fraction(1))
    points = _column_points(rule, results, column)
    return points if weight == 1 else [one * weight for one in points]


def _left_out(rule: OverallRule, points: Sequence[Fraction]) -> tuple[int, ...]:
    """The columns of an entry that are left out: so many of the worst, of equal ones the later; one always stays."""
    most = min(rule.drop, len(points) - 1)
    if most < 1:
        return ()
    sign = -1 if rule.low_wins else 1
    worst = sorted(range(len(points)), key=lambda n: (sign * points[n], -n))
    return tuple(sorted(worst[:most]))


def _counting(columns: Sequence[Sequence[Fraction]], left_out: Sequence[tuple[int, ...]]) -> list[list[Fraction]]:
    """The columns with nothing where an entry leaves one out."""
    nothing = Fraction(0)
    return [[nothing if at in left_out[n] else one for n, one in enumerate(column)] for at, column in enumerate(columns)]


Decided = tuple[int, int | None, bool, Step | None]


def _order(
    rule: OverallRule,
    totals: Sequence[int],
    places: Sequence[tuple[int | None, ...]],
    out: Sequence[bool],
    named: int | None,
    left_out: Sequence[tuple[int, ...]],
) -> list[Decided]:
    """Entries (by number) in order with their place, whether it is shared, and the step that parted equal totals.

    Only equal totals are looked at again: of a hundred thousand entries few share one, and only they are counted back.
    """
    groups: dict[int, list[int]] = {}
    for n, total in enumerate(totals):
        if not out[n]:
            groups.setdefault(total, []).append(n)
    steps = step_names(rule)
    decided: list[Decided] = []
    for total in sorted(groups, reverse=not rule.low_wins):
        group = groups[total]
        if len(group) == 1:
            decided.append((group[0], len(decided) + 1, False, None))
        else:
            ties = {n: _ties(rule, places[n], named, left_out[n]) for n in group}
            ranked = rank([Candidate(n, Standing.RANKED, (), ties[n]) for n in group])
            before = len(decided)
            for placed in ranked:
                by = None if placed.by_tie is None else steps[placed.by_tie]
                decided.append((cast(int, placed.who), before + cast(int, placed.place), placed.shared, by))
    return decided + [(n, None, False, None) for n, is_out in enumerate(out) if is_out]


def _by_entry(columns: Sequence[Sequence[T]], entries: Sequence[Hashable]) -> list[tuple[T, ...]]:
    """Columns turned into one line for each entry."""
    return list(zip(*columns, strict=True)) if columns else [() for _ in entries]


def _totals(columns: Sequence[Sequence[Fraction]], entries: Sequence[Hashable]) -> tuple[list[int], int]:
    """Each entry's total as a whole number of parts, and how many parts make one: they add up and compare far faster than
    fractions, and just as exactly."""
    # A column holds few different values, often the very same objects: each is looked into once.
    kinds = [{id(points): points for points in column} for column in columns]
    scale = lcm(*{points.denominator for kind in kinds for points in kind.values()})
    parts = [{key: points.numerator * (scale // points.denominator) for key, points in kind.items()} for kind in kinds]
    whole = [[part[id(points)] for points in column] for part, column in zip(parts, columns, strict=True)]
    return list(map(sum, zip(*whole, strict=True))) if whole else [0 for _ in entries], scale


def points_for(rule: OverallRule, place: int) -> Fraction:
    """What a place is worth."""
    match rule.by:
        case "table":
            return rule.points[place - 1] if place <= len(rule.points) else rule.beyond
        case "linear":
            return max(rule.least, rule.first - rule.less * (place - 1))
        case _:
            return _whole(place)


@lru_cache(maxsize=1 << 17)
def _whole(number: int) -> Fraction:
    """A whole number as a fraction, made once: making them was half the time of an overall standing."""
    return Fraction(number)


def cut(order: Sequence[tuple[T, int | None]], most: int) -> list[T]:
    """The top `most` of (entry, place) in order of place. Those who share the last place that goes on all go on."""
    return [entry for entry, place in order if place is not None and place <= most]


def heats_by_seed(order: Sequence[T], lanes: int, best_last: bool = True) -> list[list[T]]:
    """Entries, best first, cut into heats of at most `lanes`: the best together. The best heat is full and comes last (or first);
    what does not fill a heat is the weakest one."""
    groups = [list(order[at : at + lanes]) for at in range(0, len(order), lanes)]
    return groups[::-1] if best_last else groups


def seeded_lanes(order: Sequence[T], lanes: int, middle: bool = True) -> dict[int, T]:
    """Lanes for one heat's entries, best first: from the middle outwards (as in a swum or run final), or from lane 1 upwards."""
    centre = (lanes + 1) / 2
    by_seed = sorted(range(1, lanes + 1), key=lambda lane: (abs(lane - centre), lane)) if middle else range(1, lanes + 1)
    return dict(zip(by_seed, order, strict=False))


def _column_points(rule: OverallRule, results: Sequence[Result], column: Column) -> list[Fraction]:
    """What each entry gets from a column, in the order of the entries."""
    if rule.by == "percent":
        return _percents(rule, results, column.better)
    if rule.by == "formula":
        return _column_scores(rule, [_by_formula(rule, result, column) for result in results])
    if rule.by == "scores":
        return _column_scores(rule, results)
    sharing = Counter(result.place for result in results if result.place is not None)
    last = Fraction(0) if rule.absent == "none" else points_for(rule, sharing.total() + 1)
    worth = {place: _shared_points(rule, place, several) for place, several in sharing.items()}
    return [last if result.place is None else worth[result.place] for result in results]


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


def lacks(rule: OverallRule, column: Column, who: Hashable) -> str:
    """What keeps a score of an entry from its points, as the end of a sentence; empty if nothing does."""
    formula, result = rule.body_formula(column.event), column.results.get(who, NOTHING)
    return formula.lacking(result.body or Body(), rule.ages) if formula is not None and result.value is not None else ""


def _by_formula(rule: OverallRule, result: Result, column: Column) -> Result:
    """A result with its points for its value, where the event has a formula; with 0 where they can't be told."""
    formula = rule.formulas.get(column.event)
    if formula is None or result.value is None:
        return result
    amount = convert(result.value, column.unit, formula.unit)
    if isinstance(formula, PointFormula):
        return Result(result.place, formula.points(amount))
    return Result(result.place, formula.points(amount, result.body or Body(), rule.ages) or Fraction(0))


def _percent(value: Fraction, best: Fraction, better: Literal["more", "less"]) -> Fraction:
    part, whole = (value, best) if better == "more" else (best, value)
    if value == best:
        return HUNDRED
    return round_to(max(Fraction(0), part / whole) * 100, THOUSANDTH, Rounding.NEAREST) if whole > 0 else Fraction(0)


def _ties(
    rule: OverallRule, places: Sequence[int | None], named: int | None, left_out: Sequence[int] = ()
) -> tuple[tuple[int, ...], ...]:
    """One key for each step of parting equal totals; `named` is the number of the named event's column, if it was held. What was
    left out is not counted back."""
    known = [place or UNPLACED for place in places]
    counted = [place for at, place in enumerate(known) if at not in left_out]
    by_best = (tuple(sorted(counted)),) if rule.count_back else ()
    return by_best if rule.named is None else (*by_best, (UNPLACED if named is None else known[named],))
