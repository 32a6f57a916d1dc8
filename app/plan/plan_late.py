"""A late change of the published day: who withdraws, who is away, how late it is; moves are looked at before they are made."""

import hashlib
import json
from dataclasses import dataclass

from app.hall.forms import Reading, Typed, refuse, time_of_day
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster, zone_of
from app.plan.day_problem import names_of, problem_of, published_heats
from app.plan.day_times import minute_of_day, rules_of
from app.plan.planning import store_heats
from app.plan.running import is_today, running
from app.planning.worker import Found, Job, Worker
from app.rules.day.heats import PlannedHeat
from app.rules.day.late_change import LateChange, moves
from app.rules.day.lateness import nearest
from app.rules.records.day import DayRules, Withdrawn
from app.rules.records.judges import clock_of, minutes_of
from app.rules.records.roster import Roster
from app.rules.values.alphabet import in_order
from app.rules.values.words import say
from app.store.devices import delete_setting, get_setting, put_setting

SECONDS = 5.0
LOOKED_AT = "late-change"  # the name under which the store keeps the moves that were shown last
CHANGED = "The competition has changed since these moves were shown. Look again, then make them."
NOTHING = "No heats with planned times are published yet. Make a plan and publish it first, or give the heats their times."


@dataclass(frozen=True, slots=True)
class MoveLine:
    """One move: the event it is in, and the sentence."""

    event: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """Moves that would be made. `stamp` names what they start from, so that what is made is what was looked at."""

    stamp: str
    moves: tuple[MoveLine, ...]
    words: str


@dataclass(frozen=True, slots=True)
class LatePage:
    """The page of a late change."""

    entries: tuple[tuple[str, tuple[Choice, ...]], ...]
    away: tuple[str, ...]
    late: str
    published: bool


def late_page(hall: Hall) -> LatePage:
    """Who can withdraw, who is away, how late the day is."""
    roster = needed_roster(hall)
    groups = tuple(
        (division.name, tuple(Choice(one.id, one.name) for one in roster.entries if one.division == division.id))
        for division in roster.divisions
    )
    away = tuple(judge.name for judge in in_order(roster.judges) if judge.away)
    return LatePage(groups, away, running(hall).words, bool(published_heats(hall, rules_of(roster))))


def late_typed(hall: Hall) -> dict[str, str]:
    """The form to begin with: nobody before now where the day is today, and who has withdrawn so far."""
    roster = needed_roster(hall)
    rules = rules_of(roster)
    typed = {f"out-{one.entry}": "on" for one in rules.withdrawn if one.event is None}
    on_day = bool(hall.projection.runs) and is_today(hall, roster)
    return typed | {"not_before": clock_of(minute_of_day(hall.time.wall_ms(), zone_of(rules))) if on_day else ""}


async def look(hall: Hall, typed: Typed) -> Proposal:
    """The fewest moves that the change asks for; nothing is stored. Raises BadForm."""
    roster = needed_roster(hall)
    rules, change = _change(hall, typed, roster)
    if not any(not heat.done for heat in change.published):
        raise refuse("", NOTHING)
    found = await Worker(Job(seconds=SECONDS, given=change.given, late=change), lambda _: None).run()
    if found.why:
        raise refuse("", found.why)
    stamp = _stamp(change)
    kept = json.dumps([stamp, found.model_dump(mode="json"), rules.model_dump(mode="json")])
    if hall.relay.alone:
        hall.planner.looked_at = kept
    else:  # the next request may be another process's
        await hall.database.awrite_quietly(lambda session: put_setting(session, LOOKED_AT, kept))
    return _proposal(roster, change, found, stamp)


def _change(hall: Hall, typed: Typed, roster: Roster) -> tuple[DayRules, LateChange]:
    read = Reading(typed)
    before = time_of_day(read, "not_before", "The earliest start")
    read.done()
    rules = rules_of(roster)
    out = tuple(Withdrawn(entry=entry.id) for entry in roster.entries if read.ticked(f"out-{entry.id}"))
    partly = tuple(one for one in rules.withdrawn if one.event is not None)
    rules = rules.model_copy(update={"withdrawn": (*out, *partly)})
    given = problem_of(hall, rules, keeps_placed=True)
    events = {event.id for event in given.events}
    published = tuple(heat for heat in published_heats(hall, rules) if heat.event in events)
    if not any(spot.judge for heat in published if not heat.done for spot in heat.spots):
        given = given.model_copy(update={"rules": given.rules.model_copy(update={"with_judges": False})})
    coming = next((heat.start for heat in published if not heat.done), 0)
    not_before = max(0, nearest(minutes_of(before), coming)) if before else 0
    return rules, LateChange(given=given, published=published, not_before=not_before)


def _stamp(change: LateChange) -> str:
    return hashlib.sha256(change.model_dump_json().encode()).hexdigest()[:16]


def _proposal(roster: Roster, change: LateChange, found: Found, stamp: str) -> Proposal:
    events = names_of(roster.events)
    lines = moves(change.published, found.heats, names_of(roster.entries), names_of(roster.judges))
    told = tuple(MoveLine(events.get(move.event, ""), move.sentence) for move in lines)
    moved = len({heat.key or heat.number for heat in found.heats if not heat.done and _has_moved(change, heat)})
    words = f"{say('late.moves', n=len(told))}; {say('late.heats', n=moved)}"
    return Proposal(stamp, told, words if told else "Nothing has to move: the published day still works.")


def _has_moved(change: LateChange, heat: PlannedHeat) -> bool:
    return any(old.key == heat.key and old.start != heat.start for old in change.published)


async def _looked_at(hall: Hall, stamp: str) -> tuple[Found, DayRules] | None:
    """The late change that was looked at under this stamp; None when it was another, or made by another version."""
    kept: str | None = hall.planner.looked_at
    if not hall.relay.alone:
        kept = await hall.database.aread(lambda session: get_setting(session, LOOKED_AT))
    try:
        its_stamp, found, rules = json.loads(kept or "[]")
        return (Found.model_validate(found), DayRules.model_validate(rules)) if its_stamp == stamp else None
    except ValueError:
        return None


async def make(hall: Hall, typed: Typed) -> int:
    """Makes the moves that were looked at. Raises BadForm when the competition has changed meanwhile."""
    roster = needed_roster(hall)
    stamp = typed.get("stamp", "")
    kept = await _looked_at(hall, stamp)
    if kept is None or _stamp(_change(hall, typed, roster)[1]) != stamp:
        raise refuse("", CHANGED)
    found, rules = kept
    hall.planner.looked_at = ""
    if not hall.relay.alone:
        await hall.database.awrite_quietly(lambda session: delete_setting(session, LOOKED_AT))
    waiting = [heat for heat in found.heats if not heat.done]
    return await store_heats(hall, waiting, [how.event for how in rules.events], "Late change", rules)
