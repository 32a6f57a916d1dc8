"""The heats of the day: in which order they run, how each stands now, and their clocks as pages need them."""

import json

from app.hall.hall import Hall
from app.hall.lane_rows import LETTERS
from app.hall.views import Shape, State
from app.live.servertime import go_on_this_timeline
from app.rules.day.lateness import planned_minutes
from app.rules.records.document import Run
from app.rules.records.entered import entered
from app.rules.records.moves import HeatState, heat_state
from app.rules.records.roster import Entry, Event, Heat, Roster
from app.rules.values.words import say
from app.rules.workout.formats import Format, Window
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


def heat_title(event: Event, heat: Heat) -> str:
    """A heat by its event and number: `There and back, heat 2`."""
    return say("{event}, heat {number}", event=event.name, number=heat.number)


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
    """The entries that an event is for, and that stand in no heat of it, by division and in their order."""
    return [entry for one in roster.events if one.id == event for entry in entered(roster, one).missing]
