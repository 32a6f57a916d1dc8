"""Places in events to places overall: points for place, places added up, or scores added up; then count-back, a named event,
or shared."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import Literal, Self, TypeVar

from pydantic import Field, model_validator

from app.rules.shapes import Base, ExactNumber, Id
from app.rules.standings import Candidate, Standing, rank

MOST_TABLE = 500

T = TypeVar("T")


class OverallRule(Base):
    """How several scores become one standing.

    by: `places` adds the places themselves, low wins; `table` gives points for place from `points`, what lies beyond it gets
    `beyond`; `linear` gives `first` to the winner and `less` fewer for each place, never under `least`; `scores` adds the scores
    as they are. shared: equal places get the points of the place they share, or split the points of the places they cover.
    absent: what an entry without a place in an event gets: `last` (as one place after the last ranked; where scores are added,
    the worst score there), `none` (0, which may not be the best there is), or `out` (no overall place). ties, in order:
    `count_back` of best places, then the place in the `named` event; else the place is shared.
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
        if self.absent == "none" and self.low_wins:
            raise ValueError("Where the smaller total wins, an entry without a place can't get 0: it would win by staying away.")
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


def _result(column: Column, entry: Hashable) -> Result:
    return column.results.get(entry, NOTHING)


NOTHING = Result(None, None)


def _column_points(rule: OverallRule, entries: Sequence[Hashable], column: Column) -> dict[Hashable, Fraction]:
    if rule.by == "scores":
        return _column_scores(rule, entries, column)
    ranked = sorted((place, i) for i, entry in enumerate(entries) if (place := _result(column, entry).place) is not None)
    points: dict[Hashable, Fraction] = {}
    for place, group in groupby(ranked, key=lambda item: item[0]):
        sharing = [entries[i] for _, i in group]
        covered = range(place, place + len(sharing)) if rule.shared == "split" else range(place, place + 1)
        each = sum((points_for(rule, p) for p in covered), Fraction(0)) / len(covered)
        points.update(dict.fromkeys(sharing, each))
    last = Fraction(0) if rule.absent == "none" else points_for(rule, len(ranked) + 1)
    return {entry: points.get(entry, last) for entry in entries}


def _column_scores(rule: OverallRule, entries: Sequence[Hashable], column: Column) -> dict[Hashable, Fraction]:
    """The scores as they are; who has none gets the worst one there, or 0."""
    values = {entry: value for entry in entries if (value := _result(column, entry).value) is not None}
    worst = min if rule.better == "more" else max
    absent = worst(values.values()) if values and rule.absent != "none" else Fraction(0)
    return {entry: values.get(entry, absent) for entry in entries}


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
