"""What hangs in the warm-up area: of each platform who is at the bar, who is called next with which load, and how soon."""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass

from app.hall.hall import Hall
from app.hall.heats import (
    bar_lanes,
    by_openers,
    event_of,
    heat_ms,
    heat_title,
    holds_json,
    in_day_order,
    newest_runs,
    state_of,
    state_words,
    still_in,
)
from app.hall.views import State
from app.live.servertime import go_bound_ms, go_on_this_timeline
from app.rules.count.lift_order import BarLane, Waiting, at_the_bar, bar_window, called_lift, called_next
from app.rules.count.lifting.judged import attempts_used
from app.rules.records.document import Run
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.platforms import heats_at_platforms, platform_at
from app.rules.records.roster import Event, Heat, Roster
from app.rules.result.totals import used_up
from app.rules.values.units import both_units
from app.rules.values.words import decimal, ranges, say
from app.rules.workout.formats import Format
from app.rules.workout.movements import shown_name
from app.rules.workout.tasks import LiftTask
from app.watch.bar_clocks import bar_clock_view
from app.watch.board_lifts import load_words

SOON = 3  # lifts before theirs: whoever has no more is ready by now. Common practice, no source


@dataclass(frozen=True, slots=True)
class WarmUpRow:
    """A lifter who waits. key: of this very attempt, for whoever ticks it off; away: how many lifts come before, in words."""

    key: str
    entry: str
    load: str
    attempt: str
    away: str
    soon: bool


@dataclass(frozen=True, slots=True)
class WarmUpHeat:
    """A flight on a platform, or the next one. lift: what is lifted. at: who is at the bar; clock: how their attempt's clock
    runs, as JSON for the page's script, empty while it does not. silent: who has said no load yet."""

    title: str
    lanes: str
    state: State
    lift: str
    at: str
    clock: str
    rows: tuple[WarmUpRow, ...]
    silent: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WarmUp:
    """All platforms, in the order of the day."""

    competition: str
    heats: tuple[WarmUpHeat, ...]


def warm_up(hall: Hall) -> WarmUp:
    """Of each platform the flight on the floor and the one after it; nothing without a competition."""
    roster = hall.projection.roster
    if roster is None:
        return WarmUp("", ())
    shared = {heat.id for heat in heats_at_platforms(roster)}
    runs = newest_runs(hall.projection.runs)
    found, coming = [], set[tuple[int, ...]]()
    for heat in (heat for heat in in_day_order(roster) if heat.id in shared):
        platform, state = platform_at(roster, heat.lanes[0].lane), state_of(hall, roster, heat, runs.get(heat.id))
        if state in ON_THE_FLOOR:
            found.append(_on_the_floor(hall, roster, heat, runs[heat.id], state))
        elif state is not HeatState.OVER and platform not in coming:
            coming.add(platform)
            found.append(_coming(hall, roster, heat, state))
    return WarmUp(roster.competition.name, tuple(found))


def _on_the_floor(hall: Hall, roster: Roster, heat: Heat, run: Run, state: HeatState) -> WarmUpHeat:
    event, ms = event_of(roster, heat), heat_ms(hall, run)
    lanes = list(bar_lanes(hall, roster, event, run, heat))
    waiting, window = called_next(lanes, ms), bar_window(event.format, ms)
    there = {one.lot for one in waiting}
    silent = [lane.who for lane in lanes if lane.lot not in there and not lane.out and _has_more(lane, window)]
    called = called_lift(waiting, lanes)
    return _heat(event, heat, state, window, waiting, _at(lanes, called), silent, called, _clock(hall, run, lanes))


def _at(lanes: Sequence[BarLane], called: Waiting | None) -> str:
    """Who is at the bar: called, or called last and lifting, or judged by some of the referees and not by all. Empty where nobody
    is."""
    at = at_the_bar(lanes)
    lane = next((lane for lane in lanes if at and lane.lot == at[0]), None)
    if lane is None:
        return ""
    lifting = any(window.begun or any(lift.doubt == "waiting" for lift in window.lifts) for window in lane.tally.windows)
    return lane.who if lifting or (called is not None and called.lot == lane.lot) else ""


def _clock(hall: Hall, run: Run, lanes: Iterable[BarLane]) -> str:
    runs = bar_clock_view(hall, run, lanes)
    if runs is None:
        return ""
    go = {"go": go_on_this_timeline(run, hall.time), "go_bound": go_bound_ms(run, hall.time)}
    return json.dumps(asdict(runs) | go | {"boot": hall.time.boot, "holds": holds_json(run)})


def _coming(hall: Hall, roster: Roster, heat: Heat, state: HeatState) -> WarmUpHeat:
    """A flight before its GO, by the openers that its lifters have said."""
    event = event_of(roster, heat)
    still = still_in(hall, event, heat)
    order, names = by_openers(hall, roster, event, still), {entry.id: entry.name for entry in roster.entries}
    there = {one.lot for one in order}
    silent = [names[lane.entry] for lane in still.lanes if lane.lane not in there]
    return _heat(event, heat, state, bar_window(event.format, None), order, "", silent)


def _heat(
    event: Event,
    heat: Heat,
    state: HeatState,
    window: int | None,
    waiting: tuple[Waiting, ...],
    at: str,
    silent: list[str],
    called: Waiting | None = None,
    clock: str = "",
) -> WarmUpHeat:
    """called: whoever of those who wait is called."""
    lift = lift_name(event.format, window)
    lanes = say("lanes_named", n=len(heat.lanes), named=ranges(sorted(lane.lane for lane in heat.lanes)))
    return WarmUpHeat(
        heat_title(event, heat), lanes, state_words(state), lift, at, clock, tuple(_rows(waiting, called)), tuple(silent)
    )


def lift_name(format: Format, window: int | None) -> str:
    """What is lifted in a window; empty where no bar is."""
    task = format.tasks.get(format.windows[window].task or "") if window is not None else None
    return shown_name(format.movements[task.movement].name) if isinstance(task, LiftTask) else ""


def _rows(waiting: tuple[Waiting, ...], called: Waiting | None) -> Iterator[WarmUpRow]:
    for before, one in enumerate(waiting):
        away = say("called") if one is called else say("lifts_before", n=before)
        number = say("attempt.number", n=one.attempts + 1)
        key = one.declared or f"{one.lot}-{one.last_at}-by-rule"
        load = load_words(one, decimal(both_units(one.load)))
        yield WarmUpRow(key, one.who, load, number, away, before <= SOON)


def _has_more(lane: BarLane, window: int | None) -> bool:
    """Whether a lifter has an attempt left in the window that is lifted now."""
    if window is None:
        return False
    task = lane.format.tasks[lane.format.windows[window].task or ""]
    found = lane.tally.windows[window]
    left = isinstance(task, LiftTask) and (task.attempts is None or attempts_used(found.lifts) < task.attempts)
    return left and not used_up(lane.format, found)
