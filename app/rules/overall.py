"""Places in events to places overall: points for place, places added up, or scores added up; then count-back, a named event,
or shared."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import Literal, Self

from pydantic import Field, model_validator

from app.rules.shapes import Base, ExactNumber, Id
from app.rules.standings import Candidate, Standing, rank

MOST_TABLE = 500


class OverallRule(Base):
    """How several scores become one standing.

    by: `places` adds the places themselves, low wins; `table` gives points for place from `points`, what lies beyond it gets the
    last entry's points or `beyond`; `linear` gives `first` to the winner and `less` fewer for each place, never under `least`;
    `scores` adds the scores as they are. shared: equal places get the points of the place they share, or split the points of the
    places they cover. absent: what an entry without a place in an event gets: `last` (one place after the last ranked), `none`
    (nothing: 0 points, or a score of 0), or `out` (no overall place). ties, in order: `count_back` of best places, then the place
    in `named` event; else the place is shared.
    """

    by: Literal["places", "table", "linear", "scores"] = "places"
    points: tuple[ExactNumber, ...] = Field(default=(), max_length=MOST_TABLE)
    beyond: ExactNumber = Fraction(0)
    first: ExactNumber = Fraction(100)
    less: ExactNumber = Fraction(1)
    least: ExactNumber = Fraction(0)
    shared: Literal["same", "split"] = "same"
    absent: Literal["last", "none", "out"] = "last"
    better: Literal["more", "less"] = "more"
    count_back: bool = True
    named: Id | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.by == "table" and not self.points:
            raise ValueError("A table of points needs the points of at least one place.")
        return self

    @property
    def low_wins(self) -> bool:
        """Whether the smaller total is the better one."""
        return self.by == "places" or (self.by == "scores" and self.better == "less")


@dataclass(frozen=True, slots=True)
class Result:
    """What one entry has in one column (a score of an event): its place if ranked, its value if scored."""

    place: int | None
    value: Fraction | None


@dataclass(frozen=True, slots=True)
class Column:
    """One score of one event in one division: results by entry."""

    event: str
    rule: str
    results: Mapping[Hashable, Result]


@dataclass(frozen=True, slots=True)
class OverallRow:
    """An entry overall. `points` has one number for each column, in order; `by_tie` says what parted it from an equal total."""

    who: Hashable
    place: int | None
    shared: bool
    points: tuple[Fraction, ...]
    places: tuple[int | None, ...]
    total: Fraction
    by_tie: Literal["count-back", "named event"] | None


def overall(rule: OverallRule, entries: Sequence[Hashable], columns: Sequence[Column]) -> list[OverallRow]:
    """The overall standing of `entries` from their results in each column that has begun. Entries keep their order when they
    share."""
    points = [_column_points(rule, entries, column) for column in columns]
    rows: dict[Hashable, tuple[tuple[Fraction, ...], tuple[int | None, ...], Fraction]] = {}
    candidates = []
    for entry in entries:
        own = tuple(column[entry] for column in points)
        places = tuple(_result(column, entry).place for column in columns)
        total = sum(own, Fraction(0))
        rows[entry] = own, places, total
        out = not columns or all(place is None for place in places) or (rule.absent == "out" and None in places)
        key = (total if rule.low_wins else -total,)
        ties = tuple(_ties(rule, columns, entry, places))
        candidates.append(Candidate(entry, Standing.DID_NOT_FINISH if out else Standing.RANKED, key, ties))
    steps = _step_names(rule)
    return [
        OverallRow(p.who, p.place, p.shared, *rows[p.who], by_tie=None if p.by_tie is None else steps[p.by_tie])
        for p in rank(candidates)
    ]


def points_for(rule: OverallRule, place: int) -> Fraction:
    """What a place is worth."""
    match rule.by:
        case "table":
            return rule.points[place - 1] if place <= len(rule.points) else rule.beyond
        case "linear":
            return max(rule.least, rule.first - rule.less * (place - 1))
        case _:
            return Fraction(place)


def cut(order: Sequence[tuple[Hashable, int | None]], most: int) -> list[Hashable]:
    """The top `most` of (entry, place) in order of place. Those who share the last place that goes on all go on."""
    return [entry for entry, place in order if place is not None and place <= most]


def seeded_lanes(order: Sequence[Hashable], lanes: int, middle: bool = True) -> dict[int, Hashable]:
    """Lanes for one heat's entries, best first: from the middle outwards (as in a swum or run final), or from lane 1 upwards."""
    centre = (lanes + 1) / 2
    by_seed = sorted(range(1, lanes + 1), key=lambda lane: (abs(lane - centre), lane)) if middle else range(1, lanes + 1)
    return dict(zip(by_seed, order, strict=False))


def _result(column: Column, entry: Hashable) -> Result:
    return column.results.get(entry, NOTHING)


NOTHING = Result(None, None)


def _column_points(rule: OverallRule, entries: Sequence[Hashable], column: Column) -> dict[Hashable, Fraction]:
    if rule.by == "scores":
        return {entry: _result(column, entry).value or Fraction(0) for entry in entries}
    ranked = sorted((place, i) for i, entry in enumerate(entries) if (place := _result(column, entry).place) is not None)
    points: dict[Hashable, Fraction] = {}
    for place, group in groupby(ranked, key=lambda item: item[0]):
        sharing = [entries[i] for _, i in group]
        covered = range(place, place + len(sharing)) if rule.shared == "split" else range(place, place + 1)
        each = sum((points_for(rule, p) for p in covered), Fraction(0)) / len(covered)
        points.update(dict.fromkeys(sharing, each))
    last = Fraction(0) if rule.absent == "none" else points_for(rule, len(ranked) + 1)
    return {entry: points.get(entry, last) for entry in entries}


UNPLACED = 1_000_000_000  # sorts after every place


def _ties(rule: OverallRule, columns: Sequence[Column], entry: Hashable, places: Sequence[int | None]) -> list[tuple[int, ...]]:
    keys: list[tuple[int, ...]] = []
    if rule.count_back:
        keys.append(tuple(sorted(UNPLACED if place is None else place for place in places)))
    if rule.named is not None:
        named = next((place for column, place in zip(columns, places, strict=True) if column.event == rule.named), None)
        keys.append((UNPLACED if named is None else named,))
    return keys


def _step_names(rule: OverallRule) -> list[Literal["count-back", "named event"]]:
    names: list[Literal["count-back", "named event"]] = []
    if rule.count_back:
        names.append("count-back")
    if rule.named is not None:
        names.append("named event")
    return names
