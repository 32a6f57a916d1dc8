"""The heats of the day: in which order they run, how each stands now, their clocks as pages need them, who is at their bar."""

import json
from collections.abc import Iterator

from app.hall.hall import Hall
from app.hall.lane_rows import LETTERS
from app.hall.views import Shape, State
from app.live.servertime import go_on_this_timeline
from app.rules.count.lift_order import BarLane, Waiting, bar_window, lift_order
from app.rules.count.lifting.opener_said import opener_said, refused_in
from app.rules.count.received import let_count
from app.rules.count.stops import is_out
from app.rules.count.tally import Tally
from app.rules.day.lateness import planned_minutes
from app.rules.records.document import Run
from app.rules.records.entered import entered
from app.rules.records.holding import heat_time
from app.rules.records.marks import Mark
from app.rules.records.moves import HeatState, heat_state
from app.rules.records.platforms import shares_a_bar
from app.rules.records.roster import Assignment, Entry, Event, Heat, Roster
from app.rules.values.units import Load
from app.rules.values.words import say
from app.rules.workout.formats import Format, LiftTask, Window
from app.rules.workout.movements import shown_name
from app.rules.workout.words import listed

SHAPES: dict[HeatState, Shape] = {
    HeatState.PLANNED: "none",
    HeatState.SET: "now",
    HeatState.RUNNING: "now",
    HeatState.HELD: "stopped",
    HeatState.GOING_ON: "now",
    HeatState.OVER: "safe",
    HeatState.STOPPED: "stopped",
}


def state_words(state: HeatState) -> State:
    """How a heat stands, in a word and a shape."""
    return State(SHAPES[state], say(f"heat.{state}"))


def newest_runs(runs: tuple[Run, ...]) -> dict[str, Run]:
    """The newest run of each heat that has one, stopped or not."""
    return {run.heat: run for run in sorted(runs, key=lambda run: run.number)}


def state_of(hall: Hall, roster: Roster, heat: Heat, run: Run | None) -> HeatState:
    """A heat's state now."""
    length = event_of(roster, heat).format.length_ms
    go_ms = go_on_this_timeline(run, hall.time) if run else None
    return heat_state(run, length, hall.time.server_ms(), go_ms)


def event_of(roster: Roster, heat: Heat) -> Event:
    """The event of a heat."""
    return next(event for event in roster.events if event.id == heat.event)


def has_marks(hall: Hall, event: str) -> bool:
    """Whether anything was marked under an event: changing its windows then changes what the marks count for."""
    roster = hall.projection.roster
    heats = [heat for heat in roster.heats if heat.event == event] if roster else []
    return any(hall.projection.assignment_marks(lane.id) for heat in heats for lane in heat.lanes)


def heat_title(event: Event, heat: Heat) -> str:
    """A heat by its event and number: `There and back, heat 2`."""
    return say("{event}, heat {number}", event=event.name, number=heat.number)


def planned_words(named: str, heat: Heat) -> str:
    """A heat and when it is planned, in words, for a time of day beside a countdown is taken for another one: `Heat 3, planned
    10:30`."""
    return say("{heat}, planned {time}", heat=named, time=heat.planned) if heat.planned else named


def in_day_order(roster: Roster) -> list[Heat]:
    """The heats as the day runs: by their planned times where each has one, else by event; then by number."""
    place = {event.id: number for number, event in enumerate(roster.events)}
    order = sorted(roster.heats, key=lambda heat: (place[heat.event], heat.number))
    planned = planned_minutes(order)
    return sorted(order, key=lambda heat: planned[heat.id]) if len(planned) == len(order) else order


def holds_json(run: Run | None) -> str:
    """When a run's clock stood, for a page's own clock."""
    return json.dumps([hold.model_dump() for hold in run.holds] if run else [])


def clock_json(format: Format) -> str:
    """What a page's clock and ribbon need: the windows as the rule book has them, their names, their clocks' direction."""
    windows = [
        {**window.model_dump(mode="json"), "says": says(format, window), "up": format.counts_up(index)}
        for index, window in enumerate(format.windows)
    ]
    return json.dumps({"members": format.members, "windows": windows}, ensure_ascii=False)


def says(format: Format, window: Window) -> str:
    """A window in words: `A: Skips`, `Rest`, `Together: Work list`; of work that members share as they like, the work alone."""
    if window.task is None:
        return say("rest")
    task = format.tasks[window.task]
    work = say("Work list") if task.kind == "list" else shown_name(format.movements[task.movement].name)
    return work if format.members == 1 or window.who == "any" else f"{who_words(window)}: {work}"


def who_words(window: Window) -> str:
    """Who works in a window that names them: `A`, `A and B`, `Together`."""
    if isinstance(window.who, tuple):
        return listed([LETTERS[member - 1] for member in window.who])
    return say("Together")


def unplaced(roster: Roster, event: str) -> list[Entry]:
    """The entries that an event is for, that stand in no heat of it and have not withdrawn, by division and in their order."""
    return [entry for one in roster.events if one.id == event for entry in entered(roster, one).missing]


def heat_ms(hall: Hall, run: Run) -> int:
    """A heat's clock now: ms since GO, holds left out."""
    return heat_time(hall.time.server_ms() - go_on_this_timeline(run, hall.time), run.holds).ms


def lane_tally(hall: Hall, run: Run, lane: Assignment) -> Tally:
    """What a lane holds in a run: what counts, several counters joined; of a stopped run, what its judge had counted."""
    counting = None if run.state == "stopped" else hall.projection.counting_tally(lane.id)
    return hall.projection.sheet_tally(f"{lane.id}/{run.number}/lane") if counting is None else counting


def lane_marks(hall: Hall, run: Run, lane: Assignment) -> list[Mark]:
    """The marks on the lane judge's sheet of a run."""
    return hall.projection.sheet_marks(f"{lane.id}/{run.number}/lane")


def bar_lane(hall: Hall, run: Run, lane: Assignment, name: str, format: Format) -> BarLane:
    """A lane whose bar is shared, with what it holds in a run."""
    admitted = let_count(hall.projection.sheet_clock(f"{lane.id}/{run.number}/lane"))
    marks = lane_marks(hall, run, lane)
    place = hall.projection.place_of(lane.id)
    out = place is not None and is_out(hall.projection.standing_rulings, lane, place.event.id)
    return BarLane(lane.lane, name, format, lane_tally(hall, run, lane), marks, admitted, out)


def bar_lanes(hall: Hall, roster: Roster, event: Event, run: Run, heat: Heat) -> Iterator[BarLane]:
    """The lanes of a heat that share a bar, with what each holds."""
    names = {entry.id: entry.name for entry in roster.entries}
    for lane in heat.lanes:
        place = hall.projection.place_of(lane.id)
        format = place.format if place else event.format
        if shares_a_bar(format):
            yield bar_lane(hall, run, lane, names[lane.entry], format)


def still_in(hall: Hall, event: Event, heat: Heat) -> Heat:
    """A heat without the lanes whose lifters are out of its event."""
    lanes = (lane for lane in heat.lanes if not is_out(hall.projection.standing_rulings, lane, event.id))
    return heat.model_copy(update={"lanes": tuple(lanes)})


def by_openers(hall: Hall, roster: Roster, event: Event, heat: Heat) -> tuple[Waiting, ...]:
    """Those of a heat that share a bar, as they will be called before its GO is given: by what is declared for its next run, else
    by what they began with in one that was stopped, else by the openers that they have said."""
    window = bar_window(event.format, None)
    key = event.format.windows[window].task if window is not None else None
    task = event.format.tasks.get(key or "")
    if not isinstance(task, LiftTask):
        return ()
    names = {entry.id: entry.name for entry in roster.entries}
    said = {one.entry: one.load for one in roster.openers if (one.event, one.task) == (event.id, key)}
    run = newest_runs(hall.projection.runs).get(heat.id)
    number = run.number + 1 if run is not None else 1
    at = window or 0
    loads = {
        lane: _declared(hall, lane, number, at) or opener_before(hall, lane, number, at) or said.get(lane.entry)
        for lane in heat.lanes
    }
    waiting = (
        Waiting(lane.lane, names[lane.entry], load, declared=f"{lane.id}-opener")
        for lane, load in loads.items()
        if load is not None
    )
    return lift_order(list(waiting), task.order)


def opener_before(hall: Hall, lane: Assignment, run: int, window: int, member: int = 1, alone: bool = True) -> Load | None:
    """What a member on a lane began with, or meant to, in the newest run before this one in which anything was declared; or
    None. Twin of openerBefore in static/js/screens/floor/lane/lifting/planned.js."""
    earlier = (opener_in(hall, lane, number, window, member, alone) for number in range(run - 1, 0, -1))
    return next((said for said in earlier if said is not None), None)


def opener_in(hall: Hall, lane: Assignment, run: int, window: int, member: int, alone: bool) -> Load | None:
    """What a member on a lane began one run with, or meant to; None where nobody declared in it."""
    sheet = f"{lane.id}/{run}/lane"
    refused = refused_in(hall.projection.sheet_tally(sheet).flags)
    return opener_said(hall.projection.sheet_marks(sheet), window, member, alone, refused)


def _declared(hall: Hall, lane: Assignment, run: int, window: int) -> Load | None:
    """What is declared on a lane for the first attempt of a run that has had no GO."""
    coming = hall.projection.sheet_tally(f"{lane.id}/{run}/lane").windows[window].coming
    return coming.load if coming is not None else None
