"""The clock that a sheet's marks are read by: the holds of its run, what the head judge moved a clock started by hand by; and
with it what else was decided on them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from app.rules.records.document import Run
from app.rules.records.holding import Hold, heat_time
from app.rules.records.in_force import in_force, signed_off
from app.rules.records.marks import Mark, at_another, sheet_key
from app.rules.records.numbers import NO_DOUBLES, Counting, Doubles, counting_of, counts
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.records.signed import Held


@dataclass(frozen=True, slots=True)
class SheetClock:
    """holds: of the sheet's run. shift_ms: marks made by a clock that was started by hand are later by so much. ruled: rulings on
    its lifts and repetitions. held: the marks that there were when its event was signed off, None while it is open. counting: of
    numbers that were used twice, which mark counts. given: the desk has given its run a GO."""

    holds: tuple[Hold, ...] = ()
    shift_ms: int = 0
    ruled: tuple[Ruling, ...] = ()
    held: Held | None = None
    counting: Counting = field(default_factory=lambda: NO_DOUBLES)
    given: bool = True

    def within(self, marks: Iterable[Mark]) -> Iterable[Mark]:
        """The marks that count for this sheet: of one number one, and after a sign-off only those that it holds."""
        if self.counting:
            marks = [mark for mark in marks if counts(self.counting, mark)]
        held = self.held
        return marks if held is None else [mark for mark in marks if held.holds(mark)]


PLAIN = SheetClock()


class SheetClocks:
    """The clocks of all sheets of a competition, among whose marks are these doubles."""

    def __init__(self, roster: Roster, runs: Sequence[Run], rulings: Sequence[Ruling], doubles: Sequence[Doubles] = ()) -> None:
        self._heats = {lane.id: heat for heat in roster.heats for lane in heat.lanes}
        self._holds = {(run.heat, run.number): run.holds for run in runs}
        hold = {event.id: in_force(rulings, event.id) for event in roster.events}
        self._in_force = {event: _by_assignment(those) for event, those in hold.items()}
        self._counting = {event: counting_of(doubles, those, event) for event, those in hold.items()}
        signed = {event.id: signed_off(rulings, event.id) for event in roster.events}
        self._held = {event: Held.of(by) for event, by in signed.items() if by is not None}

    def of(self, sheet: str, owner: str = "") -> SheetClock:
        """The clock of a sheet by its key. A run that the desk never gave was never held; only the lane judge's is shifted.

        `owner` is the assignment for which the sheet counts, if that is not its own: it is that one's work that is ruled on.
        """
        key = sheet_key(sheet)
        heat = self._heats.get(key.assignment)
        if heat is None:
            return PLAIN
        rulings = self._in_force[heat.event]
        shift = standing_shift(key.assignment, key.run, rulings.get(key.assignment, ())) if key.kind == "lane" else None
        holds = self._holds.get((heat.id, key.run), ())
        ruled = tuple(ruling for ruling in rulings.get(owner or key.assignment, ()) if _is_on(ruling, key.run))
        held, counting = self._held.get(heat.event), self._counting[heat.event]
        given = (heat.id, key.run) in self._holds
        return SheetClock(holds, int(shift.body["ms"]) if shift else 0, ruled, held, counting, given)

    def is_signed(self, event: str) -> bool:
        """Whether an event is signed off."""
        return event in self._held

    def counts(self, mark: Mark) -> bool:
        """Whether a mark is among those that its sheet is folded from."""
        return bool(list(self.of(mark.sheet).within([mark])))


def _by_assignment(rulings: Iterable[Ruling]) -> dict[str, list[Ruling]]:
    found: dict[str, list[Ruling]] = {}
    for ruling in rulings:
        if ruling.assignment is not None:
            found.setdefault(ruling.assignment, []).append(ruling)
    return found


def _is_on(ruling: Ruling, run: int) -> bool:
    """Whether a ruling is on the marks of a sheet of this run; a lift, or a mark that is let count, is named."""
    return ruling.kind in ("lift", "admit") or (ruling.kind == "reps" and ruling.body["run"] == run)


def standing_shift(assignment: str, run: int, rulings: Sequence[Ruling]) -> Ruling | None:
    """The ruling that moves the lane judge's clock in one run: the newest, one by nothing included. None if there is none."""
    about = [r for r in rulings if r.kind == "shift" and r.assignment == assignment and r.body["run"] == run]
    return max(about, key=lambda ruling: (ruling.made_wall_ms, ruling.id), default=None)


def retimed(marks: Mapping[str, Mark], clock: SheetClock) -> tuple[dict[str, Mark], dict[str, int]]:
    """The marks, by id, at their moments on the true heat clock; and how far into a hold each was made that was made in one."""
    placed: dict[str, Mark] = {}
    into: dict[str, int] = {}
    for mark in marks.values():
        placed[mark.id], into_ms = on_heat_clock(mark, clock)
        if into_ms:
            into[mark.id] = into_ms
    return placed, into


def on_heat_clock(mark: Mark, clock: SheetClock) -> tuple[Mark, int]:
    """A mark at its moment on the true heat clock, and how far into a hold it was made, 0 where it was made in none.

    A mark says how long its tablet's clock had stood by then (`held`), and whether it was started by hand (`hand`): so a tablet
    that was offline when the heat was held is set right without being asked. In a hold, the moment is the one at which the clock
    stands.
    """
    stood = int(mark.body.get("held", 0))
    shift = clock.shift_ms if clock.shift_ms and mark.body.get("hand") else 0
    if not clock.holds and not stood and not shift:
        return mark, 0
    now = heat_time(mark.at + shift + stood, clock.holds)
    if now.ms == mark.at:
        return mark, now.into_ms
    # A shift moves all marks of a life that was started by hand alike; a hold that the tablet did not know of does not.
    return (replace(mark, at=now.ms) if now.ms == mark.at + shift else at_another(mark, now.ms)), now.into_ms
