"""The desk's view of the day: which heat is at hand, how every heat stands, what may be done next."""

from app.floor.attention import needs
from app.floor.carried import carried_view
from app.floor.gear_check import unchecked_text
from app.floor.run_again import undeclared_text
from app.hall.entered_words import asked_of_heat
from app.hall.hall import Hall
from app.hall.heats import clock_json, event_of, holds_json, in_day_order, newest_runs, state_of, state_words, still_in
from app.hall.lane_rows import lane_row
from app.hall.organising import in_the_hall
from app.hall.views import Asks, Day, HeatAtHand, HeatLine, Move
from app.live.servertime import go_on_this_timeline
from app.rules.count.clock import gone_to
from app.rules.records.document import Run
from app.rules.records.holding import heat_time
from app.rules.records.moves import MOVES, ON_THE_FLOOR, HeatMove, HeatState
from app.rules.records.roster import Event, Heat, Roster
from app.rules.values.clock_times import clock_text, span_text

ON_TIME_MIN = 2  # minutes either way that nobody calls late

# The button, what it will do, and how it is pressed: at once, with a countdown, or with a reason.
MOVES_SAID: dict[HeatMove, tuple[str, str, Asks]] = {
    HeatMove.GO: (
        "GO",
        "Counts down on every lane, then starts the clocks. Start offline tablets by hand on the whistle.",
        "countdown",
    ),
    HeatMove.HOLD: (
        "Hold",
        "The clock stops on every lane until you resume. Marks made during the hold do not count; a lift begun before it "
        "may, by the event's rule.",
        "nothing",
    ),
    HeatMove.GO_ON: ("Resume", "Counts down on every lane, then all clocks continue from where they stopped.", "countdown"),
    HeatMove.ABORT: ("Abort", "Stops the clocks on every lane. The marks are kept, but this run no longer counts.", "reason"),
    HeatMove.RESTART: (
        "Restart",
        "Stops this run and counts down to a new one. All lanes start again at zero; the old marks are kept.",
        "reason",
    ),
    HeatMove.CLOSE: ("Close early", "Ends the heat now, before its last bell. All marks made so far count.", "reason"),
}


def day(hall: Hall, wanted: str = "") -> Day | None:
    """The desk's page; `wanted` is the heat to have at hand. None before there is a competition."""
    roster = hall.projection.roster
    if roster is None:
        return None
    runs = newest_runs(hall.projection.runs)
    states = {heat.id: state_of(hall, roster, heat, runs.get(heat.id)) for heat in roster.heats}
    order = in_day_order(roster)
    at_hand = heat_at_hand(order, states, wanted)
    following = next((heat for heat in order if states[heat.id] is HeatState.PLANNED and heat is not at_hand), None)
    return Day(
        competition=roster.competition.name,
        day=roster.competition.day,
        place=roster.competition.place,
        heats=tuple(_line(hall, roster, heat, states[heat.id], runs.get(heat.id), heat is at_hand) for heat in order),
        heat=_at_hand(hall, roster, at_hand, states[at_hand.id], runs.get(at_hand.id)) if at_hand else None,
        next_heat=following.id if following else "",
        needs=needs(hall, roster, states, at_hand.id if at_hand else None),
        boot=hall.time.boot,
    )


def heat_at_hand(order: list[Heat], states: dict[str, HeatState], wanted: str) -> Heat | None:
    """The heat asked for; else the one on the floor, else the first not yet run, else the last."""
    asked = next((heat for heat in order if heat.id == wanted), None)
    floor = next((heat for heat in order if states[heat.id] in ON_THE_FLOOR), None)
    waiting = next((heat for heat in order if states[heat.id] is not HeatState.OVER), None)
    return asked or floor or waiting or (order[-1] if order else None)


def _line(hall: Hall, roster: Roster, heat: Heat, state: HeatState, run: Run | None, at_hand: bool) -> HeatLine:
    return HeatLine(
        id=heat.id,
        event=event_of(roster, heat).name,
        number=heat.number,
        planned=heat.planned,
        state=state_words(state),
        late=lateness(roster, heat.planned, run.go_wall_ms if run else hall.time.wall_ms(), run is not None),
        at_hand=at_hand,
    )


def lateness(roster: Roster, planned: str, wall_ms: int, started: bool) -> str:
    """How a GO (or, before one, now) at `wall_ms` stands against the plan, by the hall's clocks."""
    moment, day = in_the_hall(roster, wall_ms), roster.competition.day
    if not planned or (day and day != moment.date().isoformat()):
        return ""
    late = moment.hour * 60 + moment.minute - int(planned[:2]) * 60 - int(planned[3:])
    if late > ON_TIME_MIN:
        return f"{span_text(late)} late"
    return f"{span_text(-late)} early" if started and late < -ON_TIME_MIN else ""


def _at_hand(hall: Hall, roster: Roster, heat: Heat, state: HeatState, run: Run | None) -> HeatAtHand:
    event = event_of(roster, heat)
    go_ms = go_on_this_timeline(run, hall.time) if run and state is not HeatState.STOPPED else None
    heat_ms = None if run is None or go_ms is None else _gone_to(hall, heat, run, go_ms)
    lanes = sorted(heat.lanes, key=lambda lane: lane.lane)
    given = run.number if run else 0
    return HeatAtHand(
        id=heat.id,
        title=f"{event.name}, heat {heat.number}",
        state=state_words(state),
        state_name=state.value,
        go_ms=go_ms if state in ON_THE_FLOOR else None,
        holds=holds_json(run),
        length_ms=event.format.length_ms,
        length=clock_text(event.format.length_ms),
        run=given,
        clock=clock_json(event.format),
        lanes=tuple(lane_row(hall, roster, heat, event, lane, heat_ms) for lane in lanes),
        moves=tuple(_move(move) for move in HeatMove if move in MOVES[state]),
        asks=asks_text(roster, heat, event),
        unchecked=unchecked_text(hall, heat) if HeatMove.GO in MOVES[state] else "",
        unfit=asked_of_heat(roster, event, heat) if HeatMove.GO in MOVES[state] else "",
        undeclared=_undeclared(hall, event, heat, state, given, heat_ms),
        carried=carried_view(hall, run) if state in ON_THE_FLOOR else None,
    )


def _undeclared(hall: Hall, event: Event, heat: Heat, state: HeatState, given: int, heat_ms: int | None) -> str:
    """What is to be said of loads that are to be declared anew; a stopped run's are those of the run to come."""
    if state is HeatState.OVER:
        return ""
    return undeclared_text(hall, still_in(hall, event, heat), given + (state is HeatState.STOPPED), heat_ms)


def asks_text(roster: Roster, heat: Heat, event: Event) -> str:
    """The question before a heat's GO, by all that it is called: `Start heat 3, Women, The Slate?`"""
    divisions = {entry.id: entry.division for entry in roster.entries}
    here = {divisions[lane.entry] for lane in heat.lanes}
    names = [division.name for division in roster.divisions if division.id in here]
    return f"Start heat {', '.join([str(heat.number), *names, event.name])}?"


def _gone_to(hall: Hall, heat: Heat, run: Run, go_ms: int) -> int:
    """How far the heat's clock has gone: which window's count stands in its lanes' rows."""
    now = heat_time(hall.time.server_ms() - go_ms, run.holds).ms
    marks = (mark for lane in heat.lanes for mark in hall.projection.sheet_marks(f"{lane.id}/{run.number}/lane"))
    return gone_to(run.state != "set", now, (mark.at for mark in marks if mark.win is not None))


def _move(move: HeatMove) -> Move:
    return Move(move.value, *MOVES_SAID[move])
