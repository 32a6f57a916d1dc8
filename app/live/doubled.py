"""Which marks share a number or an id, as they come in: cheap while there are none, which is nearly always."""

from collections.abc import Callable, Iterable, Mapping, MutableMapping, Sequence

from app.rules.records.marks import Mark
from app.rules.records.numbers import Doubles, Number, Numbers, Span, find_doubles, number_of
from app.rules.records.seal import fingerprint


class Doubled:
    """The numbers and ids that are taken, and those that more than one mark has."""

    def __init__(self, of_packed: Callable[[str], Mark | None] = lambda key: None) -> None:
        self._of_packed = of_packed  # the mark of an id on a sheet that is packed
        self._numbers = Numbers()
        self._first: dict[str, Mark] = {}  # of each id the mark that came first
        self._later: dict[str, list[Mark]] = {}  # and what came under it since
        self._shared: set[str | Number] = set()
        self.found: tuple[Doubles, ...] = ()

    def put(self, sheet: MutableMapping[str, Mark], mark: Mark) -> bool:
        """Puts a mark on its sheet by its id, unless it is there. One whose id is taken lies beside it, under its print."""
        known = sheet.get(mark.id)
        if known is mark or known == mark:
            return False
        key, number = mark.id, number_of(mark)
        if self._known(key) is not None:
            key = f"{mark.id}/{fingerprint(mark).hex()}"
            if key in sheet:
                return False
            self._shared.add(mark.id)
            self._later.setdefault(mark.id, []).append(mark)
        else:
            self._first[mark.id] = mark
        if not self._numbers.add(number):
            self._shared.add(number)
        sheet[key] = mark
        return True

    def take_packed(self, numbers: Sequence[Span]) -> bool:
        """Takes the numbers of a sheet that comes packed; False, and none is taken, where one of them is taken already."""
        return self._numbers.add_all(numbers)

    def _known(self, mark_id: str) -> Mark | None:
        """The mark that came first under an id."""
        return self._first.get(mark_id) or self._of_packed(mark_id)

    def let_go(self, mark_id: str) -> None:
        """Notes that the mark of an id is packed."""
        self._first.pop(mark_id, None)

    def named(self, mark_id: str) -> Sequence[Mark]:
        """The marks of an id, the first to come first."""
        first = self._known(mark_id)
        return () if first is None else (first, *self._later.get(mark_id, ()))

    def has(self, mark: Mark) -> bool:
        """Whether another mark has this one's number or id."""
        return bool(self._shared) and (mark.id in self._shared or number_of(mark) in self._shared)

    def find(self, sheets: Iterable[Mapping[str, Mark]]) -> None:
        """Finds the doubles anew among all marks. It is seldom, so all are looked through."""
        self.found = find_doubles(mark for sheet in sheets for mark in sheet.values() if self.has(mark))
