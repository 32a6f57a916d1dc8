"""What time alone changes at a shared bar: the rule's load comes to stand where nobody declares, and the next lift begins."""

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

Turn = tuple[str, int, int]  # the heat, the lane, and the moment on the heat clock in ms


async def keep_turning(hall_now: Callable[[], Hall]) -> None:
    """Has the pages made anew at each such moment, until cancelled: no mark comes with it that would."""
    while True:
        try:
            await _turn_of(hall_now())
        except Closed:
            await asyncio.sleep(ANOTHER_HALL_S)


async def _turn_of(hall: Hall) -> None:
    before = set[Turn]()
    with hall.hub.subscribe("board", most=1) as news:
        while True:
            ahead = turns(hall)
            over = {turn for turn, ms in ahead.items() if ms <= 0}
            if over - before:
                hall.projection.time_passed()
                look_again(hall)
            before = over
            soonest = min((ms for ms in ahead.values() if ms > 0), default=None)
            with suppress(TimeoutError):
                await news.next(None if soonest is None else soonest / 1000)
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
            now, lanes = heat_ms(hall, run), bar_lanes(hall, roster, event_of(roster, heat), run, heat)
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
