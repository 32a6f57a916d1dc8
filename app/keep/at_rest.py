"""Sheets of heats that are over are packed while the server has nothing better to do, so that a long day takes little memory."""

import asyncio
import logging
from collections.abc import Callable, Iterator
from functools import partial

from app.hall.hall import Hall
from app.hall.heats import event_of, newest_runs, state_of
from app.live.keeping import to_keep
from app.live.servertime import go_on_this_timeline
from app.live.slices import Slices
from app.memory import give_back
from app.rules.records.holding import heat_time
from app.rules.records.moves import HeatState
from app.store.kept.sheets import checks_of, keep
from app.store.writer import StoreTrouble

log = logging.getLogger(__name__)

LOOK_EVERY_S = 5.0
STILL_MS = 5 * 60_000  # on the heat's clock, after its end: what came late has come by then, and comes in later all the same


async def keep_packed(hall_now: Callable[[], Hall]) -> None:
    """Packs the sheets of heats that ended a while ago, one in each turn of the loop, and has the store keep them, for ever."""
    while True:
        await asyncio.sleep(LOOK_EVERY_S)
        hall = hall_now()
        try:
            await pack_at_rest(hall)
            await keep_at_rest(hall)
            give_back()
        except StoreTrouble:  # the desk hears of it by itself; the next start reads these marks one by one
            continue
        except Exception:  # a day that takes more memory is no reason to stop it
            log.exception("Sheets could not be packed")


async def pack_at_rest(hall: Hall) -> None:
    """Counts and packs what is at rest; between two steps everybody else is served."""
    slices = Slices()
    for assignment in at_rest(hall):
        while hall.projection.count_a_little(assignment):
            await slices.pause()
        hall.projection.pack(assignment)
        await slices.pause()


async def keep_at_rest(hall: Hall) -> None:
    """Has the store keep the sheets at rest as they are now, so that the next start need not read their marks."""
    slices = Slices()
    for assignment in at_rest(hall):
        for one in to_keep(hall.projection, assignment):
            checks = await hall.database.aread(partial(checks_of, ids=one.ids))
            if checks is not None:
                await hall.database.awrite_made_anew(partial(keep, kept=one.kept, checks=checks))
            one.done()
        await slices.pause()


def at_rest(hall: Hall) -> Iterator[str]:
    """The lane assignments of the heats that ended a while ago."""
    roster, runs = hall.projection.roster, newest_runs(hall.projection.runs)
    for heat in roster.heats if roster else ():
        run = runs.get(heat.id)
        if roster is None or run is None or state_of(hall, roster, heat, run) is not HeatState.OVER:
            continue
        now = heat_time(hall.time.server_ms() - go_on_this_timeline(run, hall.time), run.holds).ms
        if now > event_of(roster, heat).format.length_ms + STILL_MS:
            yield from [lane.id for lane in heat.lanes]
