"""Classes: the limits of a division by sex, age and bodyweight, the weigh-in with its time window, and who belongs where.

Nobody is placed by a rule here: where somebody belongs is told, and a person moves them. The limits decide no result.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Self

from pydantic import Field, model_validator

from app.rules.records.body_formulas import Sex
from app.rules.values.shapes import Base, ExactLoad, TimeOfDay
from app.rules.values.units import Load

MOST_AGE = 120


class Limits(Base):
    """Whom a division is for. `over`, `up_to`: bodyweights, the first left out and the second let in. `opens`, `closes`: the
    weigh-in's time window, HH:MM on the day of the competition, both empty for none."""

    sex: Sex = ""
    from_age: int | None = Field(default=None, ge=1, le=MOST_AGE)
    to_age: int | None = Field(default=None, ge=1, le=MOST_AGE)
    over: ExactLoad | None = None
    up_to: ExactLoad | None = None
    opens: TimeOfDay = ""
    closes: TimeOfDay = ""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.from_age is not None and self.to_age is not None and self.to_age < self.from_age:
            raise ValueError("The highest age of a class is not below the lowest.")
        if self.over is not None and self.up_to is not None and self.up_to <= self.over:
            raise ValueError("A class reaches from a lighter bodyweight up to a heavier one.")
        if bool(self.opens) != bool(self.closes) or self.closes < self.opens:
            raise ValueError("A weigh-in has a time when it opens and a later one when it closes, or none.")
        return self

    @property
    def weighs(self) -> bool:
        """Whether its athletes are weighed in: a bodyweight decides, or the class has a time for it, as where points are by
        bodyweight and classes are not."""
        return self.over is not None or self.up_to is not None or bool(self.opens)

    def words(self) -> str:
        """`women, 40 to 49 years, over 64 kg up to 71 kg, weigh-in 8:00 to 9:30`; empty for no limits."""
        return ", ".join(self._words())

    def _words(self) -> Iterator[str]:
        if self.sex:
            yield self.sex
        if self.from_age is not None or self.to_age is not None:
            both = f"{self.from_age} to {self.to_age}" if self.from_age and self.to_age else ""
            both = str(self.from_age) if self.from_age == self.to_age else both
            yield f"{both or (f'from {self.from_age}' if self.from_age else f'up to {self.to_age}')} years"
        weights = [f"over {self.over.text()}" if self.over else "", f"up to {self.up_to.text()}" if self.up_to else ""]
        if any(weights):
            yield " ".join(text for text in weights if text)
        if self.opens:
            yield f"weigh-in {self.opens} to {self.closes}"


@dataclass(frozen=True, slots=True)
class WeighIn:
    """One weighing: the load, the day (ISO 8601) and the time of day (HH:MM) in the hall. `let`: who let one outside the
    window count."""

    load: Load
    day: str
    at: str
    let: str = ""


@dataclass(frozen=True, slots=True)
class Person:
    """What classes ask of an athlete; None or empty is not known. `bodyweight`: as it stands in the list, weighed or not."""

    sex: Sex
    age: int | None
    bodyweight: Load | None
    weighed: WeighIn | None


def open_in_class(limits: Limits, person: Person, day: str) -> tuple[str, ...]:
    """What is open about an athlete in a class, as sentences: first what is not known, and only then which limits are not kept.
    Empty where nothing is. `day`: the competition's, empty if not said."""
    return tuple(_unknown(limits, person, day)) or tuple(_outside(limits, person))


def _unknown(limits: Limits, person: Person, day: str) -> Iterator[str]:
    if limits.sex and not person.sex:
        yield "Women or men is not given."
    if (limits.from_age is not None or limits.to_age is not None) and person.age is None:
        yield "The age is not known."
    if limits.weighs:
        yield from _weighing(limits, person, day)


def _weighing(limits: Limits, person: Person, day: str) -> Iterator[str]:
    """What is wrong with a weigh-in: none, outside its window, or of another weight than stands in the list."""
    weighed = person.weighed
    if weighed is None:
        said = f" The list says {person.bodyweight.text()}." if person.bodyweight else ""
        yield f"Not weighed in.{said}"
    elif person.bodyweight != weighed.load:
        now = person.bodyweight.text() if person.bodyweight else "nothing"
        yield f"Weighed in with {weighed.load.text()}, and the list says {now}."
    elif limits.opens and not weighed.let and (not limits.opens <= weighed.at <= limits.closes or (day and weighed.day != day)):
        when = f"at {weighed.at}" if weighed.day == day or not day else f"on {weighed.day} at {weighed.at}"
        yield f"Weighed in {when}, outside the window of {limits.opens} to {limits.closes}."


def _outside(limits: Limits, person: Person) -> Iterator[str]:
    """Which limits an athlete of whom all is known does not keep."""
    if limits.sex and person.sex != limits.sex:
        yield f"The class is for {limits.sex}."
    if limits.from_age is not None and (person.age or 0) < limits.from_age:
        yield f"{person.age} years; the class begins at {limits.from_age}."
    if limits.to_age is not None and (person.age or 0) > limits.to_age:
        yield f"{person.age} years; the class ends at {limits.to_age}."
    kg = person.bodyweight.kg if person.bodyweight else Fraction(0)
    if person.bodyweight and limits.over is not None and kg <= limits.over.kg:
        yield f"{person.bodyweight.text()} is not over {limits.over.text()}."
    if person.bodyweight and limits.up_to is not None and kg > limits.up_to.kg:
        yield f"{person.bodyweight.text()} is over {limits.up_to.text()}."


def classes_between(sex: Sex, bounds: Sequence[Load], above: bool) -> list[Limits]:
    """The classes of a row of bodyweight bounds, from light to heavy; `above`: with one for whoever is heavier than the last."""
    lower = [None, *bounds[:-1]]
    made = [Limits(sex=sex, over=over, up_to=up_to) for over, up_to in zip(lower, bounds, strict=True)]
    return [*made, Limits(sex=sex, over=bounds[-1])] if above and bounds else made
