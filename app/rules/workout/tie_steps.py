"""The steps that may break a tie, one row each. What a step looks at in a sheet is the function of its name in result/ties.py."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Self

from pydantic import Field, model_validator

from app.rules.values.clock_times import hours_text, minutes_text
from app.rules.values.shapes import Base
from app.rules.values.words import say
from app.rules.workout.points import Point
from app.rules.workout.tasks import MOST_SECONDS


@dataclass(frozen=True, slots=True)
class TieKind:
    """A kind of tie step. Its words may have the holes {at}, a moment of the heat clock, {part}, counted from 1, and {point},
    a point of the work.

    `choice` offers it in the form, `plain` tells it in a sentence of the event's rules, `explained` says how it parted two,
    `without` says where one stands who has nothing to show for it. `asks` is the field of a step that it can't do without, and
    `lacks` the sentence for one that comes without.
    """

    choice: str
    plain: str
    explained: str
    asks: Literal["", "at", "part", "point"] = ""
    lacks: str = ""
    without: str = ""


NO_LIFT = "In a tie by lifts, an entry without a good lift ranks last."
TIE_STEPS: Mapping[str, TieKind] = {
    "count_at": TieKind(
        "more work done at a moment",
        "more work done by {at}",
        "more done by {at}",
        asks="at",
        lacks="A tie-break by count at a checkpoint needs the checkpoint's time.",
    ),
    "time_at": TieKind(
        "sooner at a point of the work",
        "who was sooner at {point}",
        "sooner at {point}",
        asks="point",
        lacks="A tie-break by the time at a point of the work needs the point, such as the end of round 2.",
        without="In a tie by the time at a point of the work, an entry that never got there ranks behind those that did.",
    ),
    "time_of_count": TieKind("sooner at the final count", "who reached the count sooner", "reached the same count sooner"),
    "best_lift": TieKind("the heavier best lift", "the heavier best lift", "heavier best lift", without=NO_LIFT),
    "earlier_best": TieKind(
        "the best lift made sooner", "who made the best lift sooner", "made the best lift sooner", without=NO_LIFT
    ),
    # Powerlifting's second step, behind the lighter: International Powerlifting Federation, Technical Rules (reprint, 11/2007).
    # First in the competition: of two flights by their GOs.
    "total_first": TieKind("the score made sooner", "who made the score sooner", "made the same score sooner", without=NO_LIFT),
    # Weightlifting: International Weightlifting Federation, Technical and Competition Rules 6.8.2, as quoted in an article on
    # placing: of one lift "best result's attempt number, least first"; of a total the lower best of the second lift, and then its
    # attempt number.
    "fewer_attempts": TieKind(
        "fewer attempts up to the best lifts",
        "fewer attempts up to the best lifts",
        "fewer attempts up to the best",
        without=NO_LIFT,
    ),
    "attempt_of_part": TieKind(
        "fewer attempts up to the best lift of a part",
        "fewer attempts up to the best lift of part {part}",
        "fewer attempts up to the best lift of part {part}",
        asks="part",
        lacks="A tie-break by the attempts of a part needs the number of the part.",
        without=NO_LIFT,
    ),
    # The step behind the attempt number, in the edition of 2013 to 2016: "previous attempt(s) - lowest first" (quoted at
    # allthingsgym.com, 2016). It is taken as the lighter load, the last attempt before the best one first: that one was lifted
    # earlier on a bar that only rises, as the calling order has it. A later edition is quoted with "least number of attempt
    # first", which of equal attempt numbers parts nobody. Its last step, the lot, is left to a shared place.
    "previous_attempts": TieKind(
        "lighter attempts before the best lifts",
        "the lighter attempts before the best lifts",
        "lighter attempts before the best",
        without=NO_LIFT,
    ),
    "previous_of_part": TieKind(
        "lighter attempts before the best lift of a part",
        "the lighter attempts before the best lift of part {part}",
        "lighter attempts before the best lift of part {part}",
        asks="part",
        lacks="A tie step by the attempts of a part needs the number of the part.",
        without=NO_LIFT,
    ),
    "lower_part": TieKind(
        "the lower value of a part",
        "the lower part {part}",
        "lower in part {part} of the score",
        asks="part",
        lacks="A tie-break by score part needs the number of the part.",
    ),
    # Count-back, as in the high jump (the athletics federation's rule, read second-hand): fewest jumps at the last height
    # cleared, then fewest failures up to and including it.
    "tries_at_best": TieKind(
        "fewer tries at the best load", "fewer tries at the best load", "fewer tries at the best load", without=NO_LIFT
    ),
    "fewer_misses": TieKind(
        "fewer misses up to the best lifts", "fewer misses up to the best lifts", "fewer misses up to the best", without=NO_LIFT
    ),
    "bodyweight": TieKind(
        "the lighter entry",
        "the lighter entry",
        "lighter bodyweight",
        without="In a tie by bodyweight, an entry ranks last if a member's bodyweight is not known.",
    ),
    "part": TieKind(
        "the better value of a part",
        "the better part {part}",
        "better in part {part} of the score",
        asks="part",
        lacks="A tie-break by score part needs the number of the part.",
    ),
}

if TYPE_CHECKING:
    TieKindName = str
else:
    TieKindName = Literal[tuple(TIE_STEPS)]


class TieStep(Base):
    """One step of breaking a tie: a row of TIE_STEPS, with what it asks for: a second of the heat clock, a part of the score, a
    point of the work."""

    kind: TieKindName = Field(description="; ".join(f"{name}: {kind.choice}" for name, kind in TIE_STEPS.items()))
    at: int | None = Field(default=None, ge=1, le=MOST_SECONDS)
    part: int | None = Field(default=None, ge=0, le=50)
    point: Point | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        kind = TIE_STEPS[self.kind]
        if kind.asks and getattr(self, kind.asks) is None:
            raise ValueError(kind.lacks)
        return self

    def plain(self) -> str:
        """The step inside a sentence of the event's rules: `the heavier best lift`."""
        return say(TIE_STEPS[self.kind].plain, at=hours_text(self.at or 0), **self._holes())

    def explained(self) -> str:
        """The step as an explanation names it: `heavier best lift`."""
        return say(TIE_STEPS[self.kind].explained, at=minutes_text(self.at or 0), **self._holes())

    def _holes(self) -> dict[str, object]:
        return {"part": (self.part or 0) + 1, "point": self.point.words() if self.point else ""}
