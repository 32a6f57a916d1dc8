"""The rule of an overall standing, and what it takes and gives: results in columns, rows in order."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Literal, NamedTuple, Self, TypeVar

from pydantic import Field, model_validator

from app.rules.records.body_formulas import AgeFactors, Body, BodyFormula, Formula
from app.rules.records.team_rule import TeamRule
from app.rules.values.shapes import Base, ExactNumber, Id, Key

MOST_TABLE = 500
UNPLACED = 1_000_000_000  # sorts after every place

MOST_DROPPED = 50
MOST_WEIGHT = 1000
Weight = Annotated[ExactNumber, Field(ge=0, le=MOST_WEIGHT)]

Step = Literal["count-back", "named event"]
T = TypeVar("T")


class OverallRule(Base):
    """How several scores become one standing.

    by: `places` adds the places themselves, low wins; `table` gives points for place from `points`, what lies beyond it gets
    `beyond`; `linear` gives `first` to the winner and `less` fewer for each place, never under `least`; `scores` adds the scores
    as they are; `percent` gives each score as a part of the best one there, which is 100, to a thousandth;
    `formula` gives the points of the event's formula, and the score as it is without one; who lacks what a formula of bodyweight
    asks for has no points there and no place. ages: the points of those formulas are taken times a factor by age too. across:
    all divisions are one standing, which only scores can make. only: by event the one of its scores that counts, as the total
    alone of a meet whose lifts are ranked too (all of them where it is not named). weights: by event, what its points are taken
    times (1 where it is not named). drop: so many of an entry's worst scores are left out, never the last one. shared: equal
    places get the points of the place they share, or split the points of the places they cover. absent: what an entry without a
    place in an event gets: `last` (as one place after the last ranked; where scores are added, the worst score there), `none`
    (0, which may not be the best there is), or `out` (no overall place). ties, in order: `count_back` of best places, then the
    place in the `named` event; else the place is shared. teams: how the entries' standings become points of teams.
    """

    by: Literal["places", "table", "linear", "scores", "percent", "formula"] = "places"
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
    only: dict[Id, Key] = Field(default_factory=dict, max_length=MOST_TABLE)
    weights: dict[Id, Weight] = Field(default_factory=dict, max_length=MOST_TABLE)
    formulas: dict[Id, Formula] = Field(default_factory=dict, max_length=MOST_TABLE)
    ages: AgeFactors | None = None
    across: bool = False
    teams: TeamRule | None = None
    drop: int = Field(default=0, ge=0, le=MOST_DROPPED)

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.by == "table" and not self.points:
            raise ValueError("A table of points needs the points of at least one place.")
        if self.by == "formula" and not self.formulas:
            raise ValueError("Points by formula need the formula of at least one event.")
        if self.teams is not None and self.teams.by == "total" and self.low_wins:
            raise ValueError(
                "Where the smaller total wins, team points come from a table: a sum of totals would reward the worst."
            )
        if self.across and not self.of_scores:
            raise ValueError("A place is a place in its division: all divisions are one standing only where scores count.")
        if self.absent == "none" and self.low_wins:
            raise ValueError("Where the smaller total wins, an entry without a place can't get 0: it would win by staying away.")
        return self

    @property
    def of_scores(self) -> bool:
        """Whether what counts is the score, and not its place."""
        return self.by in ("scores", "percent", "formula")

    @property
    def tells_of_one(self) -> bool:
        """Whether the standing of a single score is another than that score's own."""
        return self.across or self.by == "formula"

    def body_formula(self, event: str) -> BodyFormula | None:
        """The formula of an event that asks for more than the score."""
        formula = self.formulas.get(event) if self.by == "formula" else None
        return formula if isinstance(formula, BodyFormula) else None

    def takes(self, event: str, scores: Sequence[str]) -> tuple[str, ...]:
        """Which of an event's scores count: the one that is named, as long as the event has it, else all."""
        alone = self.only.get(event)
        return tuple(scores) if alone is None or alone not in scores else (alone,)

    def moved(self, to: Callable[[str], str | None]) -> "OverallRule":
        """The same rule where events have other ids; what it says of an event that has none there is left out."""

        def under_new(said: Mapping[str, T]) -> dict[str, T]:
            return {new: one for event, one in said.items() if (new := to(event)) is not None}

        said = {name: under_new(getattr(self, name)) for name in ("only", "weights", "formulas")}
        return self.model_copy(update={"named": None if self.named is None else to(self.named), **said})

    @property
    def added_plainly(self) -> bool:
        """Whether all that the scores bring is added up as it is."""
        return self.by not in ("percent", "formula") and not self.weights and not self.drop

    @property
    def low_wins(self) -> bool:
        """Whether the smaller total is the better one."""
        return self.by == "places" or (self.by == "scores" and self.better == "less")


@dataclass(frozen=True, slots=True)
class Result:
    """What one entry has in one column (a score of an event): its place if ranked, its value if scored, and who lifted."""

    place: int | None
    value: Fraction | None
    body: Body | None = None


NOTHING = Result(None, None)


@dataclass(frozen=True, slots=True)
class Column:
    """One score of one event in one division: results by entry, which of its values is better, and their unit."""

    event: str
    rule: str
    results: Mapping[Hashable, Result]
    better: Literal["more", "less"] = "more"
    unit: str = "points"


class OverallRow(NamedTuple):
    """An entry overall. `points` has one number for each column, in order; `by_tie` says what parted it from an equal total;
    `dropped` are the columns that were left out, `lacking` those that can't be told in points."""

    who: Hashable
    place: int | None
    shared: bool
    points: tuple[Fraction, ...]
    places: tuple[int | None, ...]
    total: Fraction
    by_tie: Step | None
    dropped: tuple[int, ...] = ()
    lacking: tuple[int, ...] = ()


def step_names(rule: OverallRule) -> list[Step]:
    """The steps by which a rule parts equal totals, in order."""
    names: list[Step] = []
    if rule.count_back:
        names.append("count-back")
    if rule.named is not None:
        names.append("named event")
    return names
