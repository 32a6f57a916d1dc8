"""The rule of team points: what the best of a club, or of a named team, bring together from the overall standing."""

from fractions import Fraction
from typing import Literal, Self

from pydantic import Field, model_validator

from app.rules.values.shapes import Base, ExactNumber

MOST_BEST = 100
MOST_POINTS = 500  # places in a table


class TeamRule(Base):
    """How entries' overall standings become points of teams.

    of: the `club` of an entry's members, which must be one, or the team that the entry is `named` for. by: points for the overall
    place from a `table` (`points`, what lies beyond it gets `beyond`), or the overall `total` itself. best: so many entries of a
    team count. over: each `division` has a team standing of its own, or one over `all` divisions. Equal sums are parted by more
    first places of those that count, then more second places, and so on; else the place is shared. Common practice; the count of
    first places as a Russian rule of 2022 has it (consultant.ru LAW_374801, 4.2.9).
    """

    of: Literal["club", "named"] = "club"
    by: Literal["table", "total"] = "table"
    points: tuple[ExactNumber, ...] = Field(default=(), max_length=MOST_POINTS)
    beyond: ExactNumber = Fraction(0)
    best: int = Field(default=3, ge=1, le=MOST_BEST)
    over: Literal["division", "all"] = "all"

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.by == "table" and not self.points:
            raise ValueError("Team points from a table need the points of at least one place.")
        return self

    def points_for(self, place: int) -> Fraction:
        """What an overall place is worth to a team."""
        return self.points[place - 1] if place <= len(self.points) else self.beyond
