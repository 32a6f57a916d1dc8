"""A GO that was given on another line of time: this computer was started anew since, or took another's place.

- It is carried over once, when the server starts, by the wall clock, and kept: whoever sets the wall clock later moves nothing.
  That clock may have been set meanwhile, or be another laptop's, so nobody knows how far it is off, and tablets are told so. One
  thing is known: what the desk had seen of the heat had happened, so GO lies no later than that allows.
- Tablets that were in the heat kept its time on clocks of their own. Each says when GO was on the new line, with its bound; what
  most of them agree on takes the place of the wall clock's guess. Tablets that join later are then right.
- What was held meanwhile was timed from the wrong GO, and is moved with it.
- A person at the desk is told in words, and may say how it is; nothing replaces that.
"""

import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import asdict, replace

from sqlmodel import Session

from app.floor.timing import tell_runs
from app.hall.changing import change, look_again
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.hand_clock import milliseconds
from app.live.platforms import seen_at
from app.live.projection import Projection
from app.live.servertime import Carried, RunKey, ServerTime, guessed
from app.rules.count.witnesses import Agreed, Witness, agreed
from app.rules.records.document import Run
from app.rules.records.holding import Hold, since_go
from app.rules.records.marks import sheet_key
from app.rules.records.seats import JUDGES
from app.store.database import Database
from app.store.devices import get_setting, put_setting
from app.store.kinds import RUNS
from app.store.refusals import NotThere
from app.store.writer import StoreTrouble

KEPT = "carried/"  # a setting for each line of time
AHEAD_MS = 60_000  # a GO is given no further ahead
BELIEVED_MS = 60_000  # a clock that knows no better than that says nothing of GO
BY_HAND_MS = 1_000  # what a person reads off another clock, and types


def carry_over(database: Database, projection: Projection, time: ServerTime) -> None:
    """Carries every GO of another line of time over to this one, unless that was done before. Once, when the server starts."""
    time.carried.clear()
    strange = [run for run in projection.runs if run.boot != time.boot]
    if strange:
        time.carried.update(database.write(lambda session: _carry(session, projection, strange, time)))


def read_carried(session: Session, time: ServerTime) -> dict[RunKey, Carried]:
    """What was carried over to this line of time, by the process that started first and by what tablets said since."""
    kept = json.loads(get_setting(session, f"{KEPT}{time.boot}") or "[]")
    return {(heat, number): Carried(**said) for heat, number, said in kept}


def _keep(session: Session, time: ServerTime, carried: Mapping[RunKey, Carried]) -> None:
    plain = [[heat, number, asdict(one)] for (heat, number), one in carried.items()]
    put_setting(session, f"{KEPT}{time.boot}", json.dumps(plain))


def _carry(session: Session, projection: Projection, runs: list[Run], time: ServerTime) -> dict[RunKey, Carried]:
    there, now, ahead = read_carried(session, time), time.server_ms(), time.server_ms() - time.wall_ms()
    new = {}
    for run in runs:
        if (run.heat, run.number) not in there:
            latest = now - _seen_of(projection, run)
            new[run.heat, run.number] = guessed(run, min(run.go_wall_ms + ahead, latest))
    if new:
        _keep(session, time, there | new)
    return there | new


def _seen_of(projection: Projection, run: Run) -> int:
    """How long after GO it certainly is, in ms: what the desk had seen of a run, by its own clock, had happened."""
    heats = projection.roster.heats if projection.roster else ()
    lanes = [lane.id for heat in heats if heat.id == run.heat for lane in heat.lanes]
    marks = [mark for lane in lanes for mark in projection.assignment_marks(lane) if sheet_key(mark.sheet).run == run.number]
    receipts = [mark.receipt for mark in marks if mark.receipt is not None and not mark.receipt.wall]
    held = [since_go(hold.at_ms, run.holds) for hold in run.holds]
    return max([-AHEAD_MS, *held, *(receipt.clock for receipt in receipts if receipt.clock is not None)])


async def heard(hall: Hall, heat: str, number: int) -> None:
    """A tablet has said when GO of a run was, by the clock that it kept: where that is news, GO goes by what most of them say."""
    run, carried = hall.projection.run_of(heat, number), hall.time.carried.get((heat, number))
    if run is None or carried is None or not _is_news(carried, what_tablets_say(hall, heat, number)):
        return

    def better(now: Carried) -> Carried | None:
        found = what_tablets_say(hall, heat, number)
        if found is None or not _is_news(now, found):
            return None
        guess = now.go_ms + now.apart_ms if now.by == "tablets" else now.go_ms
        return replace(now, go_ms=found.at_ms, bound_ms=found.bound_ms, by="tablets", apart_ms=guess - found.at_ms)

    with suppress(StoreTrouble):  # the tablet says it again in two seconds
        await _move(hall, run, better)


def what_tablets_say(hall: Hall, heat: str, number: int) -> Agreed | None:
    """What most of a heat's tablets agree on, of when GO of a run was on the present line of time. None while none knows."""
    roster = hall.projection.roster
    lanes = [lane.lane for one in (roster.heats if roster else ()) if one.id == heat for lane in one.lanes]
    there = {one.device.device_id: one for lane in lanes for one in seen_at(hall, lane) if one.device.role in JUDGES}
    seen = there.values()
    said = [one.report for one in seen if one.report.go_of == f"{heat}/{number}"]
    return agreed([Witness(r.go_ms, r.go_bound_ms) for r in said if r.go_ms is not None and r.go_bound_ms <= BELIEVED_MS])


def _is_news(carried: Carried, found: Agreed | None) -> bool:
    if found is None or carried.by == "desk":
        return False
    known = carried.bound_ms
    if known is None or abs(found.at_ms - carried.go_ms) > found.bound_ms:
        return True
    return not known // 2 <= found.bound_ms <= 2 * known  # GO does not move for every tablet that is a little surer


async def decide(hall: Hall, heat: str, typed: Typed) -> Run:
    """A person at the desk sets a heat's clock forward by some seconds; by 0: it is right. Raises BadForm, NotThere."""
    read = Reading(typed)
    ms = milliseconds(read)
    read.done()
    runs = [run for run in hall.projection.runs if run.heat == heat and (run.heat, run.number) in hall.time.carried]
    if not runs:
        raise NotThere("This heat's GO was given on this computer since it started: there is nothing to correct.")

    def said(now: Carried) -> Carried:
        return replace(now, go_ms=now.go_ms - ms, bound_ms=BY_HAND_MS, by="desk", apart_ms=0)

    await _move(hall, runs[-1], said)
    return runs[-1]


async def _move(hall: Hall, run: Run, how: Callable[[Carried], Carried | None]) -> None:
    """Moves a GO that was carried over, and with it what was held since; inside the write, so that no hold falls in between."""
    key, before = (run.heat, run.number), dict(hall.time.carried)

    def work(session: Session) -> bool:
        now = hall.time.carried[key]
        then = how(now)
        if then is None:
            return False
        stored = next(one for one in RUNS.all(session) if (one.heat, one.number) == key)
        moved = _holds_moved(stored.holds, now, now.go_ms - then.go_ms)
        if moved != stored.holds:
            RUNS.put(session, stored.model_copy(update={"holds": moved}))
        _keep(session, hall.time, {**hall.time.carried, key: then})
        hall.time.carried[key] = then
        return True

    try:
        if await change(hall, work):
            tell_runs(hall, [run])
            look_again(hall)
    except BaseException:
        hall.time.carried.update(before)
        raise


def _holds_moved(holds: tuple[Hold, ...], carried: Carried, ms: int) -> tuple[Hold, ...]:
    """The holds of a run whose clock is set forward: those that were begun since, and the end of one that was ended since."""
    found = list(holds)
    for number, hold in enumerate(holds):
        if number >= carried.holds:
            found[number] = hold.model_copy(update={"at_ms": max(0, found[number - 1].at_ms if number else 0, hold.at_ms + ms)})
        elif number == carried.holds - 1 and carried.standing and hold.for_ms is not None:
            found[number] = hold.model_copy(update={"for_ms": max(0, hold.for_ms + ms)})
    return tuple(found)
