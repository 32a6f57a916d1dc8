"""The competition as a plan sees it: who competes in what, how long a heat holds the floor, what has been started and when."""

from collections.abc import Sequence

from app.hall.hall import Hall
from app.hall.heats import in_day_order, newest_runs
from app.hall.organising import needed_roster, zone_of
from app.plan.cutting import sources_of, standing_of
from app.plan.day_times import length_of, went
from app.rules.day.heats import PlanEntry, PlanEvent, PlannedHeat, Problem, Spot, drawn
from app.rules.day.lateness import planned_minutes
from app.rules.records.day import DayRules, EventDay
from app.rules.records.document import Run
from app.rules.records.entered import entered
from app.rules.records.roster import Event, Heat, Roster


def planned_events(roster: Roster, rules: DayRules) -> list[Event]:
    """The events that are planned, in their order."""
    chosen = {how.event for how in rules.events}
    return [event for event in roster.events if event.id in chosen]


def plan_entries(roster: Roster) -> tuple[PlanEntry, ...]:
    """All entries with their athletes and clubs."""
    clubs = {athlete.id: athlete.club for athlete in roster.athletes}
    return tuple(
        PlanEntry(
            id=entry.id,
            division=entry.division,
            members=entry.members,
            clubs=tuple(sorted({club for member in entry.members if (club := clubs[member])})),
        )
        for entry in roster.entries
    )


def problem_of(hall: Hall, rules: DayRules, keeps_placed: bool = False) -> Problem:
    """The problem of planning what has not been started yet. keeps_placed: entries that somebody has put on a lane of an event
    stay in it, though they have more or fewer members than it asks for."""
    roster = needed_roster(hall)
    if not roster.judges:
        rules = rules.model_copy(update={"with_judges": False})
    fixed = tuple(heat for heat in published_heats(hall, rules) if heat.done)
    events = planned_events(roster, rules)
    return Problem(
        rules=rules,
        divisions=tuple(division.id for division in roster.divisions),
        entries=plan_entries(roster),
        events=tuple(_plan_event(hall, roster, rules, event, keeps_placed) for event in events),
        judges=roster.judges,
        fixed=tuple(heat for heat in fixed if heat.event in {event.id for event in events}),
        both=judging_athletes(roster),
        again=tuple((one.event, one.entry) for one in hall.projection.standing_rulings if one.kind == "rerun" and one.entry),
        names={one.id: one.name for some in (roster.entries, roster.athletes) for one in some},
    )


def judging_athletes(roster: Roster) -> tuple[tuple[str, str], ...]:
    """Judges who compete too, each with the athlete: those of one name are taken for one person, for nothing else tells, and
    two people of that name lose nothing but a few lanes to judge."""
    competing = {member for entry in roster.entries for member in entry.members}
    names = [(_plain_name(one.name), one.id) for one in roster.athletes if one.id in competing]
    return tuple((judge.id, key) for judge in roster.judges for name, key in names if name == _plain_name(judge.name))


def _plain_name(name: str) -> str:
    return " ".join(name.split()).casefold()


def _plan_event(hall: Hall, roster: Roster, rules: DayRules, event: Event, keeps_placed: bool) -> PlanEvent:
    how, who = rules.of(event.id), entered(roster, event)
    does_it = {entry.id for entry in (who.taking_part if keeps_placed else who.fit)}
    order = [one for one in _seeded(hall, roster, rules, how) if one in does_it and not rules.is_out(one, event.id)]
    return PlanEvent(id=event.id, name=event.name, minutes=length_of(event, how), order=tuple(order))


def _seeded(hall: Hall, roster: Roster, rules: DayRules, how: EventDay) -> list[str]:
    """All entries, best first; those without a place in the standing come after those with one, as they were entered."""
    entered = [entry.id for division in roster.divisions for entry in roster.entries if entry.division == division.id]
    if how.seeding == "drawn":
        return drawn(entered, rules.seed, how.event)
    if how.seeding == "standing" and how.source in sources_of(roster):
        ranked = [
            one.entry.id
            for division in roster.divisions
            for one in standing_of(hall, how.source, division.id)
            if one.place is not None
        ]
        return ranked + [entry for entry in entered if entry not in set(ranked)]
    return entered


def published_heats(hall: Hall, rules: DayRules) -> tuple[PlannedHeat, ...]:
    """The heats that have a planned time or were started, those at their real times, in the order of the day."""
    roster = needed_roster(hall)
    runs = newest_runs(hall.projection.runs)
    events = {event.id: event for event in roster.events}
    planned = planned_minutes(in_day_order(roster))
    made = [
        _published(hall, events[heat.event], heat, runs.get(heat.id), rules, planned.get(heat.id, 12 * 60))
        for heat in roster.heats
        if heat.planned or heat.id in runs
    ]
    return tuple(sorted(made, key=lambda heat: (heat.start, heat.event, heat.number)))


def _published(hall: Hall, event: Event, heat: Heat, run: Run | None, rules: DayRules, start: int) -> PlannedHeat:
    length = length_of(event, rules.of(event.id))
    started = run is not None and run.state != "stopped"
    if run is not None and started:
        on_floor = went(hall, event, run, zone_of(rules), start)
        start, length = on_floor.start, max(length, on_floor.end - on_floor.start)
    return PlannedHeat(
        event=event.id,
        number=heat.number,
        start=start,
        minutes=length,
        spots=tuple(Spot(lane=lane.lane, entry=lane.entry, judge=lane.judge_id) for lane in heat.lanes),
        key=heat.id,
        done=run is not None,
    )


def names_of(items: Sequence[object]) -> dict[str, str]:
    """Names by id."""
    return {str(getattr(item, "id", "")): str(getattr(item, "name", "")) for item in items}
