"""A bar that lanes share, as the marks stand: what each lane of a heat holds in a run, for the folds of who lifts next."""

from collections.abc import Iterator

from app.hall.hall import Hall
from app.live.servertime import go_on_this_timeline
from app.rules.count.lift_order import BarLane, Waiting, bar_window, lift_order
from app.rules.count.received import let_count
from app.rules.count.tally import Tally
from app.rules.records.document import Run
from app.rules.records.holding import heat_time
from app.rules.records.marks import Mark
from app.rules.records.platforms import shares_a_bar
from app.rules.records.roster import Assignment, Event, Heat, Roster
from app.rules.workout.formats import Format, LiftTask


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
    return BarLane(lane.lane, name, format, lane_tally(hall, run, lane), lane_marks(hall, run, lane), admitted)


def bar_lanes(hall: Hall, roster: Roster, event: Event, run: Run, heat: Heat) -> Iterator[BarLane]:
    """The lanes of a heat that share a bar, with what each holds."""
    names = {entry.id: entry.name for entry in roster.entries}
    for lane in heat.lanes:
        place = hall.projection.place_of(lane.id)
        format = place.format if place else event.format
        if shares_a_bar(format):
            yield bar_lane(hall, run, lane, names[lane.entry], format)


def by_openers(roster: Roster, event: Event, heat: Heat) -> tuple[Waiting, ...]:
    """Those of a heat that share a bar, as they will be called before its GO is given: by the openers that they have said."""
    window = bar_window(event.format, None)
    key = event.format.windows[window].task if window is not None else None
    task = event.format.tasks.get(key or "")
    if not isinstance(task, LiftTask):
        return ()
    names = {entry.id: entry.name for entry in roster.entries}
    said = {one.entry: one for one in roster.openers if (one.event, one.task) == (event.id, key)}
    return lift_order(
        [
            Waiting(lane.lane, names[lane.entry], said[lane.entry].load, declared=f"{lane.id}-opener")
            for lane in heat.lanes
            if lane.entry in said
        ],
        task.order,
    )
