"""Heats made from standings: the best go on, seeded by where they stand. Looked at first, then made."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import BadForm, Problem, Reading, Typed, refuse, time_of_day
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.hall.result_words import shared_place
from app.plan.heat_views import USUAL_LANES
from app.plan.start_list import MINUTES_IN_DAY, MOST_HEATS, later, next_number
from app.rules.records.entered import entered
from app.rules.records.roster import MOST_LANES, Assignment, Entry, Heat, Roster
from app.rules.result.overall import cut, heats_by_seed, seeded_lanes
from app.rules.result.overall_results import ALL
from app.rules.values.words import say
from app.store.heats import put_heat

OVERALL = "overall"
ORDER = {"last": "the best in the last heat", "first": "the best in the first heat"}
SEEDING = {"middle": "from the middle lane outwards", "one": "from lane 1 upwards"}
MOST_ENTRIES = 1000
CHANGED = "These are not the heats that were shown: the standings or the form have changed meanwhile. Look again, then make them."


@dataclass(frozen=True, slots=True)
class Standing:
    """An entry with its place in the standing that it comes from; None for no place."""

    entry: Entry
    place: int | None
    shared: bool


@dataclass(frozen=True, slots=True)
class LanePlan:
    """A lane of a heat that would be made; nobody on it where the entries do not fill it."""

    lane: int
    entry: str
    place: str


@dataclass(frozen=True, slots=True)
class HeatPlan:
    """A heat that would be made."""

    number: int
    planned: str
    lanes: tuple[LanePlan, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """What would be made. `words` sums it up; `stamp` names it, so that what is made is what was looked at."""

    words: str
    heats: tuple[HeatPlan, ...]
    stamp: str


@dataclass(frozen=True, slots=True)
class CutPage:
    """What can be chosen."""

    sources: tuple[Choice, ...]
    divisions: tuple[Choice, ...]
    events: tuple[Choice, ...]
    orders: tuple[Choice, ...]
    seedings: tuple[Choice, ...]


def cut_page(hall: Hall) -> CutPage:
    """The choices of the page."""
    roster = needed_roster(hall)
    return CutPage(
        sources=_choices(sources_of(roster)),
        divisions=_choices({division.id: division.name for division in roster.divisions}),
        events=_choices({event.id: event.name for event in roster.events}),
        orders=_choices(ORDER),
        seedings=_choices(SEEDING),
    )


def cut_typed(hall: Hall) -> Typed:
    """The form to begin with: as many lanes as the other heats have, and as many entries as fill one heat."""
    roster = needed_roster(hall)
    lanes = str(max((lane.lane for heat in roster.heats for lane in heat.lanes), default=USUAL_LANES))
    return {"source": next(iter(sources_of(roster)), ""), "most": lanes, "lanes": lanes, "order": "last", "seeding": "middle"}


def plan_cut(hall: Hall, typed: Typed) -> CutPlan:
    """What a form would make. Raises BadForm."""
    return _plan(hall, typed)[0]


async def make_cut(hall: Hall, typed: Typed) -> int:
    """Makes the heats that were looked at, and returns how many. Raises BadForm, also when they would be others by now."""
    plan, heats = _plan(hall, typed)
    if typed.get("stamp", "") != plan.stamp:
        raise BadForm([Problem("", CHANGED)])

    def store(session: Session) -> None:
        for heat in heats:
            put_heat(session, heat)

    await change_roster(hall, store)
    return len(heats)


def _plan(hall: Hall, typed: Typed) -> tuple[CutPlan, list[Heat]]:
    roster = needed_roster(hall)
    read = Reading(typed)
    sources = sources_of(roster)
    source = read.choice("source", "The standing", sources)
    divisions = {one.id: one.name for one in roster.divisions}
    division = read.choice("division", "The division", divisions)
    most = read.needed_whole("most", "How many advance", 1, MOST_ENTRIES)
    event = read.choice("event", "The event to advance to", {one.id: one.name for one in roster.events})
    lanes = read.needed_whole("lanes", "The number of lanes", 1, MOST_LANES)
    order = read.choice("order", "The order of heats", ORDER)
    seeding = read.choice("seeding", "The lanes", SEEDING)
    first = time_of_day(read, "first", "The first heat's planned time")
    every = read.whole("every", "The minutes from heat to heat", 0, MINUTES_IN_DAY, 0) or 0
    read.done()
    _check_is_for(roster, event, division)
    standing = standing_of(hall, source, division)
    going = _going_on(standing, most, f"{divisions[division]}, {sources[source]}")
    _check_free(roster, event, going)
    groups = heats_by_seed(going, lanes, order == "last")
    start = next_number(roster, event)
    if len(groups) > MOST_HEATS or start + len(groups) > 9999:
        raise refuse("lanes", f"That makes {len(groups)} heats; at most {MOST_HEATS} can be made at once. Use more lanes.")
    plans, heats = [], []
    for n, group in enumerate(groups):
        on_lanes = seeded_lanes(group, lanes, seeding == "middle")
        planned = later(first, every * n)
        plans.append(HeatPlan(start + n, planned, _lane_plans(on_lanes, lanes)))
        heats.append(Heat(id=new_id(), event=event, number=start + n, planned=planned, lanes=_assignments(on_lanes)))
    return CutPlan(_words(standing, going, most), tuple(plans), _stamp(event, plans)), heats


def sources_of(roster: Roster) -> dict[str, str]:
    """The standings that entries can come from, by the value of the choice."""
    sources = {OVERALL: "overall"} if roster.overall is not None else {}
    for event in roster.events:
        for score in event.format.scores:
            name = f"{event.name}: {score.name}" if len(event.format.scores) > 1 else event.name
            sources[f"{event.id}/{score.id}"] = name
            apart = [variant for variant in event.format.variants if variant.ranked == "apart"]
            sources |= {f"{event.id}/{score.id}/{variant.id}": f"{name}, {variant.name}" for variant in apart}
    return sources


def standing_of(hall: Hall, source: str, division: str) -> list[Standing]:
    """The entries of a division in a standing, best first."""
    if source == OVERALL:
        tables = (table for table in hall.projection.overall() if table.division in (division, ALL))
        return _among([Standing(row.entry, row.place, row.shared) for table in tables for row in table.rows], division)
    event, score, variant = (*source.split("/"), "")[:3]
    return [
        Standing(row.entry, row.place, row.shared)
        for table in hall.projection.event_results(event).tables
        if (table.rule.id, table.division, table.variant.id if table.variant else "") == (score, division, variant)
        for row in table.rows
    ]


def _among(rows: Sequence[Standing], division: str) -> list[Standing]:
    """The entries of a division in a standing that may be of several, placed among themselves."""
    own = [row for row in rows if row.entry.division == division]
    places = [row.place for row in own if row.place is not None]
    better = {place: 1 + sum(1 for other in places if other < place) for place in places}
    return [
        row if row.place is None else replace(row, place=better[row.place], shared=places.count(row.place) > 1) for row in own
    ]


def _going_on(standing: Sequence[Standing], most: int, where: str) -> list[Standing]:
    """Those who go on, best first."""
    going = cut([(one, one.place) for one in standing], most)
    if not going:
        raise refuse("source", f"Nobody has a place in {where} yet, so nobody can advance from it.")
    return going


def _check_is_for(roster: Roster, event: str, division: str) -> None:
    """Nobody goes on to an event that is not for their division."""
    its = next(one for one in roster.events if one.id == event)
    if not entered(roster, its).is_for(division):
        name = next(one.name for one in roster.divisions if one.id == division)
        raise refuse("event", f"{its.name} is not for {name}. Choose another event, or open it to {name} too.")


def _check_free(roster: Roster, event: str, going: Sequence[Standing]) -> None:
    """Nobody is put into an event a second time."""
    heats = {lane.entry: heat.number for heat in roster.heats if heat.event == event for lane in heat.lanes}
    there = [f"{one.entry.name} (heat {heats[one.entry.id]})" for one in going if one.entry.id in heats]
    if there:
        told = ", ".join(there[:5]) + (f" and {len(there) - 5} more" if len(there) > 5 else "")
        raise refuse("event", say("cut.there", n=len(there), entries=told))


def _lane_plans(on_lanes: dict[int, Standing], lanes: int) -> tuple[LanePlan, ...]:
    plans = []
    for lane in range(1, lanes + 1):
        one = on_lanes.get(lane)
        plans.append(LanePlan(lane, one.entry.name, shared_place(one.place, one.shared)) if one else LanePlan(lane, "", ""))
    return tuple(plans)


def _assignments(on_lanes: dict[int, Standing]) -> tuple[Assignment, ...]:
    return tuple(Assignment(id=new_id(), lane=lane, entry=one.entry.id) for lane, one in sorted(on_lanes.items()))


def _words(standing: Sequence[Standing], going: Sequence[Standing], most: int) -> str:
    entries = say("cut.going", n=len(going), standing=len(standing))
    more = f", because the last place to advance is shared (you asked for {most})" if len(going) > most else ""
    fewer = f": only so many have a place (you asked for {most})" if len(going) < most else ""
    return f"{entries}{more or fewer}."


def _stamp(event: str, plans: Sequence[HeatPlan]) -> str:
    told = json.dumps([event, [[plan.number, plan.planned, [lane.entry for lane in plan.lanes]] for plan in plans]])
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _choices(words: dict[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, text) for value, text in words.items())
