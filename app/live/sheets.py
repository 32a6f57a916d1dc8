"""The sheets that hold marks, by their keys and by the lane assignment that they belong to."""

from bisect import insort
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from app.live.kept import MadeOnce
from app.live.packed import pack, unpack
from app.live.places import assignment_of
from app.rules.count.sheets import JUDGED_AGAIN
from app.rules.count.tally import Folding, Tally
from app.rules.records.kinds import OF_THE_BAR
from app.rules.records.marks import Mark, SheetKey, sheet_key

MOST_OPEN = 200  # sheets of which more is kept than their tallies: those of the heats at hand
MOST_UNPACKED = 12  # packed sheets whose marks are kept after somebody read them


class UnknownSheet(LookupError):
    """Raised for a sheet of an assignment that the competition does not have; its text is the sentence to show."""


@dataclass(slots=True)
class Sheet:
    """One sheet: how many marks came from each seat, and, once somebody asked, the marks in their order; its tally if it is
    fresh; the last mark to arrive. folding: what has added up all but `new`, while it is kept. held: its marks by id, while
    they are not packed. number: its own among the sheets, never another's."""

    key: str
    number: int
    unpacked: MadeOnce[dict[str, Mark]]
    held: dict[str, Mark] = field(default_factory=dict)
    packed: bytes = b""
    count: int = 0  # of the marks that are packed
    came_from: Counter[str] = field(default_factory=Counter)
    tally: Tally | None = None
    last: Mark | None = None
    ordered: list[Mark] | None = None
    folding: Folding | None = None
    new: list[Mark] = field(default_factory=list)
    as_of: object = field(default_factory=object)  # another whenever it may say something else
    kept_as: object = None  # how it was when the store kept it

    @property
    def marks(self) -> Mapping[str, Mark]:
        """Its marks by id, read again if they are packed."""
        if not self.packed:
            return self.held
        return self.unpacked.of(f"{self.key} {self.count}", lambda: unpack(self.key, self.packed))

    def __len__(self) -> int:
        return self.count if self.packed else len(self.held)

    @property
    def at_rest(self) -> bool:
        """Whether it is packed, its tally too."""
        whole = self.tally is not None and any(window.marked for window in self.tally.windows)
        return bool(self.packed) and self.folding is None and not whole

    def open(self) -> dict[str, Mark]:
        """Its marks to be added to, packed no more."""
        if self.packed:
            self.held, self.packed = dict(self.marks), b""
            self.count_anew()
        return self.held

    def pack(self) -> None:
        """Packs its marks, and lets go of all that can be made of them again but its tally."""
        if not self.packed:
            self.packed, self.count, self.held = pack(self.held.values()), len(self.held), {}
        self.ordered = None
        self.close()

    def take(self, packed: bytes, count: int, came_from: Mapping[str, int], last: Mark) -> None:
        """Takes marks that come packed, on a sheet that has none."""
        self.packed, self.count, self.last = packed, count, last
        self.came_from.update(came_from)

    def came(self, mark: Mark) -> None:
        """Notes that a mark has just been put on it."""
        if mark.receipt is not None:
            self.came_from[mark.receipt.seat] += 1
        self.last, self.tally, self.as_of = mark, None, object()
        if self.folding is not None:
            self.new.append(mark)
        if self.ordered is not None:
            insort(self.ordered, mark, key=lambda one: one.order)

    def count_anew(self) -> None:
        """Forgets what its marks came to."""
        self.as_of = object()
        self.count_again()

    def count_again(self) -> None:
        """Has its tally made once more, the same."""
        self.tally = None
        self.close()

    def close(self) -> None:
        """Keeps its tally alone: the next mark adds it up whole."""
        self.folding, self.new = None, []


class Sheets(dict[str, Sheet]):
    """All sheets by key. They are only ever added, so what belongs together is found without a look at the others."""

    def __init__(self) -> None:
        self._of: dict[str, list[Sheet]] = {}
        self._keys: list[str] = []  # by number
        self._unpacked: MadeOnce[dict[str, Mark]] = MadeOnce(MOST_UNPACKED)
        self._open: dict[str, Sheet] = {}  # those whose foldings are kept, the longest unused first

    def open(self, key: str) -> Sheet:
        """The sheet of this key, a blank one if there was none."""
        sheet = self.get(key)
        if sheet is None:
            sheet = self[key] = Sheet(key, len(self), self._unpacked)
            self._keys.append(key)
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

    def counted_anew(self, same: Callable[[str], bool]) -> set[str]:
        """Has those counted anew that are not read the `same` as before; returns their assignments."""
        touched = set()
        for key, sheet in self.items():
            if not same(key):
                sheet.count_anew()
                touched.add(assignment_of(key))
        return touched

    def numbered(self, number: int) -> Sheet:
        """The sheet of a number."""
        return self[self._keys[number]]

    def pack(self, sheet: Sheet) -> None:
        """Packs a sheet."""
        self._open.pop(sheet.key, None)
        sheet.pack()

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
        other._keys = self._keys
        for key, sheet in self.items():
            other[key] = copied = replace(sheet, folding=None, new=[], ordered=None)
            other._of.setdefault(assignment_of(key), []).append(copied)
        return other
