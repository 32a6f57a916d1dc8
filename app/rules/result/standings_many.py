"""Standings of many thousands: the very rules of rules/result/overall.py over arrays of whole numbers.

A hall needs none of this. Where many halls are ranked together, plain Python would take seconds. Loaded only then, because it
brings numpy. Exact: what would not stay a whole number of 62 bits is left to the plain way (None). `tests/rules/` holds both ways
to the same answers.
"""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from math import lcm
from operator import attrgetter
from typing import Any, cast, overload

import numpy as np
import numpy.typing as npt

from app.rules.records.overall_rule import NOTHING, UNPLACED, Column, OverallRow, OverallRule, Step, step_names
from app.rules.result.overall_points import parts_of

Whole = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

SAFE = 1 << 62  # sums stay below it
AT_ONCE = 4096  # rows made together while all are looked at
COUNTED = 4  # values spread at most so many times as wide as there are entries are counted, not sorted


def event_places(scores: Whole) -> Whole:
    """Places of scores, more is better; equal ones share a place: 1, 2, 2, 4."""
    if not len(scores):
        return scores
    best, least = int(scores.max()), int(scores.min())
    if best - least <= COUNTED * len(scores) + 1024:
        behind = best - scores  # smaller is better, from 0
        counts = np.bincount(behind)
        return cast(Whole, (np.cumsum(counts) - counts + 1)[behind])
    _, inverse, counts = np.unique(-scores, return_inverse=True, return_counts=True)
    return cast(Whole, (np.cumsum(counts) - counts + 1)[inverse])


@dataclass(frozen=True, slots=True)
class Ordered:
    """Who stands where: `order` names entries by number, best first; beside each its place, whether it is shared, and the number
    of the step that parted it from an equal total (-1: none)."""

    order: Whole
    places: Whole
    shared: Flags
    steps: Whole


def order_of(totals: Whole, places: Whole, low_wins: bool = True, count_back: bool = True, named: int | None = None) -> Ordered:
    """Orders entries by total, then by best places (count-back), then by the place in one column, then as they were given.

    `places` has one row for each column; UNPLACED stands for no place.
    """
    worst = int(places.max(initial=0, where=places < UNPLACED)) + 1
    ranks = np.minimum(places, worst).astype(np.int64, copy=False)
    first = totals - totals.min(initial=0) if low_wins else totals.max(initial=0) - totals
    steps: list[list[Whole]] = []
    if count_back:
        steps.append(_sorted_rows(ranks))
    if named is not None:
        steps.append([ranks[named]])
    words = _packed([[first], *steps])
    order = _sorted_by([word for _, word in words], len(totals))
    return _placed(order, first, [[word[order] for own, word in words if own == n + 1] for n in range(len(steps))])


def _sorted_rows(ranks: Whole) -> list[Whole]:
    """Each entry's places from best to worst, as one array for each position: few columns are sorted fastest by comparing whole
    columns with one another."""
    rows = list(ranks)
    for end in range(len(rows) - 1, 0, -1):
        for at in range(end):
            rows[at], rows[at + 1] = np.minimum(rows[at], rows[at + 1]), np.maximum(rows[at], rows[at + 1])
    return rows


def _packed(steps: Sequence[Sequence[Whole]]) -> list[tuple[int, Whole]]:
    """Sort keys with as many numbers of one step in each word as 62 bits hold, in order of weight, with the step's number."""
    words: list[tuple[int, Whole]] = []
    for number, keys in enumerate(steps):
        room = 0
        for key in keys:
            bits = int(key.max(initial=0)).bit_length()
            if words and words[-1][0] == number and room >= bits:
                words[-1] = (number, (words[-1][1] << bits) | key)
                room -= bits
            else:
                words.append((number, key))
                room = 62 - bits
    return words


def _sorted_by(words: Sequence[Whole], count: int) -> Whole:
    """The order by several keys; equal entries keep the order they had. Only those whose first key is shared are sorted again."""
    order = np.argsort(words[0])
    ranked = words[0][order]
    same = ranked[1:] == ranked[:-1]
    in_run = np.zeros(count, dtype=np.bool_)
    in_run[1:] |= same
    in_run[:-1] |= same
    again = order[in_run]
    keys = (again, *(word[again] for word in reversed(words)))
    order[in_run] = again[np.lexsort(keys)]
    return order


def _placed(order: Whole, first: Whole, steps: Sequence[Sequence[Whole]]) -> Ordered:
    """Places along an order; `steps` are the sort keys of each step in that order."""
    count = len(order)
    if not count:
        return Ordered(order, order, order.astype(np.bool_), order)
    ranked = first[order]
    parted = np.full(count + 1, -2, dtype=np.int64)  # between neighbours: -2 another total, -1 nothing, else the step
    parted[1:-1] = np.where(ranked[1:] == ranked[:-1], -1, -2)
    for number, keys in enumerate(steps):
        differs = np.zeros(count - 1, dtype=np.bool_)
        for key in keys:
            differs |= key[1:] != key[:-1]
        parted[1:-1] = np.where((parted[1:-1] == -1) & differs, number, parted[1:-1])
    starts = np.flatnonzero(parted[:-1] != -1)
    lengths = np.diff(np.append(starts, count))
    before, after = parted[starts], parted[starts + lengths]
    many = len(steps)
    step = np.minimum(np.where(before >= 0, before, many), np.where(after >= 0, after, many))
    step[step == many] = -1
    return Ordered(order, np.repeat(starts + 1, lengths), np.repeat(lengths > 1, lengths), np.repeat(step, lengths))


class Rows(Sequence[OverallRow]):
    """The rows of a standing, each made when it is looked at."""

    def __init__(self, entries: Sequence[Hashable], ordered: Ordered, out: Whole, worth: "_Worth", names: Sequence[Step]) -> None:
        self._entries, self._ordered, self._out = entries, ordered, out
        self._worth, self._names = worth, names

    def __len__(self) -> int:
        return len(self._ordered.order) + len(self._out)

    @overload
    def __getitem__(self, at: int) -> OverallRow: ...
    @overload
    def __getitem__(self, at: slice) -> list[OverallRow]: ...
    def __getitem__(self, at: int | slice) -> OverallRow | list[OverallRow]:
        if isinstance(at, slice):
            return [self._row(one) for one in range(*at.indices(len(self)))]
        return self._row(range(len(self))[at])

    def __iter__(self) -> Iterator[OverallRow]:
        for start in range(0, len(self), AT_ONCE):
            yield from self._rows(range(start, min(start + AT_ONCE, len(self))))

    def _row(self, at: int) -> OverallRow:
        return next(self._rows(range(at, at + 1)))

    def _rows(self, span: range) -> Iterator[OverallRow]:
        """The rows of a span, those who are out last."""
        found = self._ordered
        here = slice(span.start, span.stop)
        steps = [None if step < 0 else self._names[step] for step in found.steps[here].tolist()]
        yield from self._worth.rows(
            self._entries, found.order[here], found.places[here].tolist(), found.shared[here].tolist(), steps
        )
        first_out = len(found.order)
        out = self._out[max(0, span.start - first_out) : max(0, span.stop - first_out)]
        yield from self._worth.rows(self._entries, out, [None] * len(out), [False] * len(out), [None] * len(out))


@dataclass(frozen=True, slots=True)
class _Worth:
    """What every entry brings from every column: places, points as whole numbers of which `scale` make one, and their sum."""

    places: Whole
    points: Whole
    totals: Whole
    scale: int

    def rows(
        self,
        entries: Sequence[Hashable],
        which: Whole,
        place: Sequence[int | None],
        shared: Sequence[bool],
        by: Sequence[Step | None],
    ) -> Iterator[OverallRow]:
        """The rows of some entries, as the plain way makes them."""
        scale = self.scale
        known = self.places[:, which].T.tolist()
        points = self.points[:, which].T.tolist()
        for n, (entry, total) in enumerate(zip(which.tolist(), self.totals[which].tolist(), strict=True)):
            worth = tuple([parts_of(one, scale) for one in points[n]])
            places = tuple([None if one == UNPLACED else one for one in known[n]])
            yield OverallRow(entries[entry], place[n], shared[n], worth, places, parts_of(total, scale), by[n])


def overall_of_many(rule: OverallRule, entries: Sequence[Hashable], columns: Sequence[Column]) -> Rows | None:
    """The same as `overall`, or None where only the plain way is exact."""
    if rule.by == "scores" or rule.shared == "split" or not columns:
        return None
    places = np.stack([_places(column, entries) for column in columns])
    worth = _worth(rule, places)
    if worth is None:
        return None
    nobody = places == UNPLACED
    out = nobody.any(axis=0) if rule.absent == "out" else nobody.all(axis=0)
    inside = np.flatnonzero(~out)
    named = next((n for n, column in enumerate(columns) if column.event == rule.named), None)
    ordered = order_of(worth.totals[inside], places[:, inside], rule.low_wins, rule.count_back, named)
    found = Ordered(inside[ordered.order], ordered.places, ordered.shared, ordered.steps)
    return Rows(entries, found, np.flatnonzero(out), worth, step_names(rule))


def _places(column: Column, entries: Sequence[Hashable]) -> Whole:
    """The places of a column in the order of the entries."""
    known = column.results
    in_order = len(known) == len(entries) and all(map(_same, known, entries))
    results = known.values() if in_order else map(known.get, entries, [NOTHING] * len(entries))
    read: list[Any] = list(map(attrgetter("place"), results))
    try:
        return np.array(read, dtype=np.int64)
    except TypeError:  # somebody has no place
        return np.array([UNPLACED if place is None else place for place in read], dtype=np.int64)


def _same(one: Hashable, other: Hashable) -> bool:
    return one == other


def _worth(rule: OverallRule, places: Whole) -> _Worth | None:
    """Every entry's points in whole numbers; None where they might grow too large for them."""
    numbers = {"places": (), "linear": (rule.first, rule.less, rule.least), "table": (*rule.points, rule.beyond)}[str(rule.by)]
    scale = lcm(*(number.denominator for number in numbers))
    largest = max((abs(int(number * scale)) for number in numbers), default=1)
    if largest * (places.shape[1] + 2) * len(places) * 2 >= SAFE:
        return None
    absent = places == UNPLACED
    ranked = np.where(absent, (~absent).sum(axis=1, keepdims=True) + 1, places)
    points = _points(rule, ranked, scale)
    if rule.absent == "none":
        points[absent] = 0
    return _Worth(places, points, points.sum(axis=0), scale)


def _points(rule: OverallRule, ranked: Whole, scale: int) -> Whole:
    """What each place is worth, in parts of which `scale` make one."""
    if rule.by == "places":
        return ranked.copy()
    if rule.by == "linear":
        first, less, least = (int(number * scale) for number in (rule.first, rule.less, rule.least))
        return np.maximum(least, first - less * (ranked - 1))
    table = np.array([*(int(number * scale) for number in rule.points), int(rule.beyond * scale)], dtype=np.int64)
    return cast(Whole, table[np.minimum(ranked, len(table)) - 1])
