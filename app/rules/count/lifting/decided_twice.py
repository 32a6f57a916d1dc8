"""A try that one judge decided on two tablets: one was replaced between the lights, and what it still held came later.

It is one decision and no further try. Where the two are not alike the one stands that the desk heard first, for the lights have
told it, until the head judge lets the other count or rules on the lift; where that is not known, the first. What stands does so
from the first one's moment on: whether the attempt is over, and by which rule the next load is put in, follows from it. The twin
is static/js/rules/lifting/decided_twice.js.
"""

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import NamedTuple

from app.rules.count.lifting.bars import Try
from app.rules.count.lifting.judged import Tried, left_by
from app.rules.records.marks import Mark


class Twice(NamedTuple):
    """The try as it was decided first, the mark that stands, and the other's id where a person should look at it, else empty."""

    first: Try
    stands: Mark
    flagged: str


@dataclass(slots=True)
class Twices:
    """The tries of a window that were decided twice: by the first decision's id the one that `stands`; the further decisions,
    each with the id that should be looked at, else empty."""

    stands: dict[str, Mark] = field(default_factory=dict)
    further: dict[str, str] = field(default_factory=dict)

    def note(self, twice: Twice, mark: Mark) -> None:
        """A further decision of a try."""
        had = twice.first.mark.id
        first = next((first for first, stood in self.stands.items() if stood.id == had), had)
        self.stands[first] = twice.stands
        self.further[mark.id] = twice.flagged

    @property
    def turned(self) -> bool:
        """Whether another decision stands than the one that was made first."""
        return any(first != stood.id for first, stood in self.stands.items())


def decided_before(tried: Tried, mark: Mark, admitted: Collection[str]) -> Twice | None:
    """Whether the judge of a sheet had decided the try already that a decision names, and which of the two stands. admitted:
    marks that a ruling lets count."""
    left = mark.body.get("begun")
    leaving = tried.leaving(left) if left else ""
    before = (one for one in tried.tries if (had := left_by(one.mark, one.begun)) and tried.leaving(had) == leaving)
    first = next(before, None)
    if first is None:
        return None
    stands, other = (mark, first.mark) if _heard_before(mark, first.mark) else (first.mark, mark)
    if other.id in admitted and stands.id not in admitted:
        return Twice(first, other, "")
    alike = _own(tried, other) == _own(tried, stands)
    return Twice(first, stands, "" if alike or stands.id in admitted else other.id)


def _heard_before(mark: Mark, other: Mark) -> bool:
    """Whether the desk is known to have heard a mark before another."""
    known = [one.receipt.number for one in (mark, other) if one.receipt is not None and not one.receipt.again]
    return len(known) == 2 and known[0] < known[1]


def _own(tried: Tried, mark: Mark) -> bool:
    """What a judge decided, where the lane's own mark says what all decided together."""
    ruled = tried.verdicts.get(mark.id)
    own = ruled.lights[0] if ruled and ruled.lights else None
    return bool(mark.body["good"] if own is None else own)
