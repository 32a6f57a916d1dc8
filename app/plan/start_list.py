"""The start list: heats of an event, who stands on which lane, and filling lanes from the entries in order."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from sqlmodel import Session

from app.hall.changing import change_roster, id_or_new, new_id
from app.hall.entered_words import asked_of
from app.hall.forms import Reading, Typed, refuse, time_of_day
from app.hall.hall import Hall
from app.hall.heats import newest_runs, state_of, unplaced
from app.hall.organising import found, needed_roster
from app.people.judges import judge_named
from app.rules.records.entered import entered
from app.rules.records.judges import clock_of
from app.rules.records.moves import ON_THE_FLOOR
from app.rules.records.platforms import heats_at_platforms
from app.rules.records.roster import MOST_LANES, Assignment, Entry, Event, Heat, Roster
from app.rules.workout.formats import AS_WRITTEN
from app.rules.workout.words import listed
from app.store.heats import delete_heat, put_heat, put_heats, refuse_if_started

MOST_HEATS = 200  # filled at once
ALL_PLACED = "Every entry for this event is already in one of its heats. Add entries, or take some off their lanes."
MINUTES_IN_DAY = 24 * 60


async def save_heat(hall: Hall, typed: Typed, key: str = "") -> str:
    """Adds a heat with its lanes, or changes one; returns what was done, in words.

    A lane assignment goes with its entry: an entry that is moved to another lane takes its marks along. Whoever comes in and
    waits in another heat of the event leaves that, so that nobody competes twice because one of two was forgotten; what was
    declared for them before GO comes along. Who has had a GO there stays there too; who stood here before keeps the rerun that
    they wait for.
    """
    roster = needed_roster(hall)
    before = next((heat for heat in roster.heats if heat.id == key), None)
    read = Reading(typed)
    event = read.choice("event", "The event", {one.id: one.name for one in roster.events})
    number = read.needed_whole("number", "The heat's number", 1, 9999)
    planned = time_of_day(read, "planned", "The planned time")
    waits = waiting_heats(hall, event)
    known = [lane for heat in (*waits, *((before,) if before else ())) for lane in heat.lanes]
    lanes = _typed_lanes(read, roster, known, variants_of(roster, event))
    stood = {lane.entry for lane in before.lanes} if before and before.event == event else set()
    _check_divisions(read, roster, event, lanes, stood)
    _check_at_the_bar(read, hall, event, lanes, stood)
    taken = [heat for heat in roster.heats if heat.event == event and heat.number == number and heat.id != key]
    if taken:
        read.wrong(
            "number", f"There is already a heat {number} in this event. Free numbers begin at {next_number(roster, event)}."
        )
    if before and before.event != event and any(run.heat == key for run in hall.projection.runs):
        read.wrong("event", f"Heat {before.number} has been started, so it stays in its event.")
    read.done()
    heat = Heat(id=id_or_new(key), event=event, number=number, planned=planned, lanes=lanes)
    came = {lane.entry for lane in lanes} - stood
    left = [one for one in waits if one.id != key and _without(one, came) != one]

    def store(session: Session) -> None:
        refuse_if_started(session, left)
        put_heats(session, [*(_without(one, came) for one in left), heat], ())

    await change_roster(hall, store)
    return " ".join((f"Heat {number} is saved.", *_moved(roster, left, came)))


def waiting_heats(hall: Hall, event: str) -> list[Heat]:
    """The heats of an event that never had a GO."""
    begun = {run.heat for run in hall.projection.runs}
    return [heat for heat in needed_roster(hall).heats if heat.event == event and heat.id not in begun]


def _without(heat: Heat, came: Collection[str]) -> Heat:
    """A heat without those who came from it to another."""
    return heat.model_copy(update={"lanes": tuple(lane for lane in heat.lanes if lane.entry not in came)})


def _moved(roster: Roster, left: Sequence[Heat], came: Collection[str]) -> Iterator[str]:
    names = {entry.id: entry.name for entry in roster.entries}
    for one in left:
        who = listed([names[lane.entry] for lane in one.lanes if lane.entry in came])
        yield f"{who} moved here from heat {one.number}."


def _check_at_the_bar(read: Reading, hall: Hall, event: str, lanes: Sequence[Assignment], stood: Collection[str]) -> None:
    """Nobody is taken into another flight while theirs is on the floor at a shared bar: their attempts stand on its sheet, and on
    a second one they would begin at the first again. Who stands here already may stay."""
    roster, runs = needed_roster(hall), newest_runs(hall.projection.runs)
    its = {one.id for one in heats_at_platforms(roster)}
    floor = [heat for heat in roster.heats if heat.event == event and heat.id in its and heat.id in runs]
    there = {
        lane.entry: heat.number
        for heat in floor
        if state_of(hall, roster, heat, runs[heat.id]) in ON_THE_FLOOR
        for lane in heat.lanes
    }
    names = {entry.id: entry.name for entry in roster.entries}
    for lane in lanes:
        if lane.entry in there and lane.entry not in stood:
            words = (
                f"{names[lane.entry]} is on the floor in heat {there[lane.entry]}, and attempts stay where they were made. "
                "Let them finish there."
            )
            read.wrong(f"lane-{lane.lane}-entry", words)


def _check_divisions(read: Reading, roster: Roster, event: str, lanes: Sequence[Assignment], stood: Collection[str]) -> None:
    """Nobody is put on a lane of an event that is not for their division. Who stands there already may stay."""
    its = next((one for one in roster.events if one.id == event), None)
    if its is None:
        return
    who, entries = entered(roster, its), {one.id: one for one in roster.entries}
    for lane in lanes:
        entry = entries[lane.entry]
        if entry.id not in stood and not who.is_for(entry.division):
            division = next(one.name for one in roster.divisions if one.id == entry.division)
            words = (
                f"{entry.name} is of {division}, which {its.name} is not for. Choose another entry, or open "
                "the event to them too."
            )
            read.wrong(f"lane-{lane.lane}-entry", words)


def variants_of(roster: Roster, event: str) -> dict[str, str]:
    """What a lane of an event can choose, by its key; nothing for an event without variants."""
    format = next((one.format for one in roster.events if one.id == event), None)
    if format is None or not format.variants:
        return {}
    return {"": "the same as its division", AS_WRITTEN: "as written", **{variant.id: variant.name for variant in format.variants}}


def _typed_lanes(
    read: Reading, roster: Roster, before: Sequence[Assignment], variants: Mapping[str, str]
) -> tuple[Assignment, ...]:
    ids = {lane.entry: lane.id for lane in before}
    entries = {entry.id: entry.name for entry in roster.entries}
    lanes: list[Assignment] = []
    for lane in range(1, MOST_LANES + 1):
        entry = read.raw(f"lane-{lane}-entry")
        judge = read.optional(f"lane-{lane}-judge", f"Lane {lane}'s judge")
        if not entry:
            continue
        if entry not in entries:
            read.wrong(f"lane-{lane}-entry", f"Lane {lane}'s entry is not there any more. Choose another.")
            continue
        twice = next((other for other in lanes if other.entry == entry), None)
        if twice:
            read.wrong(f"lane-{lane}-entry", f"{entries[entry]} is on lane {twice.lane} and on lane {lane}. Choose one of them.")
            continue
        chosen = f"lane-{lane}-variant"
        variant = read.choice(chosen, f"What lane {lane} does", variants) if variants and read.raw(chosen) else ""
        if variant in ("", *variants):
            chosen_judge = judge_named(roster, judge)
            lanes.append(
                Assignment(
                    id=ids.get(entry) or new_id(),
                    lane=lane,
                    entry=entry,
                    judge=chosen_judge.name if chosen_judge else judge,
                    judge_id=chosen_judge.id if chosen_judge else None,
                    variant=variant,
                )
            )
    return tuple(lanes)


def _event(roster: Roster, key: str) -> Event:
    return next(event for event in roster.events if event.id == key)


def next_number(roster: Roster, event: str) -> int:
    """The number after the last heat of an event."""
    return max((heat.number for heat in roster.heats if heat.event == event), default=0) + 1


async def fill_heats(hall: Hall, typed: Typed) -> int:
    """Makes as many heats as it takes to place every entry that stands in none, lanes in order; returns how many."""
    roster = needed_roster(hall)
    read = Reading(typed)
    event = read.choice("event", "The event", {one.id: one.name for one in roster.events})
    lanes = read.needed_whole("lanes", "The number of lanes", 1, MOST_LANES)
    first = time_of_day(read, "first", "The first heat's planned time")
    every = read.whole("every", "The minutes from heat to heat", 0, MINUTES_IN_DAY, 0) or 0
    apart = read.ticked("apart")
    read.done()
    groups = _groups(roster, unplaced(roster, event), lanes, apart)
    if not groups:
        raise refuse("event", " ".join((ALL_PLACED, *(one.sentence for one in asked_of(roster, _event(roster, event))))))
    start = next_number(roster, event)
    if start + len(groups) - 1 > 9999 or len(groups) > MOST_HEATS:
        raise refuse("lanes", f"That makes {len(groups)} heats; at most {MOST_HEATS} can be filled at once. Use more lanes.")
    heats = [
        Heat(id=new_id(), event=event, number=start + n, planned=later(first, every * n), lanes=_in_order(group))
        for n, group in enumerate(groups)
    ]

    def store(session: Session) -> None:
        for heat in heats:
            put_heat(session, heat)

    await change_roster(hall, store)
    return len(heats)


def _groups(roster: Roster, entries: list[Entry], lanes: int, apart: bool) -> list[list[Entry]]:
    """Entries cut into heats; with `apart`, no heat holds two divisions."""
    pools = (
        [[entry for entry in entries if entry.division == division.id] for division in roster.divisions] if apart else [entries]
    )
    return [pool[at : at + lanes] for pool in pools for at in range(0, len(pool), lanes)]


def _in_order(entries: list[Entry]) -> tuple[Assignment, ...]:
    return tuple(Assignment(id=new_id(), lane=lane, entry=entry.id) for lane, entry in enumerate(entries, 1))


def later(first: str, minutes: int) -> str:
    """A time of day so many minutes later; empty if there is none or it would be past midnight."""
    if not first:
        return ""
    total = int(first[:2]) * 60 + int(first[3:]) + minutes
    return clock_of(total) if total < MINUTES_IN_DAY else ""


async def remove_heat(hall: Hall, key: str) -> Heat:
    """Removes a heat that was never started and returns it, so that it can be put back. Raises InUse, NotThere."""
    heat = found(needed_roster(hall).heats, key, "heat")
    await change_roster(hall, lambda session: delete_heat(session, key))
    return heat
