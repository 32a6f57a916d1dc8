"""Who is on the floor, as the public board shows it: the heat, its windows for the clock, each lane's counts and total."""

import json
from dataclasses import dataclass
from fractions import Fraction

from app.actions.hall import Hall
from app.live.servertime import go_on_this_timeline
from app.rules.document import Assignment, Event, Heat, Roster, Run
from app.rules.formats import Format, Window
from app.rules.scoring import Score, clock_text, score
from app.rules.tally import Tally, WindowTally
from app.rules.units import decimal_text

FEW_LINES = 7  # up to so many lines of larger type fit the height of a wall


def list_size(lines: int) -> str:
    """How much room a list of so many lines has on a wall: `few` may be larger."""
    return "few" if lines <= FEW_LINES else "many"


@dataclass(frozen=True, slots=True)
class MemberView:
    """A member of an entry, numbered as windows name them."""

    number: int
    name: str


@dataclass(frozen=True, slots=True)
class LaneView:
    """A lane of the heat on the floor. `counts` is JSON: what each window of the event holds so far, as text."""

    id: str
    lane: int
    entry: str
    division: str
    members: tuple[MemberView, ...]
    score: str
    counts: str
    stopped: bool


@dataclass(frozen=True, slots=True)
class FloorView:
    """The heat that was last given a GO. `windows` is JSON for the heat clock; `go_server_ms` is on the present timeline."""

    heat: str
    event: str
    number: int
    state: str
    go_server_ms: int
    holds: str
    length_ms: int
    members: int
    unit: str
    size: str
    windows: str
    lanes: tuple[LaneView, ...]


def floor_view(hall: Hall, roster: Roster, heat: Heat, run: Run) -> FloorView:
    event = next(event for event in roster.events if event.id == heat.event)
    return FloorView(
        heat=heat.id,
        event=event.name,
        number=heat.number,
        state=run.state,
        go_server_ms=go_on_this_timeline(run, hall.time),
        holds=json.dumps([hold.model_dump() for hold in run.holds]),
        length_ms=event.format.length_ms,
        members=event.format.members,
        unit="" if event.format.scores[0].unit == "s" else event.format.scores[0].unit,
        size=list_size(len(heat.lanes)),
        windows=json.dumps([_window(event.format, window) for window in event.format.windows], ensure_ascii=False),
        lanes=tuple(_lane(hall, roster, event, run, lane) for lane in sorted(heat.lanes, key=lambda lane: lane.lane)),
    )


def _window(format: Format, window: Window) -> dict[str, object]:
    """A window as the board's clock needs it: the shape of the rule book's own, and what to call its work."""
    task = None if window.task is None else format.tasks[window.task]
    work = "Work list" if task is None or task.kind == "list" else format.movements[task.movement].name
    says = "Rest" if task is None else work
    who = list(window.who) if isinstance(window.who, tuple) else window.who
    return {"start": window.start, "seconds": window.seconds, "task": window.task, "who": who, "says": says}


def _lane(hall: Hall, roster: Roster, event: Event, run: Run, lane: Assignment) -> LaneView:
    entry = next(entry for entry in roster.entries if entry.id == lane.entry)
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    tally = hall.projection.sheet_tally(f"{lane.id}/{run.number}/lane")
    rule = event.format.scores[0]
    made = score(event.format, rule, tally)
    return LaneView(
        id=f"lane-{lane.id}",
        lane=lane.lane,
        entry=entry.name,
        division=next(division.name for division in roster.divisions if division.id == entry.division),
        members=tuple(MemberView(n, names[member]) for n, member in enumerate(entry.members, start=1)),
        score=lane_score(made),
        counts=json.dumps(_counts(event.format, tally), ensure_ascii=False),
        stopped=bool(tally.stops),
    )


def lane_score(made: Score) -> str:
    """A running lane's total: work left reads as such before the cap, for nobody has been capped yet."""
    return f"{made.left} left" if made.left is not None else made.text


def _counts(format: Format, tally: Tally) -> list[str]:
    return [window_text(format, window) for window in tally.windows]


def window_text(format: Format, window: WindowTally) -> str:
    """What one window holds so far, short: a count, `13 left`, a finish, the best lift, a measure."""
    task_key = format.windows[window.index].task
    if task_key is None:
        return ""
    task = format.tasks[task_key]
    if task.kind == "lift":
        return window.best.load.text() if window.best else "no lift yet"
    if task.kind == "measure":
        return "" if window.measure is None else f"{decimal_text(window.measure, 3)} {task.unit}"
    if window.finish_ms is not None:
        return clock_text(Fraction(window.finish_ms, 1000))
    if window.left is not None:
        return f"{window.left} left"
    return str(window.credited)
