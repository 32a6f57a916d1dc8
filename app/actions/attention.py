"""What needs a person at the desk, most urgent first: stopped lanes, tablets out of reach, odd marks, gaps in the plan."""

from collections import Counter
from collections.abc import Iterator
from typing import Literal

from app.actions.hall import Hall
from app.actions.lane_rows import clock_text_ms, lane_tablet
from app.actions.views import Need, State
from app.rules.document import Assignment, Event, Heat, Roster
from app.rules.flags import WHY
from app.rules.marks import Mark
from app.rules.moves import HeatState
from app.rules.tally import Tally

NOW, SOON, LATER, SOME_TIME = 1, 2, 3, 4
MANY_MARKS = 20  # marks waiting on a tablet that is online: the network is slow or the store refuses them
FLOOR = frozenset({HeatState.SET, HeatState.RUNNING})


def needs(hall: Hall, roster: Roster, states: dict[str, HeatState], at_hand: str | None) -> tuple[Need, ...]:
    """Everything that needs a person; `states` are the heats' states by id, `at_hand` the heat at hand."""
    found = [*_machine(hall), *_plan(roster, states)]
    events = {event.id: event for event in roster.events}
    for heat in roster.heats:
        state = states[heat.id]
        if state in FLOOR or heat.id == at_hand:
            found += _tablets(hall, heat, state)
        if state is not HeatState.PLANNED:
            found += [need for lane in heat.lanes for need in _sheet(hall, events[heat.event], heat, lane, state)]
    return tuple(sorted(found, key=lambda need: need.urgency))


def _machine(hall: Hall) -> Iterator[Need]:
    if hall.database.short_of_space:
        yield _need(NOW, "look", "This computer", "The disk is full. Free space now: no mark can be stored until then.", "")
    if hall.ledger.conflicts:
        words = f"{hall.ledger.conflicts} marks came twice with different contents. The first of each was kept."
        yield _need(LATER, "look", "Ledger", words, "/desk/tablets")


def _tablets(hall: Hall, heat: Heat, state: HeatState) -> Iterator[Need]:
    urgency = NOW if state in FLOOR else SOON
    now_ms = hall.time.server_ms()
    for lane in heat.lanes:
        where = f"Lane {lane.lane}"
        seen = lane_tablet(hall, lane.lane)
        if seen is None:
            if state is not HeatState.OVER:
                yield _need(urgency, "look", where, "No tablet has been seen. Pair one, or judge on paper.", "/desk/tablets")
            continue
        report = seen.report
        held = f" It holds {report.outbox} marks that are not at the desk." if report.outbox else ""
        if not seen.online(now_ms):
            if state is not HeatState.OVER or report.outbox:
                silent = clock_text_ms(now_ms - seen.last_seen_ms)
                yield _need(
                    urgency, "look", where, f"Tablet offline for {silent}.{held} It goes on counting by itself.", "/desk/tablets"
                )
        elif report.outbox >= MANY_MARKS:
            yield _need(SOON, "kept", where, f"Tablet is online, but {report.outbox} marks wait on it.", "/desk/tablets")
        if report.clock == "hand" and state in FLOOR:
            yield _need(LATER, "look", where, "Its clock was started by hand on the whistle. Watch the marks near the bells.", "")


def _sheet(hall: Hall, event: Event, heat: Heat, lane: Assignment, state: HeatState) -> Iterator[Need]:
    sheet = hall.projection.counting_sheet(lane.id)
    if sheet is None:
        return
    tally = hall.projection.sheet_tally(sheet)
    where = f"{event.name}, heat {heat.number}, lane {lane.lane}"
    marks = {mark.id: mark for mark in hall.projection.sheet_marks(sheet)}
    for stop in tally.stops:
        yield _need(NOW, "stopped", where, f"Stopped by the judge: {_why(marks.get(stop))}", "")
    yield from _flags(tally, where)
    if state is HeatState.OVER and tally.any_marks and "judge" not in dict(tally.signed):
        yield _need(SOME_TIME, "kept", where, "The judge has not signed the sheet.", "")


def _flags(tally: Tally, where: str) -> Iterator[Need]:
    for why, count in Counter(flag.why for flag in tally.flags).items():
        marks = "1 mark" if count == 1 else f"{count} marks"
        yield _need(LATER, "look", where, f"{marks}: {WHY[why]}", "")


def _why(mark: Mark | None) -> str:
    return str(mark.body["why"]) if mark else "no reason given"


def _plan(roster: Roster, states: dict[str, HeatState]) -> Iterator[Need]:
    for event in roster.events:
        heats = [heat for heat in roster.heats if heat.event == event.id]
        placed = {lane.entry for heat in heats for lane in heat.lanes}
        waiting = [entry for entry in roster.entries if entry.id not in placed]
        if heats and waiting:
            words = "1 entry stands" if len(waiting) == 1 else f"{len(waiting)} entries stand"
            yield _need(SOME_TIME, "look", event.name, f"{words} in no heat yet.", f"/desk/heats?event={event.id}")
        short = [entry for entry in roster.entries if entry.id in placed and len(entry.members) != event.format.members]
        for entry in short:
            words = f"Has {len(entry.members)} members; the event is for {event.format.members}."
            yield _need(SOON, "look", entry.name, words, f"/desk/entries/{entry.id}")
    for heat in roster.heats:
        if not heat.lanes and states[heat.id] is HeatState.PLANNED:
            yield _need(SOME_TIME, "look", f"Heat {heat.number}", "Nobody stands on its lanes.", f"/desk/heats/{heat.id}/lanes")


def _need(urgency: int, shape: Literal["look", "stopped", "kept"], where: str, sentence: str, link: str) -> Need:
    words = {"look": "Look", "stopped": "Stopped", "kept": "Waiting"}[shape]
    return Need(urgency, State(shape, words), where, sentence, link)
