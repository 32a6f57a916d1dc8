"""The clock that a sheet's marks are read by: the holds of its run, and what the head judge moved a clock started by hand by."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.rules.document import Run
from app.rules.holding import Hold, heat_time
from app.rules.marks import Mark, sheet_key
from app.rules.roster import Roster
from app.rules.rulings import Ruling


@dataclass(frozen=True, slots=True)
class SheetClock:
    """holds: of the sheet's run. shift_ms: marks made by a clock that was started by hand are later by so much."""

    holds: tuple[Hold, ...] = ()
    shift_ms: int = 0


PLAIN = SheetClock()


class SheetClocks:
    """The clocks of all sheets of a competition."""

    def __init__(self, roster: Roster, runs: Sequence[Run], rulings: Sequence[Ruling]) -> None:
        self._heats = {lane.id: heat.id for heat in roster.heats for lane in heat.lanes}
        self._holds = {(run.heat, run.number): run.holds for run in runs}
        self._shifts = [ruling for ruling in rulings if ruling.kind == "shift"]

    def of(self, sheet: str) -> SheetClock:
        """The clock of a sheet by its key. A run that the desk never gave was never held; only the lane judge's is shifted."""
        key = sheet_key(sheet)
        shift = standing_shift(key.assignment, key.run, self._shifts) if key.kind == "lane" else None
        holds = self._holds.get((self._heats.get(key.assignment, ""), key.run), ())
        return SheetClock(holds, int(shift.body["ms"]) if shift else 0)


def standing_shift(assignment: str, run: int, rulings: Sequence[Ruling]) -> Ruling | None:
    """The ruling that moves the lane judge's clock in one run: the newest, one by nothing included. None if there is none."""
    about = [r for r in rulings if r.kind == "shift" and r.assignment == assignment and r.body["run"] == run]
    return max(about, key=lambda ruling: (ruling.made_wall_ms, ruling.id), default=None)


def retimed(marks: dict[str, Mark], clock: SheetClock) -> tuple[dict[str, Mark], dict[str, int]]:
    """The marks, by id, at their moments on the true heat clock; and how far into a hold each mark was made that was made in one.

    A mark says how long its tablet's clock had stood by then (`held`), and whether it was started by hand (`hand`): so a tablet
    that was offline when the heat was held is set right without being asked. In a hold, the moment is the one at which the clock
    stands.
    """
    if clock == PLAIN and not any("held" in mark.body for mark in marks.values()):
        return marks, {}
    placed: dict[str, Mark] = {}
    into: dict[str, int] = {}
    for mark in marks.values():
        shift = clock.shift_ms if mark.body.get("hand") else 0
        now = heat_time(mark.at + shift + int(mark.body.get("held", 0)), clock.holds)
        if now.into_ms:
            into[mark.id] = now.into_ms
        placed[mark.id] = mark if now.ms == mark.at else replace(mark, at=now.ms)
    return placed, into
