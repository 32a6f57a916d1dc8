"""What time alone changes on the floor: at a shared bar the rule's load comes to stand where nobody declares, and the next lift
begins; a heat's last bell goes."""

import asyncio
from collections.abc import Callable, Iterator
from contextlib import suppress

from app.hall.changing import look_again
from app.hall.hall import Hall
from app.hall.heats import bar_lanes, event_of, heat_ms, newest_runs, state_of
from app.live.hub import Closed
from app.rules.count.lift_order import BarLane, bar_window
from app.rules.records.moves import ON_THE_FLOOR

PACE_S = 0.25  # a hall's marks come by the hundred a second, and none of these moments is looked at to the tenth
ANOTHER_HALL_S = 1.0  # until a hall that closed has one in its place

Turn = tuple[str, int, int]  # the heat, the lane (0: all of them), and the moment on the heat clock in ms


async def keep_turning(hall_now: Callable[[], Hall]) -> None:
    """Has the pages made anew at each such moment, until cancelled: no mark comes with it that would."""
    while True:
        try:
            await _turn_of(hall_now())
        except Closed:
            await asyncio.sleep(ANOTHER_HALL_S)


async def _turn_of(hall: Hall) -> None:
    before = set[Turn]()  # those that had come when the pages were last made
    due = dict[Turn, int]()  # when the others come, server ms
    with hall.hub.subscribe("board", most=1) as news:
        while True:
            now, ahead = hall.time.server_ms(), turns(hall)
            over = {turn for turn, ms in ahead.items() if ms <= 0}
            over |= {
                turn for turn, at_ms in due.items() if at_ms <= now and turn not in ahead
            }  # a last bell, after which is nothing
            if over - before:
                hall.projection.time_passed()
                look_again(hall)
            before, due = over, {turn: now + ms for turn, ms in ahead.items() if ms > 0}
            soonest = min(due.values(), default=None)
            with suppress(TimeoutError):
                await news.next(None if soonest is None else (soonest - now) / 1000)
                await asyncio.sleep(PACE_S)


def turns(hall: Hall) -> dict[Turn, int]:
    """In how many ms each such moment of the heats on the floor comes; 0 or less for one that has come."""
    roster, found = hall.projection.roster, dict[Turn, int]()
    if roster is None:
        return found
    runs = newest_runs(hall.projection.runs)
    for heat in roster.heats:
        run = runs.get(heat.id)
        if run is not None and state_of(hall, roster, heat, run) in ON_THE_FLOOR:
            event, now = event_of(roster, heat), heat_ms(hall, run)
            found[heat.id, 0, event.format.length_ms] = event.format.length_ms - now
            lanes = bar_lanes(hall, roster, event, run, heat)
            found |= {(heat.id, lane.lot, at): at - now for lane in lanes for at in _moments(lane, now)}
    return found


def _moments(lane: BarLane, now: int) -> Iterator[int]:
    """When the lift that is called now ends on a lane, and until when its lifter may declare."""
    window = bar_window(lane.format, now)
    if window is None:
        return
    yield lane.format.windows[window].end_ms
    coming = lane.tally.windows[window].coming
    if coming is not None and coming.load is None and coming.due_ms is not None:
        yield coming.due_ms
