"""The rule of a round, as the kit carries it: divisions, how an event scores, the scale of decisions, windows, which films."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.rules.records.overall_rule import OverallRule
from app.rules.records.seal import Digest
from app.rules.round.words import MOST_LETTERS
from app.rules.values.shapes import Base, ExactNumber, Id, Key, Name
from app.rules.values.units import Rounding, round_to

HOUR = 3_600_000  # milliseconds
MOST_PARTS = 40
MOST_ASKS = 300  # characters
MOST = 500

Share = Annotated[ExactNumber, Field(ge=0, le=1)]
Span = Annotated[int, Field(ge=0, le=1000 * 24 * HOUR)]
Parts = tuple[ExactNumber, ...]
MostLooks = Literal[3, 5, 7, 9]  # odd, since their median decides


class CapRule(Base):
    """The time cap of a list of work: how long, how many repetitions the list has, and how many seconds each that is left adds to
    the time; None where whoever was capped stands behind all finishers, by the work left."""

    seconds: ExactNumber
    work: int = Field(ge=1)
    adds: ExactNumber | None = None

    def beyond(self, left: Fraction) -> Fraction:
        """The number that stands for so much work left: above the cap, and greater with more left."""
        return self.seconds + (1 if self.adds is None else self.adds) * left

    def left(self, value: Fraction) -> Fraction | None:
        """The work left that a number stands for; None for a finish."""
        return None if value <= self.seconds else (value - self.seconds) / (self.adds or 1)


class PartRule(Base):
    """One number of a claim. none: what it is worth where it is not credited. does: when and what is done; asks: what is asked
    for, both as the hall's paper has it; unit: in what. cap: of a time. round: the repetitions in a round of a list that starts
    again until the bell, 0 for none."""

    name: Name
    of: Literal["window", "lift"] = "window"
    none: ExactNumber = Fraction(0)
    does: str = Field(default="", max_length=MOST_ASKS)
    asks: str = Field(default="", max_length=MOST_ASKS)
    unit: str = Field(default="", max_length=20)
    cap: CapRule | None = None
    round: int = Field(default=0, ge=0)


class MadeOf(Base):
    """One term of a score: what it takes from the next `parts` of the claim's numbers, times a weight. drop: so many of the
    lowest are left out of a sum. needed: without one above nought there is no score."""

    parts: int = Field(ge=1, le=MOST_PARTS)
    take: Literal["sum", "best", "worst", "last"] = "sum"
    weight: ExactNumber = Fraction(1)
    drop: int = Field(default=0, ge=0)
    needed: bool = False

    def value(self, values: Sequence[Fraction], better: Literal["more", "less"]) -> Fraction:
        """What the term adds."""
        if self.take == "last":
            return self.weight * next((one for one in reversed(values) if one), values[-1])
        if self.take == "sum":
            return self.weight * sum(sorted(values)[self.drop :], Fraction(0))
        return self.weight * (max(values) if (better == "more") == (self.take == "best") else min(values))


class EventRule(Base):
    """How an event scores: the sum of its terms (`made`), rounded; of an event without terms, as a first kit had it, the sum or
    the best of its parts.
    runs_as: what a gym's own event must run and score as (hand_in.py); None where nobody says."""

    id: Id
    name: Name
    parts: tuple[PartRule, ...] = Field(min_length=1, max_length=MOST_PARTS)
    take: Literal["sum", "best"] = "sum"
    better: Literal["more", "less"] = "more"
    unit: str = Field(default="reps", max_length=20)
    made: tuple[MadeOf, ...] = Field(default=(), max_length=MOST_PARTS)
    rounding: Rounding = Rounding.NONE
    rounding_step: Annotated[ExactNumber, Field(gt=0)] = Fraction(1)
    runs_as: Digest | None = None

    @model_validator(mode="after")
    def _each_part_once(self) -> Self:
        if self.made and sum(one.parts for one in self.made) != len(self.parts):
            raise ValueError("Each part of a claim is taken by one term of the score.")
        return self

    def taken(self, parts: Sequence[Fraction]) -> list[tuple[MadeOf, Sequence[Fraction]]]:
        """The terms of the score, each with the parts that it takes from."""
        ends = list(accumulate(one.parts for one in self.made))
        return [(one, parts[end - one.parts : end]) for one, end in zip(self.made, ends, strict=True)]

    def lacks(self, parts: Sequence[Fraction]) -> bool:
        """Whether there is no score, since a term that is needed has nothing."""
        return any(one.needed and not any(values) for one, values in self.taken(parts))

    def score(self, parts: Sequence[Fraction]) -> Fraction:
        """The score that some parts make, in the order of the event's own."""
        if self.made:
            exact = sum((one.value(values, self.better) for one, values in self.taken(parts)), Fraction(0))
            return round_to(exact, self.rounding_step, self.rounding)
        if self.take == "sum":
            return sum(parts, Fraction(0))
        return max(parts) if self.better == "more" else min(parts)

    def worth(self, value: Fraction) -> Fraction:
        """A sort key: smaller is better."""
        return -value if self.better == "more" else value


class DivisionRule(Base):
    """A division, and how many of it are invited."""

    id: Id
    name: Name
    places: int = Field(default=0, ge=0, le=10_000)


class FaultRule(Base):
    """What a reviewer may find amiss: of a window or lift, which is then not credited; of the line, which is then refused."""

    key: Key
    words: Name
    of: Literal["window", "lift", "line"]


USUAL_FAULTS = (
    FaultRule(key="cut", words="The film is cut in this window", of="window"),
    FaultRule(key="out-of-picture", words="Out of the picture in this window", of="window"),
    FaultRule(key="plates-unread", words="A plate can't be read", of="lift"),
    FaultRule(key="no-collar", words="A collar is missing", of="lift"),
    FaultRule(key="undeclared-load", words="The load is not the declared one", of="lift"),
    FaultRule(key="equipment", words="Equipment under the kit's", of="line"),
)


class DoubtRule(Base):
    """When a line is doubted (doubting.py). far, far_least: from which modified z-score, and of more claims than so many. even,
    even_least: within which share of the middle gap half of the gaps between repetitions are too even, of at least so many."""

    far: Annotated[ExactNumber, Field(gt=0, le=1000)] = Fraction(7, 2)
    far_least: int = Field(default=4, ge=1, le=10_000)
    even: Share = Fraction(1, 50)
    even_least: int = Field(default=12, ge=2, le=10_000)


class Rule(Base):
    """All that a round is judged by. Times are Unix milliseconds by headquarters' clock, spans milliseconds.

    near, near_share: a look lies near a claim within the greater of so much and such a share of the claim. most_looks: at a
    line whose looks differ.
    top_share: so many times the places of a division are closed by `top_looks` looks each. draw_least, draw_share: the lines
    drawn of each gym, at least so many or such a share, rounded down. opened_next: the further lines of a gym with a correction.
    doubts_share: of all looks. named_after: so many corrections, and a head judge may name the gym. film_word: of how many
    letters the word is that each film shows (words.py), 0 for none. film_ms: how long a film may take after it was asked for;
    lease_ms: how long a look is one reviewer's. overall: how several events make one standing. doubts: when a line is doubted,
    None for never but by a person.
    """

    id: Id
    name: Name
    events: tuple[EventRule, ...] = Field(min_length=1, max_length=50)
    divisions: tuple[DivisionRule, ...] = Field(min_length=1, max_length=MOST)
    faults: tuple[FaultRule, ...] = Field(default=USUAL_FAULTS, max_length=MOST)
    opens_ms: int = Field(default=0, ge=0)
    deadline_ms: int = Field(ge=0)
    zone: Name = "UTC"
    grace_ms: Span = 48 * HOUR
    film_ms: Span = 72 * HOUR
    lease_ms: Span = 2 * HOUR
    appeal_ms: Span = 72 * HOUR
    invitation_ms: Span = 48 * HOUR
    near: Annotated[ExactNumber, Field(ge=0)] = Fraction(1)
    near_share: Share = Fraction(1, 100)
    most_looks: MostLooks = 7
    top_share: Annotated[ExactNumber, Field(ge=0, le=100)] = Fraction(5, 4)
    top_looks: int = Field(default=2, ge=0, le=3)
    dice: int = Field(default=40, ge=1, le=1000)
    sides: int = Field(default=6, ge=2, le=9)
    draw_least: int = Field(default=1, ge=0, le=MOST)
    draw_share: Share = Fraction(1, 100)
    opened_next: int = Field(default=6, ge=0, le=MOST)
    doubts_share: Annotated[ExactNumber, Field(ge=0, lt=1)] = Fraction(1, 20)
    film_word: int = Field(default=0, ge=0, le=MOST_LETTERS)
    doubts: DoubtRule | None = None
    named_after: int = Field(default=2, ge=1, le=MOST)
    panel: int = Field(default=3, ge=1, le=15)
    overall: OverallRule = OverallRule()

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        lists: list[tuple[str, list[str]]] = [
            ("events", [one.id for one in self.events]),
            ("divisions", [one.id for one in self.divisions]),
            ("faults", [one.key for one in self.faults]),
        ]
        for name, ids in lists:
            if len(set(ids)) != len(ids):
                raise ValueError(f"Two of the {name} have one id.")
        return self

    def event(self, key: str) -> EventRule | None:
        """An event by its id."""
        return next((one for one in self.events if one.id == key), None)

    def division(self, key: str) -> DivisionRule | None:
        """A division by its id."""
        return next((one for one in self.divisions if one.id == key), None)

    def fault_of(self, key: str) -> str:
        """What a fault is of; empty for none of the kit's."""
        return next((one.of for one in self.faults if one.key == key), "")
