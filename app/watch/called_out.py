"""Who the hall's voice names: those on the lanes of a heat, and whoever lifts next, by the way that their names are said."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import bar_lane, heat_ms, lane_tally
from app.rules.count.lift_order import BarLane, Waiting, called_lift, called_next
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.tally import Tally, WindowTally
from app.rules.records.document import Run
from app.rules.records.marks import Mark, body_load
from app.rules.records.roster import Assignment, Athlete, Entry, Event, Heat, Roster
from app.rules.workout.formats import Format, LiftTask
from app.watch.board_lifts import is_lift


@dataclass(frozen=True, slots=True)
class CalledLane:
    """Who stands on a lane, as it is said."""

    lane: int
    name: str


@dataclass(frozen=True, slots=True)
class CalledLift:
    """A lift that comes: the mark that declared it, the lane, the lifter as it is said, the load, and from when on the heat clock
    (ms) it is the next one of its bar."""

    key: str
    lane: int
    name: str
    amount: str
    unit: str
    at: int


def lineup(roster: Roster, heat: Heat) -> tuple[CalledLane, ...]:
    """Who stands on the lanes of a heat, by lane."""
    people, entries = _people(roster), {entry.id: entry for entry in roster.entries}
    lanes = sorted(heat.lanes, key=lambda lane: lane.lane)
    return tuple(CalledLane(lane.lane, _said(people, entries[lane.entry], None)) for lane in lanes)


def lifts(hall: Hall, roster: Roster, event: Event, heat: Heat, run: Run) -> tuple[CalledLift, ...]:
    """The lifts that come next: of lanes that share one bar the one that is called, or can be, else each lane's own. Empty where
    no bar is lifted, and where nobody can be called until another load is declared."""
    if not any(isinstance(task, LiftTask) for task in event.format.tasks.values()):
        return ()
    people, entries = _people(roster), {entry.id: entry for entry in roster.entries}
    looked = [one for lane in heat.lanes if (one := _Lane.of(hall, event, run, lane)) is not None]
    lanes = [bar_lane(hall, run, one.lane, "", one.format) for one in looked]
    order = called_next(lanes, heat_ms(hall, run))
    called = called_now(order, lanes)
    last = max((lift.at for one in looked for lift in one.lifts()), default=0)
    found = []
    for one in looked:
        if order and (called is None or one.lane.lane != called.lot):
            continue
        for window, mark in one.declared():
            own = max((lift.at for lift in window.lifts), default=0)
            begins = one.format.windows[window.index].start_ms
            at = max(mark.at, begins, last if order else own)
            load = body_load(mark.body)
            name = _said(people, entries[one.lane.entry], _member(one.format, window.index, mark))
            found.append(CalledLift(mark.id, one.lane.lane, name, load.amount, load.unit, at))
    return tuple(found)


def called_now(order: Sequence[Waiting], lanes: Sequence[BarLane]) -> Waiting | None:
    """Whoever was called and has not lifted, else the first; None while that one has to declare more first."""
    return called_lift(order, lanes) or (order[0] if order and order[0].least is None else None)


@dataclass(frozen=True, slots=True)
class _Lane:
    """A lane on the floor with what it holds."""

    lane: Assignment
    format: Format
    tally: Tally
    marks: list[Mark]

    @classmethod
    def of(cls, hall: Hall, event: Event, run: Run, lane: Assignment) -> "_Lane | None":
        place = hall.projection.place_of(lane.id)
        marks = hall.projection.sheet_marks(f"{lane.id}/{run.number}/lane")
        return None if place is None else cls(lane, place.format, lane_tally(hall, run, lane), marks)

    def lifts(self) -> Iterator[LiftTally]:
        """All tries on the lane."""
        return (lift for window in self.tally.windows for lift in window.lifts)

    def declared(self) -> Iterator[tuple[WindowTally, Mark]]:
        """The declaration that each lift window waits for: the first that was not lifted yet."""
        marks = {mark.id: mark for mark in self.marks if mark.kind == "declare"}
        for window in self.tally.windows:
            if not is_lift(self.format, self.format.windows[window.index].task):
                continue
            lifted = {lift.declared for lift in window.lifts if not lift.again}
            waits = [marks[key] for key in (window.declaration, window.waiting) if key in marks and key not in lifted]
            if waits:
                yield window, waits[0]


def _people(roster: Roster) -> dict[str, Athlete]:
    return {athlete.id: athlete for athlete in roster.athletes}


def _member(format: Format, index: int, mark: Mark) -> int | None:
    """Which member lifts, where it is known."""
    who = format.windows[index].who
    only = who[0] if isinstance(who, tuple) and len(who) == 1 else None
    return mark.body.get("member") or only


def _said(people: dict[str, Athlete], entry: Entry, member: int | None) -> str:
    """How an entry's name is said, or that of the member who lifts; an entry of one is called as that one is."""
    number = 1 if len(entry.members) == 1 else member
    if number is None or number > len(entry.members):
        return entry.name
    athlete = people[entry.members[number - 1]]
    return athlete.said_like or (entry.name if len(entry.members) == 1 else athlete.name)
