"""How a competition day is to be planned: the organiser's numbers, and the choices that a plan must keep."""

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.rules.records.judges import Clock, minutes_of
from app.rules.values.shapes import Base, Id, Name, Said

Minutes = Annotated[int, Field(ge=0, le=24 * 60)]
Seeding = Literal["entered", "drawn", "standing"]


class Break(Base):
    """A stretch in which no heat runs. `least`: how short it may become when the day runs late, in minutes; None: no shorter."""

    name: Name
    start: Clock
    end: Clock
    least: Minutes | None = None

    @model_validator(mode="after")
    def _forward(self) -> Self:
        if minutes_of(self.end) <= minutes_of(self.start):
            raise ValueError(f"A break ends after it begins; {self.name}, {self.start} to {self.end}, does not.")
        return self

    @property
    def minutes(self) -> int:
        """Its length as planned, in minutes."""
        return minutes_of(self.end) - minutes_of(self.start)

    @property
    def shortest(self) -> int:
        """How short it may become when the day runs late, in minutes."""
        return self.minutes if self.least is None else min(self.least, self.minutes)


class EventDay(Base):
    """How one event is planned. Its lanes run from `first_lane` to `last_lane`: events on other lanes can run beside it.

    `most`: at most so many entries at once, for an event with fewer machines than lanes. `minutes`: how long a heat holds the
    floor; None: the length of the event, rounded up. `seeding`: entered (in the order of entries), drawn (by lot, from the
    day's shown seed), standing (by `source`, a standing's key). Best last or first; lanes from the middle outwards or from the
    first; divisions in heats of their own (`apart`) or one after the other in shared heats. `even`: heats of one size, give or
    take one; otherwise all are full but the weakest.
    """

    event: Id
    first_lane: int = Field(default=1, ge=1, le=60)
    last_lane: int = Field(default=10, ge=1, le=60)
    most: int | None = Field(default=None, ge=1, le=60)
    minutes: Annotated[int, Field(ge=1, le=600)] | None = None
    seeding: Seeding = "entered"
    source: str = Field(default="", max_length=130)
    best_last: bool = True
    from_middle: bool = True
    apart: bool = True
    even: bool = True

    @model_validator(mode="after")
    def _some_lanes(self) -> Self:
        if self.last_lane < self.first_lane:
            raise ValueError("The last lane of an event comes after its first.")
        return self

    @property
    def lanes(self) -> tuple[int, ...]:
        """The lanes that its equipment stands on."""
        return tuple(range(self.first_lane, self.last_lane + 1))

    @property
    def at_once(self) -> int:
        """How many entries a heat holds at most."""
        return min(len(self.lanes), self.most or len(self.lanes))


class Lock(Base):
    """A choice that every plan keeps: a heat's start, or an entry's heat and lane, or a lane's judge.

    `group` names the heat before it has a number: the division and its place among the division's heats, see rules/day/heats.py.
    """

    event: Id
    group: str = Field(pattern=r"^[A-Za-z0-9_*-]{1,40}\.[0-9]{1,4}$")
    start: Clock | None = None
    entry: Id | None = None
    lane: int | None = Field(default=None, ge=1, le=60)
    judge: Id | None = None


class Withdrawn(Base):
    """An entry that does not compete any more: in one event, or in any that is still to come."""

    entry: Id
    event: Id | None = None


class DayRules(Base):
    """The day's numbers, all in minutes where they are times.

    `changeover`: least from the end of a heat to the next GO on its lanes; `reset`: the same where another event follows;
    `rest`: least from the end of an athlete's heat to the next GO of the same athlete. A judge works at most `judge_work` of any
    `judge_of` heats that follow one another. `own_club`: a judge may judge the own club.
    `with_judges`: the plan gives every lane a judge. `take_turns`: events may take turns on
    the same lanes; otherwise all heats of one event run before the next. Starts stand on multiples of `step`. `seed` draws lots.
    `zone`: the hall's time zone (IANA name), empty for this computer's own.
    """

    start: Clock = "09:00"
    end: Clock = "19:00"
    changeover: Minutes = 4
    reset: Minutes = 15
    rest: Minutes = 30
    step: int = Field(default=1, ge=1, le=30)
    judge_work: int = Field(default=3, ge=1, le=20)
    judge_of: int = Field(default=4, ge=1, le=20)
    own_club: bool = False
    with_judges: bool = True
    take_turns: bool = False
    breaks: tuple[Break, ...] = Field(default=(), max_length=12)
    events: tuple[EventDay, ...] = ()
    locks: tuple[Lock, ...] = ()
    withdrawn: tuple[Withdrawn, ...] = ()
    seed: int = Field(default=1, ge=0, le=999_999)
    zone: Said = Field(default="", max_length=60)

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        if minutes_of(self.end) <= minutes_of(self.start):
            raise ValueError("The day ends after it starts.")
        if self.judge_work > self.judge_of:
            raise ValueError("A judge can't work more heats than there are: the first number is at most the second.")
        ordered = sorted(self.breaks, key=lambda one: one.start)
        for one, following in pairwise(ordered):
            if following.start < one.end:
                raise ValueError(f"The breaks {one.name} and {following.name} overlap.")
        if len({one.event for one in self.events}) != len(self.events):
            raise ValueError("An event is planned twice.")
        return self

    def is_out(self, entry: str, event: str) -> bool:
        """Whether an entry has withdrawn from an event."""
        return any(one.entry == entry and one.event in (None, event) for one in self.withdrawn)

    def of(self, event: str) -> EventDay:
        """How an event is planned; the usual way for one that nothing was said of."""
        return next((one for one in self.events if one.event == event), EventDay(event=event))
