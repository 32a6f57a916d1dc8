"""A whole competition to begin from: what it holds, the few answers that are asked, and the day that they make."""

import asyncio
from dataclasses import dataclass
from itertools import count

from app.hall.changing import change_roster, new_id
from app.hall.forms import MOST_NAME, Reading, Typed, time_of_day
from app.hall.hall import Hall
from app.hall.organising import found
from app.people.organising import read_competition
from app.plan.day_times import length_of, rules_of
from app.planning.parts import numbered
from app.planning.quick import quick_times
from app.rules.beginning.begun import Answers, begun, event_format, latest_start
from app.rules.beginning.ready import Ready, ReadyEvent, ready_competitions
from app.rules.day.heats import PlanEntry, PlanEvent, Problem, groups_of
from app.rules.day.plan_check import broken_rules
from app.rules.day.plan_numbers import obstacles
from app.rules.reading.writing.written_text import written_text
from app.rules.records.judges import minutes_of
from app.rules.records.roster import MOST_LANES, Competition, Roster
from app.rules.values.clock_times import clock_text
from app.rules.values.units import LoadUnit
from app.rules.values.words import say
from app.store.refusals import AlreadyThere
from app.store.roster import put_everything

DIVISION = "division-"
MOST_ROOM = 400
ALREADY = "Somebody has named a competition here in the meantime. Go to the checklist."


@dataclass(frozen=True, slots=True)
class ReadyEventView:
    """An event of it: its name, its length, what it says line by line."""

    name: str
    length: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadyView:
    """A competition to begin from. `room`: how many entries fit as it stands; divisions are keys and names."""

    key: str
    name: str
    summary: str
    events: tuple[ReadyEventView, ...]
    divisions: tuple[tuple[str, str], ...]
    hours: int
    room: str


def ready_typed(key: str) -> Typed:
    """The form before anybody has typed. Raises NotThere."""
    ready = _ready(key)
    usual = {"start": ready.start, "lanes": str(ready.lanes), "unit": "kg"}
    return usual | {f"{DIVISION}{one.key}": one.name for one in ready.divisions}


def ready_view(key: str, typed: Typed) -> ReadyView:
    """What stands beside the form, in the unit that was chosen. Raises NotThere."""
    ready = _ready(key)
    unit: LoadUnit = "lb" if typed.get("unit") == "lb" else "kg"
    names = {one.key: one.name for one in ready.divisions}
    as_it_stands = Answers(Competition(id="ready", name=ready.name, unit=unit), ready.start, ready.lanes, names)
    ids = count()
    made = begun(ready, as_it_stands, lambda: f"ready-{next(ids)}")
    return ReadyView(
        key=key,
        name=ready.name,
        summary=ready.summary,
        events=tuple(_event_view(one, unit) for one in ready.events),
        divisions=tuple((one.key, one.name) for one in ready.divisions),
        hours=ready.hours,
        room=say("ready.room", n=ready.lanes, room=room(made)),
    )


def _event_view(event: ReadyEvent, unit: LoadUnit) -> ReadyEventView:
    format = event_format(event, unit)
    text = written_text(format)
    return ReadyEventView(event.name, f"{clock_text(format.length_ms)} min", tuple(text.text.splitlines()))


async def begin_from(hall: Hall, key: str, typed: Typed) -> None:
    """Begins the competition, all of it in one step. Raises NotThere, BadForm, AlreadyThere."""
    ready, read = _ready(key), Reading(typed)
    if hall.projection.roster is not None:
        raise AlreadyThere(ALREADY)
    answers = _answers(hall, ready, read)
    read.done()
    made = await asyncio.to_thread(begun, ready, answers, new_id)
    await change_roster(hall, lambda session: put_everything(session, made))


def _answers(hall: Hall, ready: Ready, read: Reading) -> Answers:
    competition = read_competition(hall, read)
    start = time_of_day(read, "start", "The first heat") or ready.start
    latest = latest_start(ready)
    if minutes_of(start) > minutes_of(latest):
        read.wrong("start", f"The day takes {ready.hours} hours and ends before midnight: begin at {latest} or earlier.")
    lanes = read.needed_whole("lanes", "The number of lanes", 1, MOST_LANES)
    return Answers(competition, start, lanes, _divisions(ready, read))


def _divisions(ready: Ready, read: Reading) -> dict[str, str]:
    """The divisions that are held, by key; one whose name was left empty is not."""
    names = {one.key: read.optional(f"{DIVISION}{one.key}", f"The name of “{one.name}”", MOST_NAME) for one in ready.divisions}
    held = {key: name for key, name in names.items() if name}
    if not held:
        read.wrong(f"{DIVISION}{ready.divisions[0].key}", "Name at least one division.")
    if len({name.casefold() for name in held.values()}) != len(held):
        read.wrong(f"{DIVISION}{ready.divisions[0].key}", "Two divisions have the same name. Give one another name.")
    return held


def _ready(key: str) -> Ready:
    by_key = {one.key: one for one in ready_competitions()}
    return by_key[key] if key in by_key else found((), key, "competition to begin from")


def room(made: Roster) -> int:
    """How many entries fit into the day of a competition, shared evenly by its divisions, nobody judging: found, not reckoned,
    for each answer rests on a plan that keeps every rule."""
    low, high = 0, MOST_ROOM
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(problem_with(made, middle)) else (low, middle - 1)
    return low


def fits(problem: Problem) -> bool:
    """Whether each heat as early as it can run makes a plan."""
    groups = groups_of(problem)
    if obstacles(problem, groups):
        return False
    return not broken_rules(problem, numbered(problem, groups, quick_times(problem, groups)))


def problem_with(made: Roster, many: int) -> Problem:
    """The day of a competition with so many entries that nobody has typed yet."""
    rules = rules_of(made).model_copy(update={"with_judges": False})
    divisions = [division.id for division in made.divisions]
    members = max(event.format.members for event in made.events)
    entries = tuple(
        PlanEntry(id=f"e{n}", division=divisions[n % len(divisions)], members=tuple(f"m{n}-{m}" for m in range(members)))
        for n in range(many)
    )
    order = tuple(entry.id for entry in entries)
    events = tuple(
        PlanEvent(id=one.id, name=one.name, minutes=length_of(one, rules.of(one.id)), order=order) for one in made.events
    )
    return Problem(rules=rules, divisions=tuple(divisions), entries=entries, events=events)
