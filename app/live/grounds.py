"""What the desk knows of a sheet before any mark on it: found once, and kept until roster, runs or rulings change."""

from collections.abc import Callable
from dataclasses import dataclass

from app.live.places import Place
from app.rules.count.beyond import most_marks
from app.rules.records.document import Run
from app.rules.records.marks import SheetKey, sheet_key

MOST_KEPT = 5_000  # sheets; a whole day has fewer, but whoever makes them up has no end


@dataclass(frozen=True, slots=True)
class Ground:
    """Where a sheet belongs, which run it is of if the desk has given it, whether its event is signed off, how long the event is
    in ms, and how many marks a seat makes on it at most."""

    key: SheetKey
    place: Place
    run: Run | None
    signed: bool
    length_ms: int
    most: int


class Grounds:
    """The grounds of sheets, by key; `place_of`, `run_of` and `is_signed` say what they rest on."""

    def __init__(
        self,
        place_of: Callable[[str], Place | None],
        run_of: Callable[[str, int], Run | None],
        is_signed: Callable[[str], bool],
    ) -> None:
        self._place_of, self._run_of, self._is_signed = place_of, run_of, is_signed
        self._kept: dict[str, Ground] = {}

    def of(self, sheet: str) -> Ground | None:
        """The ground of a sheet; None if it is of no assignment that there is. Raises BadMark for what is no sheet's key."""
        found = self._kept.get(sheet)
        if found is not None:
            return found
        key = sheet_key(sheet)
        place = self._place_of(key.assignment)
        if place is None:
            return None
        if len(self._kept) >= MOST_KEPT:
            self._kept.clear()
        run, signed = self._run_of(place.heat.id, key.run), self._is_signed(place.event.id)
        found = self._kept[sheet] = Ground(key, place, run, signed, place.format.length_ms, most_marks(place.format))
        return found

    def clear(self) -> None:
        """Forgets all: something that they rest on has changed."""
        self._kept.clear()
