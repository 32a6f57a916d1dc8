"""The sheets that hold marks, by their keys and by the lane assignment that they belong to."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from app.live.places import assignment_of
from app.rules.count.tally import Tally
from app.rules.records.marks import Mark


@dataclass(slots=True)
class Sheet:
    """One sheet's marks by id, how many came from each seat, and, once somebody asked, the marks in their order; its tally if it
    is fresh; the last mark to arrive."""

    marks: dict[str, Mark] = field(default_factory=dict)
    came_from: Counter[str] = field(default_factory=Counter)
    tally: Tally | None = None
    last: Mark | None = None
    ordered: tuple[Mark, ...] | None = None

    def came(self, mark: Mark) -> None:
        """Notes that a mark has just been put on it."""
        if mark.receipt is not None:
            self.came_from[mark.receipt.seat] += 1
        self.last, self.tally, self.ordered = mark, None, None


class Sheets(dict[str, Sheet]):
    """All sheets by key. They are only ever added, so what belongs together is found without a look at the others."""

    def __init__(self) -> None:
        self._of: dict[str, list[Sheet]] = {}

    def open(self, key: str) -> Sheet:
        """The sheet of this key, a blank one if there was none."""
        sheet = self.get(key)
        if sheet is None:
            sheet = self[key] = Sheet()
            self._of.setdefault(assignment_of(key), []).append(sheet)
        return sheet

    def of(self, assignment: str) -> Iterator[Sheet]:
        """The sheets of a lane assignment: every run, every kind."""
        return iter(self._of.get(assignment, ()))

    def beside(self) -> "Sheets":
        """The same sheets in which tallies can be made anew. The marks are shared."""
        other = Sheets()
        for key, sheet in self.items():
            other[key] = copied = replace(sheet)
            other._of.setdefault(assignment_of(key), []).append(copied)
        return other
