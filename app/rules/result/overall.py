"""Places in events to places overall: points for place, places added up, or scores added up; then count-back, a named event,
or shared."""

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise
from math import lcm
from typing import TypeVar

from app.rules.records.overall_rule import NOTHING, UNPLACED, Column, OverallRow, OverallRule, Step, step_names
from app.rules.result.overall_points import lacks, parts_of, weighed

MANY = 5_000  # entries; beyond that arrays are quicker even with their loading

T = TypeVar("T")
Ties = tuple[tuple[int, ...], ...]  # one key for each step of parting equal totals
Decided = tuple[int, int | None, bool, Step | None]  # an entry by number, its place, whether it is shared, what parted it


def overall(rule: OverallRule, entries: Sequence[Hashable], columns: Sequence[Column]) -> Sequence[OverallRow]:
    """The overall standing of `entries` from their results in each column that has begun. Entries keep their order when they
    share."""
    return Overall(rule, entries).rows(columns)


@dataclass(frozen=True, slots=True)
class _Worked:
    """A column worked out, in the order of the entries: their places and points, and the points as whole numbers of which
    `scale` make one. Those add up and compare far faster than fractions, and just as exactly. lacking: who can't be told in
    points, by number."""

    column: Column
    places: list[int | None]
    points: list[Fraction]
    parts: list[int]
    scale: int
    lacking: frozenset[int]


class Overall:
    """The overall standing of some entries by one rule, to be looked at again and again. What a column brings is kept while it is
    the very same, so that a look costs what has changed; what it gives is what a first look gives."""

    def __init__(self, rule: OverallRule, entries: Sequence[Hashable]) -> None:
        self._rule, self._entries = rule, entries
        self._worked: dict[tuple[str, str], _Worked] = {}
        self._worst: dict[tuple[int, ...], tuple[int, ...]] = {}  # what is left out, by what an entry has in parts

    def rows(self, columns: Sequence[Column]) -> Sequence[OverallRow]:
        """Everybody in order."""
        if len(self._entries) >= MANY and self._rule.added_plainly:
            from app.rules.result.standings_many import overall_of_many  # it brings numpy, which a hall never needs

            many = overall_of_many(self._rule, self._entries, columns)
            if many is not None:
                return many
        return self.plainly(columns)

    def plainly(self, columns: Sequence[Column]) -> list[OverallRow]:
        """The same in plain Python, for any number of entries."""
        worked = [self._work(column) for column in columns]
        self._worked = {(one.column.event, one.column.rule): one for one in worked}
        scale = lcm(*(one.scale for one in worked))
        parts = self._by_entry([_scaled(one, scale) for one in worked])
        places = self._by_entry([one.places for one in worked])
        points = self._by_entry([one.points for one in worked])
        left_out = self._left_out(parts, len(worked))
        totals = list(map(sum, parts))
        for n, dropped in left_out.items():
            totals[n] -= sum(parts[n][at] for at in dropped)
        named = next((n for n, column in enumerate(columns) if column.event == self._rule.named), None)
        lacking: dict[int, tuple[int, ...]] = {}
        for at, one in enumerate(worked):
            lacking |= {n: (*lacking.get(n, ()), at) for n in one.lacking}
        who, total = self._entries, [parts_of(one, scale) for one in totals]
        return [
            OverallRow(who[n], place, shared, points[n], places[n], total[n], by, left_out.get(n, ()), lacking.get(n, ()))
            for n, place, shared, by in self._order(totals, places, named, left_out, lacking)
        ]

    def _work(self, column: Column) -> _Worked:
        """A column worked out; as it was if it is the very same."""
        held = self._worked.get((column.event, column.rule))
        if held is not None and held.column is column:
            return held
        results = [column.results.get(entry, NOTHING) for entry in self._entries]
        points = weighed(self._rule, column, results)
        # A column holds few different values, often the very same objects: each is looked into once.
        kinds = {id(one): one for one in points}
        scale = lcm(*{one.denominator for one in kinds.values()})
        parts = {key: one.numerator * (scale // one.denominator) for key, one in kinds.items()}
        asks = self._rule.body_formula(column.event) is not None
        lacking = [n for n, who in enumerate(self._entries) if asks and lacks(self._rule, column, who)]
        whole = [parts[id(one)] for one in points]
        return _Worked(column, [one.place for one in results], points, whole, scale, frozenset(lacking))

    def _by_entry(self, columns: Sequence[Sequence[T]]) -> list[tuple[T, ...]]:
        """Columns turned into one line for each entry."""
        return list(zip(*columns, strict=True)) if columns else [() for _ in self._entries]

    def _left_out(self, parts: Sequence[tuple[int, ...]], columns: int) -> dict[int, tuple[int, ...]]:
        """The columns of each entry that are left out: so many of the worst, of equal ones the later; one always stays."""
        most = min(self._rule.drop, columns - 1)
        if most < 1:
            return {}
        sign = -1 if self._rule.low_wins else 1
        before, self._worst = self._worst, {}
        for own in parts:
            if own not in self._worst:
                self._worst[own] = before.get(own) or _worst(own, most, sign)
        return {n: self._worst[own] for n, own in enumerate(parts)}

    def _order(
        self,
        totals: Sequence[int],
        places: Sequence[tuple[int | None, ...]],
        named: int | None,
        left_out: Mapping[int, tuple[int, ...]],
        lacking: Collection[int],
    ) -> list[Decided]:
        """Entries (by number) in order with their place, whether it is shared, and the step that parted equal totals.

        Only equal totals are looked at again: of a hundred thousand entries few share one, and only they are counted back.
        """
        must_all = self._rule.absent == "out"
        out = [not any(own) or (must_all and None in own) or n in lacking for n, own in enumerate(places)]
        inside = [n for n, is_out in enumerate(out) if not is_out]
        inside.sort(key=totals.__getitem__, reverse=not self._rule.low_wins)
        steps, decided = step_names(self._rule), list[Decided]()
        for _, same in groupby(inside, totals.__getitem__):
            group = list(same)
            if len(group) == 1:
                decided.append((group[0], len(decided) + 1, False, None))
            else:
                tied = [(_ties(self._rule, places[n], named, left_out.get(n, ())), n) for n in group]
                decided += _parted(tied, len(decided), steps)
        return decided + [(n, None, False, None) for n, is_out in enumerate(out) if is_out]


def _scaled(worked: _Worked, scale: int) -> list[int]:
    """A column's points as whole numbers of which `scale` make one."""
    times = scale // worked.scale
    return worked.parts if times == 1 else [one * times for one in worked.parts]


def _worst(own: Sequence[int], most: int, sign: int) -> tuple[int, ...]:
    """The columns of the worst of an entry's points, in order; of equal ones the later."""
    worst = sorted([(sign * one, -n) for n, one in enumerate(own)])
    return tuple(sorted([-n for _, n in worst[:most]]))


def _parted(tied: list[tuple[Ties, int]], before: int, steps: Sequence[Step]) -> list[Decided]:
    """Entries of one total, behind so many others, parted by their keys. Who share a place keep the order they had."""
    tied.sort()
    keys: list[Ties] = []
    groups: list[list[int]] = []
    for ties, n in tied:
        if not keys or keys[-1] != ties:
            keys.append(ties)
            groups.append([])
        groups[-1].append(n)
    parted = [_first_that_differs(*two) for two in pairwise(keys)]
    decided: list[Decided] = []
    for at, group in enumerate(groups):
        by = steps[min(parted[max(0, at - 1) : at + 1])] if parted else None
        place, shared = before + len(decided) + 1, len(group) > 1
        decided += [(n, place, shared, by) for n in group]
    return decided


def _first_that_differs(one: Ties, other: Ties) -> int:
    """The number of the step by which two are told apart."""
    at = 0
    while one[at] == other[at]:
        at += 1
    return at


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


def _ties(rule: OverallRule, places: Sequence[int | None], named: int | None, left_out: Sequence[int]) -> Ties:
    """What parts an entry from others of its total; `named` is the number of the named event's column, if it was held. What was
    left out is not counted back."""
    by_best: Ties = ()
    if rule.count_back:
        counted = [place for at, place in enumerate(places) if at not in left_out] if left_out else places
        by_best = (tuple(sorted([place or UNPLACED for place in counted])),)
    return by_best if rule.named is None else (*by_best, (UNPLACED if named is None else places[named] or UNPLACED,))
