"""What the pages of heats show: the start lists, and a heat's form filled with what is stored."""

from dataclasses import dataclass

from app.hall.entered_words import Asked, asked_of
from app.hall.forms import Typed, row_numbers
from app.hall.hall import Hall
from app.hall.heats import newest_runs, state_of, state_words, unplaced
from app.hall.lists import Choice
from app.hall.organising import found, needed_roster
from app.hall.views import State
from app.plan.start_list import next_number, variants_of, waiting_heats
from app.rules.records.entered import entered
from app.rules.records.roster import MOST_LANES, Heat, Roster

USUAL_LANES = 4


@dataclass(frozen=True, slots=True)
class HeatRow:
    """A heat in the start list; `lanes`: each with its number and who is on it."""

    id: str
    number: int
    planned: str
    state: State
    started: bool
    lanes: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class EventHeats:
    """The start list of one event, the entries that stand in none of its heats, and what is asked of who does not fit it."""

    id: str
    name: str
    heats: tuple[HeatRow, ...]
    waiting: tuple[str, ...]
    asked: tuple[Asked, ...]


def start_list(hall: Hall) -> tuple[EventHeats, ...]:
    """The start lists of all events."""
    roster = needed_roster(hall)
    runs = newest_runs(hall.projection.runs)
    lists = []
    for event in roster.events:
        heats = sorted((heat for heat in roster.heats if heat.event == event.id), key=lambda heat: heat.number)
        rows = tuple(
            HeatRow(
                id=heat.id,
                number=heat.number,
                planned=heat.planned,
                state=state_words(state_of(hall, roster, heat, runs.get(heat.id))),
                started=heat.id in runs,
                lanes=_lane_texts(roster, heat),
            )
            for heat in heats
        )
        waiting = tuple(entry.name for entry in unplaced(roster, event.id))
        lists.append(EventHeats(event.id, event.name, rows, waiting, asked_of(roster, event)))
    return tuple(lists)


def _lane_texts(roster: Roster, heat: Heat) -> tuple[tuple[int, str], ...]:
    names = {entry.id: entry.name for entry in roster.entries}
    chosen = variants_of(roster, heat.event)
    lanes = sorted(heat.lanes, key=lambda lane: lane.lane)
    return tuple(
        (lane.lane, f"{names[lane.entry]}{f' ({chosen[lane.variant]})' if lane.variant in chosen and lane.variant else ''}")
        for lane in lanes
    )


def heat_typed(hall: Hall, key: str) -> Typed:
    """A heat's form as stored. Raises NotThere."""
    heat = found(needed_roster(hall).heats, key, "heat")
    typed = {"event": heat.event, "number": str(heat.number), "planned": heat.planned}
    typed["lanes"] = str(max((lane.lane for lane in heat.lanes), default=USUAL_LANES))
    for lane in heat.lanes:
        typed |= {f"lane-{lane.lane}-entry": lane.entry, f"lane-{lane.lane}-judge": lane.judge}
        typed |= {f"lane-{lane.lane}-variant": lane.variant} if lane.variant else {}
    return typed


def variant_choices(hall: Hall, event: str) -> tuple[Choice, ...]:
    """What a lane of an event can choose; nothing for an event without variants."""
    return tuple(Choice(key, words) for key, words in variants_of(needed_roster(hall), event).items())


def new_heat_typed(hall: Hall, event: str) -> Typed:
    """The form of a new heat: the event's next number, as many lanes as its other heats have."""
    roster = needed_roster(hall)
    event = event or next((one.id for one in roster.events), "")
    lanes = max((lane.lane for heat in roster.heats for lane in heat.lanes), default=USUAL_LANES)
    return {"event": event, "number": str(next_number(roster, event)), "planned": "", "lanes": str(lanes)}


def lane_numbers(typed: Typed) -> tuple[int, ...]:
    """The lanes that a heat's form shows: as many as asked for, and never fewer than are filled."""
    rows = [number for number in row_numbers(typed, "lane") if typed.get(f"lane-{number}-entry")]
    asked = typed.get("lanes", "")
    wanted = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 4 else USUAL_LANES
    return tuple(range(1, min(MOST_LANES, max([wanted, 1, *rows])) + 1))


def entry_choices(hall: Hall, event: str, heat: str) -> tuple[tuple[str, tuple[Choice, ...]], ...]:
    """The entries to put on lanes, by division; one that stands in another heat of the event says so, and if it leaves it."""
    roster, waits = needed_roster(hall), {one.id for one in waiting_heats(hall, event)}
    others = [one for one in roster.heats if one.event == event and one.id != heat]
    here = {lane.entry for one in roster.heats if one.id == heat for lane in one.lanes}
    placed = {
        lane.entry: f"{'moves from' if one.id in waits and lane.entry not in here else 'in'} heat {one.number}"
        for one in others
        for lane in one.lanes
    }
    its = next((entered(roster, one) for one in roster.events if one.id == event), None)
    groups = []
    for division in roster.divisions:
        choices = tuple(
            Choice(entry.id, f"{entry.name} ({placed[entry.id]})" if entry.id in placed else entry.name)
            for entry in roster.entries
            if entry.division == division.id and (its is None or its.is_for(division.id) or entry.id in here)
        )
        groups += [(division.name, choices)] if choices else []
    return tuple(groups)


def quick_filled(hall: Hall, typed: Typed, heat: str) -> dict[str, str]:
    """A heat's form with its empty lanes given to the entries that stand in no other heat, in order. Nothing is stored."""
    form = dict(typed)
    roster = needed_roster(hall)
    here = {text for name, text in form.items() if name.startswith("lane-") and name.endswith("-entry")}
    free = [one for one in unplaced(roster, form.get("event", "")) if one.id not in here]
    empty = [lane for lane in lane_numbers(form) if not form.get(f"lane-{lane}-entry")]
    return {**form, **{f"lane-{lane}-entry": entry.id for lane, entry in zip(empty, free, strict=False)}}
