"""The sheets that hold marks, by their keys and by the lane assignment that they belong to."""

from bisect import insort
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace

from app.live.places import assignment_of
from app.rules.count.sheets import JUDGED_AGAIN
from app.rules.count.tally import Folding, Tally
from app.rules.records.kinds import OF_THE_BAR
from app.rules.records.marks import Mark, SheetKey, sheet_key

MOST_OPEN = 200  # sheets of which more is kept than their tallies: those of the heats at hand


class UnknownSheet(LookupError):
    """Raised for a sheet of an assignment that the competition does not have; its text is the sentence to show."""


@dataclass(slots=True)
class Sheet:
    """One sheet's marks by id, how many came from each seat, and, once somebody asked, the marks in their order; its tally if it
    is fresh; the last mark to arrive. folding: what has added up all but `new`, while it is kept."""

    marks: dict[str, Mark] = field(default_factory=dict)
    came_from: Counter[str] = field(default_factory=Counter)
    tally: Tally | None = None
    last: Mark | None = None
    ordered: list[Mark] | None = None
    folding: Folding | None = None
    new: list[Mark] = field(default_factory=list)

    def came(self, mark: Mark) -> None:
        """Notes that a mark has just been put on it."""
        if mark.receipt is not None:
            self.came_from[mark.receipt.seat] += 1
        self.last, self.tally = mark, None
        if self.folding is not None:
            self.new.append(mark)
        if self.ordered is not None:
            insort(self.ordered, mark, key=lambda one: one.order)

    def count_anew(self) -> None:
        """Forgets what its marks came to."""
        self.tally = None
        self.close()

    def close(self) -> None:
        """Keeps its tally alone: the next mark adds it up whole."""
        self.folding, self.new = None, []


class Sheets(dict[str, Sheet]):
    """All sheets by key. They are only ever added, so what belongs together is found without a look at the others."""

    def __init__(self) -> None:
        self._of: dict[str, list[Sheet]] = {}
        self._open: dict[str, Sheet] = {}  # those whose foldings are kept, the longest unused first

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

    def folding(self, key: str, marks: Iterable[Mark], begin: Callable[[], Folding]) -> Folding:
        """What adds a sheet up, with all marks that have come: the one that is kept, or one that begins with all its marks."""
        sheet = self[key]
        folding = sheet.folding
        if folding is None or not folding.take(sheet.new):
            folding = begin()
            folding.take(marks)
        sheet.folding, sheet.new = folding, []
        self._open.pop(key, None)
        self._open[key] = sheet
        if len(self._open) > MOST_OPEN:
            self._open.pop(next(iter(self._open))).close()
        return folding

    def bar_changed(self, mark: Mark) -> None:
        """What the lane says of the bar concerns the sheets of those who judge again."""
        if mark.kind not in OF_THE_BAR and not self._takes_back_of_the_bar(mark):
            return
        key = sheet_key(mark.sheet)
        for kind in JUDGED_AGAIN if key.kind == "lane" else ():
            again = self.get(SheetKey(key.assignment, key.run, kind).text())
            if again is not None:
                again.count_anew()

    def _takes_back_of_the_bar(self, mark: Mark) -> bool:
        """Whether it takes a word on the bar back; one that has not come yet counts from when it does."""
        about = self[mark.sheet].marks.get(mark.body["mark"]) if mark.kind == "strike" else None
        return about is not None and about.kind in OF_THE_BAR

    def beside(self) -> "Sheets":
        """The same sheets in which tallies can be made anew. The marks are shared."""
        other = Sheets()
        for key, sheet in self.items():
            other[key] = copied = replace(sheet, folding=None, new=[], ordered=None)
            other._of.setdefault(assignment_of(key), []).append(copied)
        return other
