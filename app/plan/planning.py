"""Making a heat plan, keeping choices in it, publishing it into heats, and taking that back."""

import hashlib
import json
from collections.abc import Sequence

from pydantic import TypeAdapter, ValidationError
from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import Reading, Typed, refuse, time_of_day
from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.plan.day_problem import names_of, problem_of, published_heats
from app.plan.day_times import rules_of
from app.planning.worker import Found, Job
from app.rules.day.heats import PlannedHeat, Problem, groups_of
from app.rules.day.plan_check import broken_rules
from app.rules.day.plan_numbers import Obstacle, obstacles
from app.rules.records.day import DayRules, Lock
from app.rules.records.judges import clock_of
from app.rules.records.roster import Assignment, Heat, Roster
from app.store.day import PlanChange, add_change, draft, last_change, put_day, put_draft, take_back_change
from app.store.devices import delete_setting, get_setting, put_setting
from app.store.heats import put_heats

USUAL_SECONDS = 10
MOST_SECONDS = 300
DROPPED = "plan-dropped"  # the name under which the store keeps the draft that was dropped last
LOCKS = TypeAdapter(tuple[Lock, ...])
CHANGED = "The competition has changed since this plan was made: {why} Make the plan again."


def in_the_way(hall: Hall, rules: DayRules) -> list[Obstacle]:
    """What arithmetic alone says against a plan by these rules."""
    problem = problem_of(hall, rules)
    return obstacles(problem, groups_of(problem))


async def start_planning(hall: Hall, typed: Typed) -> None:
    """Begins the search for a plan, in a process of its own. Raises BadForm when arithmetic says that none can fit."""
    read = Reading(typed)
    seconds = read.whole("seconds", "The time for the search, in seconds,", 1, MOST_SECONDS, USUAL_SECONDS) or USUAL_SECONDS
    read.done()
    rules = rules_of(needed_roster(hall))
    for one in in_the_way(hall, rules):
        read.wrong("", one.sentence)
    read.done()
    given = problem_of(hall, rules)

    async def done(found: Found) -> None:
        plan = found.model_copy(update={"of": digest_of(given)}).model_dump(mode="json")
        await hall.database.awrite(lambda session: put_draft(session, plan))
        hall.hub.publish("desk", {"plan": "found"})

    hall.planner.start(Job(seconds=seconds, given=given), done)


def digest_of(problem: Problem) -> str:
    """Names a problem: another rule, entry, judge or choice that is kept makes another of it."""
    return hashlib.sha256(problem.model_dump_json().encode()).hexdigest()[:16]


def draft_of(hall: Hall) -> Found | None:
    """The plan that was made and is not published."""
    plain = hall.database.read(draft)
    if plain is None:
        return None
    try:
        return Found.model_validate(plain)
    except ValidationError:  # made by another version: it is made again in seconds
        return None


async def drop_draft(hall: Hall) -> bool:
    """Puts away the plan that is not published; returns whether there was one."""

    def drop(session: Session) -> bool:
        plan = draft(session)
        if plan is not None:
            put_setting(session, DROPPED, json.dumps(plan))
            put_draft(session, None)
        return plan is not None

    return await hall.database.awrite(drop)


async def draft_back(hall: Hall) -> None:
    """Puts back the plan that was dropped last. Raises BadForm when there is none, or another has been made since."""

    def back(session: Session) -> str:
        kept = get_setting(session, DROPPED)
        if kept is None:
            return "There is no discarded plan to restore."
        if draft(session) is not None:
            return "Another plan has been made since. Discard that one first."
        put_draft(session, json.loads(kept))
        delete_setting(session, DROPPED)
        return ""

    if why := await hall.database.awrite(back):
        raise refuse("", why)


async def keep_choices(hall: Hall, event: str, group: str, typed: Typed) -> None:
    """Keeps what was chosen for a heat of the draft: its time, and for each lane its entry and judge. Ticks say what is kept."""
    roster = needed_roster(hall)
    rules = rules_of(roster)
    read = Reading(typed)
    locks = _read_locks(read, roster, event, group)
    read.done()
    others = tuple(lock for lock in rules.locks if (lock.event, lock.group) != (event, group))
    await _put_rules(hall, rules.model_copy(update={"locks": (*others, *locks)}))


def _read_locks(read: Reading, roster: Roster, event: str, group: str) -> list[Lock]:
    locks = []
    start = time_of_day(read, "start", "The start")
    if read.ticked("keep-start"):
        if not start and not read.problems_at("start"):
            read.wrong("start", "The start to keep is missing. Type a time of day such as 09:30.")
        locks.append(Lock(event=event, group=group, start=start or None))
    entries, judges = names_of(roster.entries), names_of(roster.judges)
    seen: set[str] = set()
    for lane in range(1, 61):
        entry, judge = read.raw(f"lane-{lane}-entry"), read.raw(f"lane-{lane}-judge")
        if read.ticked(f"lane-{lane}-keep-entry") and entry:
            if entry not in entries or entry in seen:
                read.wrong(f"lane-{lane}-entry", f"Lane {lane}: this entry is on another lane too, or is gone.")
            seen.add(entry)
            locks.append(Lock(event=event, group=group, entry=entry, lane=lane))
        if read.ticked(f"lane-{lane}-keep-judge") and judge:
            if judge not in judges or judge in seen:
                read.wrong(f"lane-{lane}-judge", f"Lane {lane}: this judge is on another lane too, or is gone.")
            seen.add(judge)
            locks.append(Lock(event=event, group=group, lane=lane, judge=judge))
    return locks


async def let_go(hall: Hall) -> tuple[Lock, ...]:
    """Lets go of all choices to keep; returns them, so that they can be put back."""
    rules = rules_of(needed_roster(hall))
    await _put_rules(hall, rules.model_copy(update={"locks": ()}))
    return rules.locks


def locks_written(locks: Sequence[Lock]) -> dict[str, str]:
    """The form that puts choices back."""
    return {"locks": LOCKS.dump_json(tuple(locks), exclude_none=True).decode()}


async def keep_again(hall: Hall, typed: Typed) -> None:
    """Puts choices back that were let go; in heats of which something has been kept since, that stands. Raises BadForm."""
    try:
        locks = LOCKS.validate_json(typed.get("locks", ""))
    except ValidationError:
        raise refuse("", "The choices to restore can't be read. Nothing has changed.") from None
    rules = rules_of(needed_roster(hall))
    since = {(lock.event, lock.group) for lock in rules.locks}
    back = [lock for lock in locks if (lock.event, lock.group) not in since]
    await _put_rules(hall, rules.model_copy(update={"locks": (*rules.locks, *back)}))


async def _put_rules(hall: Hall, rules: DayRules) -> None:
    await change_roster(hall, lambda session: put_day(session, rules))


async def publish_draft(hall: Hall) -> int:
    """Makes the draft the competition's heats; returns how many. Heats that were started are not touched.

    Raises BadForm when the draft does not fit the competition any more.
    """
    found = draft_of(hall)
    if found is None:
        raise refuse("", "There is no plan to publish. Make one first.")
    rules = rules_of(needed_roster(hall))
    problem = problem_of(hall, rules)
    waiting = [heat for heat in found.heats if not heat.done]
    wrong = broken_rules(problem, [*problem.fixed, *waiting])
    if wrong:
        raise refuse("", CHANGED.format(why=wrong[0]))
    free = rules.model_copy(update={"locks": ()})  # the choices stand in the heats now; taking back brings them back
    return await store_heats(hall, waiting, [event.id for event in problem.events], "Published", free, clear_draft=True)


async def store_heats(
    hall: Hall,
    wanted: Sequence[PlannedHeat],
    events: Sequence[str],
    words: str,
    rules: DayRules | None = None,
    clear_draft: bool = False,
) -> int:
    """Puts heats in the place of those of these events that were not started; remembers what was there. `rules`: the day's
    rules from now on, if they change too."""
    roster = needed_roster(hall)
    started = {run.heat for run in hall.projection.runs}
    before = tuple(heat for heat in roster.heats if heat.event in set(events) and heat.id not in started)
    after = _as_heats(roster, before, wanted)
    changed = [heat for heat in after if heat not in before]
    gone = [heat.id for heat in before if heat.id not in {one.id for one in after}]
    made = PlanChange(0, hall.time.wall_ms(), words, before, after, roster.day)

    def store(session: Session) -> None:
        put_heats(session, changed, gone)
        add_change(session, made)
        if rules is not None:
            put_day(session, rules)
        if clear_draft:
            put_draft(session, None)

    await change_roster(hall, store)
    return len(after)


def _as_heats(roster: Roster, before: Sequence[Heat], wanted: Sequence[PlannedHeat]) -> tuple[Heat, ...]:
    """Planned heats as records. A heat keeps its id by its number, a lane assignment its id and variant by its entry."""
    ids = {(heat.event, heat.number): heat.id for heat in before}
    lanes = {(heat.event, lane.entry): lane for heat in before for lane in heat.lanes}
    judges = names_of(roster.judges)
    made = []
    for heat in wanted:
        assignments = []
        for spot in heat.spots:
            known = lanes.get((heat.event, spot.entry))
            stays = known.judge if known and known.judge_id is None and known.lane == spot.lane else ""
            assignments.append(
                Assignment(
                    id=known.id if known else new_id(),
                    lane=spot.lane,
                    entry=spot.entry,
                    judge=judges.get(spot.judge or "", stays),
                    judge_id=spot.judge,
                    variant=known.variant if known else "",
                )
            )
        key = heat.key or ids.get((heat.event, heat.number)) or new_id()
        planned = clock_of(heat.start % (24 * 60))
        made.append(Heat(id=key, event=heat.event, number=heat.number, planned=planned, lanes=tuple(assignments)))
    return tuple(made)


async def take_back(hall: Hall) -> str:
    """Puts the heats back as they were before the newest change of the plan; returns what was taken back.

    Raises BadForm when there is nothing to take back or a heat has been started since, Refusal when marks stand in the way.
    """
    last = hall.database.read(last_change)
    if last is None:
        raise refuse("", "There is nothing to undo.")
    started = {run.heat for run in hall.projection.runs}
    if any(heat.id in started for heat in (*last.before, *last.after)):
        raise refuse("", "A heat of that plan has started since, so it can't be undone. Use a late change.")
    now = {heat.id: heat for heat in needed_roster(hall).heats}
    gone = [heat.id for heat in last.after if heat.id not in {one.id for one in last.before} and heat.id in now]
    back = [heat for heat in last.before if now.get(heat.id) != heat]

    def store(session: Session) -> None:
        put_heats(session, back, gone)
        put_day(session, last.rules)
        take_back_change(session, last.number)

    await change_roster(hall, store)
    return last.words


def unplanned(hall: Hall) -> list[str]:
    """Entries that stand in no published heat of an event that is planned, as `entry, event`."""
    roster = needed_roster(hall)
    problem = problem_of(hall, rules_of(roster))
    entries = names_of(roster.entries)
    there = {(heat.event, spot.entry) for heat in published_heats(hall, problem.rules) for spot in heat.spots}
    return [f"{entries[o]}, {event.name}" for event in problem.events for o in event.order if (event.id, o) not in there]
