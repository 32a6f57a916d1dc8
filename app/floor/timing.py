"""Timing: a heat's GO a few seconds ahead, hold, go on, abort, restart, close.

What is legal stands in rules/records/moves.py; it is done here.

The move is checked inside the write, against what is stored then: two desks that press GO together make one run.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sqlmodel import Session

from app.floor.lane_packet import run_plain
from app.hall.changing import change, look_again
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.heats import newest_runs
from app.hall.markings import unsaid_wall
from app.hall.told import told_now
from app.live.servertime import go_on_this_timeline
from app.rules.count.stops import medical_stop
from app.rules.records.document import Run
from app.rules.records.holding import MOST_HOLDS, HeatTime, Hold, heat_time
from app.rules.records.in_force import signed_off
from app.rules.records.moves import ON_THE_FLOOR, HeatMove, HeatState, IllegalMove, check_move, heat_state
from app.rules.records.roster import Event, Heat, Roster
from app.store.kinds import RULINGS, RUNS
from app.store.refusals import NotThere
from app.store.roster import read_roster

LEAD_S = 8  # seconds from the press to GO: time to look up, and for the slowest tablet to hear of it
LEAST_LEAD_S = 3
MOST_LEAD_S = 60


@dataclass(frozen=True, slots=True)
class _Found:
    """A heat as the store has it at the moment of a move."""

    roster: Roster
    heat: Heat
    event: Event
    run: Run | None
    state: HeatState

    @property
    def given(self) -> Run:
        """The run, for moves that are legal only where there is one."""
        assert self.run is not None
        return self.run


async def go(hall: Hall, heat_id: str, typed: Typed) -> Run:
    """Gives a heat its GO, `lead` seconds ahead. Raises IllegalMove, BadForm, NotThere."""
    lead_ms = _lead_ms(typed)

    def work(session: Session) -> list[Run]:
        found = _find(hall, session, heat_id)
        check_move(found.state, HeatMove.GO)
        _check_open(session, found)
        _check_medical(session, found)
        _check_floor(hall, session, found)
        _check_markings(found)
        return [_start(hall, session, found, lead_ms)]

    return (await _moved(hall, work))[-1]


async def restart(hall: Hall, heat_id: str, typed: Typed) -> Run:
    """Stops the run under way or past, and gives a new one its GO. The old run's marks are kept and no longer count."""
    lead_ms = _lead_ms(typed)
    why = _reason(typed, "Restarted")

    def work(session: Session) -> list[Run]:
        found = _find(hall, session, heat_id)
        check_move(found.state, HeatMove.RESTART)
        _check_open(session, found)
        _check_medical(session, found)
        _check_floor(hall, session, found)
        _check_markings(found)
        return [_end(session, found, "stopped", why), _start(hall, session, found, lead_ms)]

    return (await _moved(hall, work))[-1]


async def abort(hall: Hall, heat_id: str, typed: Typed) -> Run:
    """Stops a heat, for a reason. Its marks are kept; its run no longer counts."""
    return await _ended(hall, heat_id, HeatMove.ABORT, "stopped", _reason(typed, "Aborted"))


async def hold(hall: Hall, heat_id: str, typed: Typed) -> Run:
    """Lets a heat's clock stand, from this moment on, for all its lanes. One that was counting down to going on stands on."""

    def work(session: Session) -> list[Run]:
        found = _find(hall, session, heat_id)
        check_move(found.state, HeatMove.HOLD)
        now = _heat_time(hall, found.given)
        earlier = found.given.holds[:-1] if now.standing else found.given.holds
        return [_put_holds(session, found.given, (*earlier, Hold(at_ms=now.ms)))]

    return (await _moved(hall, work))[-1]


async def go_on(hall: Hall, heat_id: str, typed: Typed) -> Run:
    """Lets a held heat's clock go on, `lead` seconds ahead, from where it stands."""
    lead_ms = _lead_ms(typed)

    def work(session: Session) -> list[Run]:
        found = _find(hall, session, heat_id)
        check_move(found.state, HeatMove.GO_ON)
        _check_medical(session, found)
        now, holds = _heat_time(hall, found.given), found.given.holds
        return [_put_holds(session, found.given, (*holds[:-1], Hold(at_ms=now.ms, for_ms=now.into_ms + lead_ms)))]

    return (await _moved(hall, work))[-1]


async def close(hall: Hall, heat_id: str, typed: Typed) -> Run:
    """Ends a running heat before its last bell. Its marks count."""
    return await _ended(hall, heat_id, HeatMove.CLOSE, "closed", _reason(typed, "Closed early"))


async def _ended(hall: Hall, heat_id: str, move: HeatMove, state: str, why: str) -> Run:
    def work(session: Session) -> list[Run]:
        found = _find(hall, session, heat_id)
        check_move(found.state, move)
        return [_end(session, found, state, why)]

    return (await _moved(hall, work))[-1]


def _lead_ms(typed: Typed) -> int:
    read = Reading(typed)
    seconds = read.whole("lead", "The countdown in seconds", LEAST_LEAD_S, MOST_LEAD_S, LEAD_S)
    read.done()
    return (seconds or LEAD_S) * 1000


def _reason(typed: Typed, empty: str) -> str:
    read = Reading(typed)
    why = read.optional("why", "The reason", 300)
    read.done()
    return why or empty


def _find(hall: Hall, session: Session, heat_id: str) -> _Found:
    roster = read_roster(session)
    heat = next((heat for heat in roster.heats if heat.id == heat_id), None) if roster else None
    if roster is None or heat is None:
        raise NotThere("There is no such heat. It may have been deleted in the meantime.")
    event = next(event for event in roster.events if event.id == heat.event)
    run = max((run for run in RUNS.all(session) if run.heat == heat.id), key=lambda run: run.number, default=None)
    return _Found(roster, heat, event, run, _state(hall, event, run))


def _state(hall: Hall, event: Event, run: Run | None) -> HeatState:
    go_ms = go_on_this_timeline(run, hall.time) if run else None
    return heat_state(run, event.format.length_ms, hall.time.server_ms(), go_ms)


def _check_floor(hall: Hall, session: Session, found: _Found) -> None:
    """A heat needs somebody on its lanes, and its lanes to itself: a tablet can't count for two heats at once."""
    if not found.heat.lanes:
        raise IllegalMove("Nobody is on the lanes of this heat. Put entries on them first.")
    lanes = {lane.lane for lane in found.heat.lanes}
    newest = {run.heat: run for run in sorted(RUNS.all(session), key=lambda run: run.number)}
    events = {event.id: event for event in found.roster.events}
    for other in found.roster.heats:
        if other.id == found.heat.id or not lanes & {lane.lane for lane in other.lanes}:
            continue
        if _state(hall, events[other.event], newest.get(other.id)) in ON_THE_FLOOR:
            name = f"{events[other.event].name}, heat {other.number},"
            raise IllegalMove(f"{name} is on the floor on the same lanes. Wait for its last bell, or close or abort it first.")


def _check_markings(found: _Found) -> None:
    """What is done at a wall line needs the line: nobody can judge by one that has no height."""
    missing = unsaid_wall(found.roster, found.event)
    if missing:
        raise IllegalMove(f"{missing} Then press GO.")


def _check_open(session: Session, found: _Found) -> None:
    """A signed event lets no new run in."""
    if signed_off(RULINGS.all(session), found.event.id) is not None:
        raise IllegalMove(f"{found.event.name} is signed off. The head judge has to reopen it first, under Review.")


def _check_medical(session: Session, found: _Found) -> None:
    """Nobody who was stopped for a medical reason starts again before the medic says so, in whatever heat."""
    rulings = RULINGS.all(session)
    standing_here = {lane.entry: lane.lane for lane in found.heat.lanes}
    for heat in found.roster.heats:
        for lane in heat.lanes:
            if lane.entry in standing_here and medical_stop(rulings, lane, heat.event) is not None:
                number = standing_here[lane.entry]
                raise IllegalMove(f"Lane {number} is under a medical stop. Only a medic can clear it: name the medic there.")


def _start(hall: Hall, session: Session, found: _Found, lead_ms: int) -> Run:
    run = Run(
        heat=found.heat.id,
        number=found.run.number + 1 if found.run else 1,
        go_server_ms=hall.time.server_ms() + lead_ms,
        go_wall_ms=hall.time.wall_ms() + lead_ms,
        boot=hall.time.boot,
    )
    RUNS.put(session, run)
    return run


def _heat_time(hall: Hall, run: Run) -> HeatTime:
    return heat_time(hall.time.server_ms() - go_on_this_timeline(run, hall.time), run.holds)


def _put_holds(session: Session, given: Run, holds: tuple[Hold, ...]) -> Run:
    if len(holds) > MOST_HOLDS:
        raise IllegalMove(f"A heat can be held at most {MOST_HOLDS} times. Abort or restart it.")
    run = given.model_copy(update={"holds": holds})
    RUNS.put(session, run)
    return run


def _end(session: Session, found: _Found, state: str, why: str) -> Run:
    run = Run.model_validate({**found.given.model_dump(), "state": state, "why": why})
    RUNS.put(session, run)
    return run


async def _moved(hall: Hall, work: Callable[[Session], list[Run]]) -> list[Run]:
    """Stores a move, then tells the heat's lanes, the board and the desk."""
    runs = await change(hall, work)
    tell_runs(hall, runs)
    look_again(hall)
    return runs


def tell_runs(hall: Hall, runs: Iterable[Run]) -> None:
    """Tells the lanes that are connected to this process how the heats of these runs stand: each one's newest run, as it is."""
    roster, newest = hall.projection.roster, newest_runs(hall.projection.runs)
    touched = {run.heat for run in runs} & newest.keys()
    for heat in roster.heats if roster else ():
        if heat.id in touched:
            message = {"type": "run", "heat": heat.id, "told": told_now(hall), **run_plain(hall, newest[heat.id])}
            for lane in heat.lanes:
                hall.hub.tell_here(f"lane:{lane.lane}", message)
