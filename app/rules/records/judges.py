"""The people who judge: their club, level, the hours they can, and whether they are here."""

import re
from typing import Annotated, Self

from pydantic import Field, model_validator

from app.rules.values.shapes import Base, Id, Name, Said

Clock = Annotated[str, Field(pattern=r"^(([01][0-9]|2[0-3]):[0-5][0-9]|24:00)$")]
MINUTES_IN_DAY = 24 * 60
SPAN = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?\s*(?:-|–|to|until)\s*(\d{1,2})(?:[:.](\d{2}))?", re.I)


class BadHours(ValueError):
    """Raised when hours can't be read; its text is the sentence to show."""


class Hours(Base):
    """A stretch of the day, from `start` to `end` (HH:MM), on which somebody can judge."""

    start: Clock
    end: Clock

    @model_validator(mode="after")
    def _forward(self) -> Self:
        if minutes_of(self.end) <= minutes_of(self.start):
            raise ValueError(f"Hours end after they begin; {self.start} to {self.end} do not.")
        return self


class Judge(Base):
    """A person who judges. `level` is in the organiser's own words; no hours means all day; `away`: can't judge after all."""

    id: Id
    name: Name
    club: Id | None = None
    level: Said = Field(default="", max_length=60)
    hours: tuple[Hours, ...] = Field(default=(), max_length=8)
    away: bool = False
    notes: Said = Field(default="", max_length=300)


def minutes_of(clock: str) -> int:
    """A time of day HH:MM in minutes after midnight."""
    return int(clock[:2]) * 60 + int(clock[3:])


def clock_of(minutes: int) -> str:
    """Minutes after midnight as HH:MM."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def can_judge(judge: Judge, start: int, end: int) -> bool:
    """Whether a judge is here for the whole stretch, in minutes after midnight: within one of the hours, or at any time
    without hours. Common practice, no source."""
    if judge.away:
        return False
    return not judge.hours or any(minutes_of(h.start) <= start and end <= minutes_of(h.end) for h in judge.hours)


def parse_hours(text: str) -> tuple[Hours, ...]:
    """Hours as people write them: `9-12:30, 14-17`. Raises BadHours."""
    hours = []
    for part in (part.strip() for part in re.split(r"[,+]| and ", text) if part.strip()):
        match = SPAN.fullmatch(part)
        if match is None:
            raise BadHours(f"Hours are written like 9:00-12:30, several with commas between; not “{part[:60]}”.")
        start, end = (int(match[n]) * 60 + int(match[n + 1] or 0) for n in (1, 3))
        if end > MINUTES_IN_DAY or int(match[2] or 0) > 59 or int(match[4] or 0) > 59:
            raise BadHours(f"A day ends at 24:00 and an hour at 59 minutes; “{part[:60]}” goes beyond.")
        if end <= start:
            raise BadHours(f"Hours end after they begin; “{part[:60]}” does not.")
        hours.append(Hours(start=clock_of(start), end=clock_of(end)))
    if len(hours) > 8:
        raise BadHours(f"At most 8 stretches of hours are kept; these are {len(hours)}.")
    return tuple(sorted(hours, key=lambda one: one.start))


def hours_text(hours: tuple[Hours, ...]) -> str:
    """Hours as `09:00-12:30, 14:00-17:00`; empty for all day."""
    return ", ".join(f"{one.start}-{one.end}" for one in hours)
