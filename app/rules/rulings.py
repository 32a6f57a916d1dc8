"""Decisions of the head judge: records, never edits."""

from typing import Any, Literal, Self, cast

from pydantic import Field, model_validator

from app.rules.holding import LONGEST_MS
from app.rules.marks import VALUE
from app.rules.roster import Millis
from app.rules.shapes import Base, Id, Line, Name

STATUSES = ("", "did_not_finish", "did_not_start", "withdrawn", "disqualified")


class Ruling(Base):
    """A decision of the head judge, applied after the marks are scored: on an entry, or on what it did in one lane assignment.

    `body` is by kind. status: {"status": one of STATUSES}, "" lifts an earlier one; without an event it holds in all. penalty:
    {"amount": a plain number as text}, in the unit of the event's score. shift: {"ms": a whole number, "run": of which run}, on a
    lane assignment: what its judge marked by a clock started by hand was so much later; the newest holds, one by 0 takes it back.
    """

    id: Id
    kind: Literal["status", "penalty", "shift"]
    assignment: Id | None = None
    entry: Id | None = None
    event: Id | None = None
    body: dict[str, Any] = Field(default_factory=dict)
    by: Name
    why: Line
    made_wall_ms: Millis = 0

    @model_validator(mode="after")
    def _says(self) -> Self:
        if self.kind == "status" and (set(self.body) != {"status"} or self.body["status"] not in STATUSES):
            raise ValueError(f"A status ruling says its status: one of {', '.join(STATUSES[1:])}, or empty to lift one.")
        amount = self.body.get("amount")
        plain = set(self.body) == {"amount"} and isinstance(amount, str) and VALUE.fullmatch(amount)
        if self.kind == "penalty" and not plain:
            raise ValueError("A penalty says its amount as text, such as “5” or “2.5”.")
        if self.kind == "shift" and not (set(self.body) == {"ms", "run"} and _is_shift(**self.body)):
            raise ValueError("A shift of a lane's clock says by how many milliseconds, and in which run: whole numbers.")
        if self.kind == "shift" and self.assignment is None:
            raise ValueError("A shift of a clock names its lane assignment.")
        named = self.assignment or (self.entry and (self.event or self.kind == "status"))
        if not named:
            raise ValueError("A ruling names a lane assignment or an entry, and a penalty on an entry its event too.")
        return self


def _is_shift(ms: object, run: object) -> bool:
    whole = type(ms) is int and type(run) is int  # true is no number here
    return whole and abs(cast(int, ms)) <= LONGEST_MS and 1 <= cast(int, run) <= 9999
