"""The records as they were taken over last: roster, runs, rulings, and where each lane assignment belongs."""

from app.live.places import Place
from app.rules.records.document import Run
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling


class Records:
    """What a competition has besides its marks."""

    def __init__(self) -> None:
        self._roster: Roster | None = None
        self._runs: tuple[Run, ...] = ()
        self._given: dict[tuple[str, int], Run] = {}  # the runs by heat and number
        self._rulings: tuple[Ruling, ...] = ()
        self._places: dict[str, Place] = {}

    @property
    def roster(self) -> Roster | None:
        """The roster, or None before there is a competition."""
        return self._roster

    @property
    def runs(self) -> tuple[Run, ...]:
        """All runs of all heats."""
        return self._runs

    def run_of(self, heat: str, number: int) -> Run | None:
        """A run of a heat by its number, or None if the desk has given no such GO."""
        return self._given.get((heat, number))

    @property
    def rulings(self) -> tuple[Ruling, ...]:
        """All rulings, those that were taken back too, in the order made."""
        return self._rulings

    def place_of(self, assignment_id: str) -> Place | None:
        """The heat and event of an assignment, or None if there is no such assignment."""
        return self._places.get(assignment_id)
