"""The demo as it runs: filled part way through, then counted on by simulated judges until a person takes a lane over."""

import asyncio
import logging
import random
import time
from dataclasses import replace

from app.demo.cast import HEATS, demo_file, run_of, strength_of
from app.demo.disputes import LATE_LANE, first_protest, first_ruling, late_marks
from app.demo.judge import SimulatedJudge, seen_again
from app.demo.judges import with_judges
from app.floor import judging, timing
from app.hall.devices import Who
from app.hall.hall import Hall
from app.hall.heats import event_of, in_day_order, newest_runs, state_of
from app.live.servertime import go_on_this_timeline
from app.review.ruling import store
from app.rules.records.document import Run
from app.rules.records.holding import HeatTime, heat_time
from app.rules.records.marks import MOST_MARKS, Mark, mark_plain
from app.rules.records.moves import ON_THE_FLOOR, HeatState, IllegalMove
from app.rules.records.roster import Assignment, Heat
from app.rules.records.seats import SheetKind
from app.rules.workout.formats import Format
from app.store.kinds import PROTESTS
from app.store.roster import put_everything

log = logging.getLogger(__name__)

STARTED_AGO_MS = 460_000  # heat 2 is seven minutes and forty seconds in: the squats of the first members come next
HEAT_EVERY_MS = 30 * 60_000
TICK_S = 0.1
PAUSE_S = 45.0  # between the last bell of one heat and the GO of the next


async def fill(hall: Hall) -> None:
    """Puts the invented competition into an empty store: heat 1 judged, heat 2 on the floor."""
    now = hall.time.server_ms(), hall.time.wall_ms()
    second = now[1] - STARTED_AGO_MS
    whole = with_judges(demo_file([_time_of_day(second + HEAT_EVERY_MS * n) for n in range(-1, HEATS - 1)]))
    runs = tuple(
        run_of(heat, 1, now[0] - ago, now[1] - ago, hall.time.boot)
        for heat, ago in zip(whole.heats, (STARTED_AGO_MS + HEAT_EVERY_MS, STARTED_AGO_MS), strict=False)
    )
    await hall.database.awrite(lambda session: put_everything(session, whole, runs, ()))
    hall.projection.roster_changed(whole, runs, ())
    for heat, run in zip(whole.heats, runs, strict=False):
        for lane in heat.lanes:
            sheet = _sheet(whole.events[0].format, heat, lane, run)
            await _send(hall, lane.lane, [mark for mark in sheet if mark.at < hall.time.server_ms() - run.go_server_ms])
    await _judge_again(hall, whole.events[0].format, whole.heats[0], runs[0])
    await _dispute(hall, whole.events[0].format, whole.heats[0], runs[0])


async def _judge_again(hall: Hall, format: Format, heat: Heat, run: Run) -> None:
    """Beside the judges of two lanes of the first heat somebody else judged, and saw it a little otherwise."""
    for lane in heat.lanes[:2]:
        chance = random.Random(f"{lane.id}/shadow")
        shadow = seen_again(_sheet(format, heat, lane, run), f"{lane.id}/{run.number}/shadow", run.go_wall_ms, chance)
        await _send(hall, lane.lane, shadow, "shadow")


async def _dispute(hall: Hall, format: Format, heat: Heat, run: Run) -> None:
    """What went wrong in the first heat, and what was decided of it."""
    await _send(hall, heat.lanes[LATE_LANE].lane, late_marks(format, heat, run))
    ago = hall.time.wall_ms() - HEAT_EVERY_MS // 2
    protest = first_protest(heat, ago)
    await store(hall, (first_ruling(format, heat, run, ago),), lambda session: PROTESTS.put(session, protest))


def _time_of_day(wall_ms: int) -> str:
    """HH:MM in the hall's own time, to the five minutes before, as a plan would have it."""
    local = time.localtime(wall_ms // 1000)
    return f"{local.tm_hour:02d}:{local.tm_min // 5 * 5:02d}"


async def play(hall: Hall) -> None:
    """Counts every lane of the running heat that no person counts; after it the next heat, and the last again and again."""
    while True:
        heat, run = await _next_on_floor(hall)
        try:
            await _play_heat(hall, heat, run)
        except Exception:  # the demo goes on whatever a visitor does to it
            log.exception("The demo's simulated judges stumbled in heat %d", heat.number)
        await asyncio.sleep(PAUSE_S)


async def _next_on_floor(hall: Hall) -> tuple[Heat, Run]:
    """The heat that runs now; if none does, the next that never ran or the last one again is started."""
    while True:
        roster = hall.projection.roster
        runs = newest_runs(hall.projection.runs)
        states = {heat.id: state_of(hall, roster, heat, runs.get(heat.id)) for heat in roster.heats} if roster else {}
        heats = [heat for heat in in_day_order(roster) if heat.lanes] if roster else []
        for heat in heats:
            if states[heat.id] in ON_THE_FLOOR:
                return heat, runs[heat.id]
        planned = [heat for heat in heats if states[heat.id] is HeatState.PLANNED]
        over = [heat for heat in heats if states[heat.id] is HeatState.OVER]
        try:
            if planned:
                await timing.go(hall, planned[0].id, {})
            elif over:
                await timing.restart(hall, over[-1].id, {"why": "The demo starts again."})
        except IllegalMove:  # a visitor at the desk was quicker
            log.info("The demo's next heat was moved by hand")
        await asyncio.sleep(1)


async def _play_heat(hall: Hall, heat: Heat, run: Run) -> None:
    roster = hall.projection.roster
    assert roster is not None  # a heat was found in it
    format = event_of(roster, heat).format
    sheets = {lane.lane: _sheet(format, heat, lane, run) for lane in heat.lanes}
    begun = _time_of(hall, run)
    sent = dict.fromkeys(sheets, begun.ms if begun else 0)
    while (now := _time_of(hall, run)) is not None and now.ms < format.length_ms + 2000:
        for lane, marks in sheets.items():
            due = [_said(mark, now.held_ms) for mark in marks if sent[lane] <= mark.at < now.ms]
            sent[lane] = now.ms
            if due and not taken_over(hall, lane):
                await _send(hall, lane, due)
        await asyncio.sleep(TICK_S)


def taken_over(hall: Hall, lane: int) -> bool:
    """Whether a person counts this lane now: a tablet of it is connected."""
    now = hall.time.server_ms()
    judging = [seen for seen in hall.presence.on_lane(lane) if seen.device.sheet == "lane"]
    return any(seen.online(now) and seen.report.screen == "lane" for seen in judging)


def _time_of(hall: Hall, run: Run) -> HeatTime | None:
    """The moment of a run, whatever it was held; None when it has been stopped, closed, or followed by another."""
    now = newest_runs(hall.projection.runs).get(run.heat)
    if now is None or (now.number, now.state) != (run.number, run.state):
        return None
    return heat_time(hall.time.server_ms() - go_on_this_timeline(now, hall.time), now.holds)


def _said(mark: Mark, held_ms: int) -> Mark:
    """A mark as a tablet would make it that knew of the heat's holds."""
    return replace(mark, body={**mark.body, "held": held_ms}) if held_ms else mark


def _sheet(format: Format, heat: Heat, lane: Assignment, run: Run) -> list[Mark]:
    """All marks a simulated judge will make; the seed is the lane's and the run's, so a restarted server goes on where it was."""
    judge = SimulatedJudge(
        format=format,
        sheet=f"{lane.id}/{run.number}/lane",
        device=f"demo-{lane.lane}-{heat.number}-{run.number}",
        go_wall_ms=run.go_wall_ms,
        strength=strength_of(lane),
        chance=random.Random(f"{lane.id}/{run.number}"),
    )
    return judge.marks()


async def _send(hall: Hall, lane: int, marks: list[Mark], sheet: SheetKind = "lane") -> None:
    for start in range(0, len(marks), MOST_MARKS):
        batch = marks[start : start + MOST_MARKS]
        who = Who(batch[0].device, "lane", lane, "Simulated judge", sheet)
        receipt = await judging.record_marks(hall, who, [mark_plain(mark) for mark in batch])
        for refused in receipt.refused:
            log.warning("A simulated mark was refused: %s", refused.sentence)
