"""What the set-up pages show: lists with their counts, and forms filled with what is stored."""

from dataclasses import dataclass, replace

from app.compose.plating import plates_step
from app.floor.floor import STATES, newest_runs, state_of
from app.hall.forms import Typed, row_numbers
from app.hall.hall import Hall
from app.hall.lane_rows import LETTERS, member_names
from app.hall.organising import found, needed_roster
from app.hall.views import State
from app.people.entering import named_members
from app.plan.start_list import next_number, unplaced, variants_of
from app.rules.records.roster import MOST_LANES, Competition, Heat, Roster
from app.rules.values.clock_times import clock_text
from app.rules.workout.formats import MOST_MEMBERS
from app.rules.workout.safety import FACTS

USUAL_LANES = 4


@dataclass(frozen=True, slots=True)
class Undo:
    """What was just deleted, and the form that puts it back."""

    sentence: str
    action: str
    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of setting up: where it is done and how far it is."""

    name: str
    link: str
    state: State
    words: str


@dataclass(frozen=True, slots=True)
class Choice:
    """One item of a list to choose from."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a list that can be opened, moved and deleted. `words` says what there is to know of it; `lifts`: an event in
    which loads are declared."""

    id: str
    name: str
    words: str
    first: bool = False
    last: bool = False
    club: str = ""
    weight: str = ""
    lifts: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Lines under a heading."""

    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class MemberField:
    """A member's row in the entry form."""

    number: int
    letter: str


@dataclass(frozen=True, slots=True)
class HeatRow:
    """A heat in the start list."""

    id: str
    number: int
    planned: str
    state: State
    started: bool
    lanes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EventHeats:
    """The start list of one event, and the entries that stand in none of its heats."""

    id: str
    name: str
    heats: tuple[HeatRow, ...]
    waiting: tuple[str, ...]


def competition_form(competition: Competition) -> Typed:
    """The competition's form filled with what is stored."""
    named = {"name": competition.name, "place": competition.place, "day": competition.day, "unit": competition.unit}
    named["protest_minutes"] = str(competition.protest_minutes)
    return named | {field: getattr(competition.safety, field) for field, _, _ in FACTS}


def steps(hall: Hall) -> tuple[Step, ...]:
    """The steps of setting up, each with how far it is."""
    roster = hall.projection.roster
    if roster is None:
        return (Step("Competition", "/desk/competition", State("look", "To do"), "Name it first."),)
    waiting = sum(len(unplaced(roster, event.id)) for event in roster.events)
    heats = _counted(len(roster.heats), "heat", "heats")
    plates_done, plates_said = plates_step(hall)
    return (
        Step("Competition", "/desk/competition", State("safe", "Done"), roster.competition.name),
        _step("Divisions", "/desk/divisions", len(roster.divisions), _counted(len(roster.divisions), "division", "divisions")),
        _step("Entries", "/desk/entries", len(roster.entries), _counted(len(roster.entries), "entry", "entries")),
        _step("Events", "/desk/events", len(roster.events), _counted(len(roster.events), "event", "events")),
        Step("Judges", "/desk/judges", State("none", ""), _counted(len(roster.judges), "judge", "judges")),
        _step("Heats", "/desk/heats", len(roster.heats), f"{heats}, {waiting} still to place" if waiting else heats),
        Step("Plates", "/desk/plates", State("safe", "Done") if plates_done else State("none", ""), plates_said),
        Step("Tablets", "/desk/tablets", State("none", ""), "Pair one with each lane."),
    )


def _step(name: str, link: str, count: int, words: str) -> Step:
    return Step(name, link, State("safe", "Done") if count else State("look", "To do"), words)


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}" if count else f"no {one} yet"


def division_lines(hall: Hall) -> tuple[Line, ...]:
    """The divisions in their order, each with the number of its entries."""
    roster = needed_roster(hall)
    counts = {division.id: sum(1 for entry in roster.entries if entry.division == division.id) for division in roster.divisions}
    return lines_in_order([(one.id, one.name, _counted(counts[one.id], "entry", "entries")) for one in roster.divisions])


def lines_in_order(items: list[tuple[str, str, str]]) -> tuple[Line, ...]:
    """Lines that know which is first and which is last."""
    return tuple(Line(*item, first=n == 0, last=n == len(items) - 1) for n, item in enumerate(items))


def entry_groups(hall: Hall) -> tuple[Group, ...]:
    """The entries by division, in their order."""
    roster = needed_roster(hall)
    groups = []
    for division in roster.divisions:
        entries = [entry for entry in roster.entries if entry.division == division.id]
        groups.append(Group(division.name, lines_in_order([(one.id, one.name, member_names(roster, one)) for one in entries])))
    return tuple(groups)


def division_choices(hall: Hall) -> tuple[Choice, ...]:
    """The divisions to choose from."""
    return tuple(Choice(division.id, division.name) for division in needed_roster(hall).divisions)


def club_names(hall: Hall) -> tuple[str, ...]:
    """The clubs' names, to be offered while typing."""
    return tuple(club.name for club in needed_roster(hall).clubs)


def entry_typed(hall: Hall, key: str) -> Typed:
    """An entry's form as stored. Raises NotThere."""
    roster = needed_roster(hall)
    entry = found(roster.entries, key, "entry")
    typed = {"name": entry.name, "division": entry.division}
    for number, named in enumerate(named_members(roster, entry)):
        typed |= {f"member-{number}-name": named.name, f"member-{number}-club": named.club}
    return typed


def member_fields(hall: Hall, typed: Typed) -> tuple[MemberField, ...]:
    """The rows for members: as many as the events want, and as many as the form has."""
    wanted = max((event.format.members for event in needed_roster(hall).events), default=2)
    rows = max(row_numbers(typed, "member"), default=-1) + 1
    return tuple(MemberField(number, LETTERS[number]) for number in range(min(MOST_MEMBERS, max(wanted, rows))))


def people_lines(hall: Hall) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """The clubs with the number of their athletes, and the athletes with the entries they are in."""
    roster = needed_roster(hall)
    clubs = tuple(
        Line(club.id, club.name, _counted(sum(1 for one in roster.athletes if one.club == club.id), "athlete", "athletes"))
        for club in roster.clubs
    )
    entries: dict[str, list[str]] = {}
    for entry in roster.entries:
        for member in entry.members:
            entries.setdefault(member, []).append(entry.name)
    athletes = tuple(
        Line(
            one.id,
            one.name,
            ", ".join(entries.get(one.id, [])) or "in no entry",
            club=one.club or "",
            weight=one.bodyweight.text() if one.bodyweight else "",
        )
        for one in roster.athletes
    )
    return clubs, athletes


def event_lines(hall: Hall) -> tuple[Line, ...]:
    """The events in the order run, each with its length, windows and heats."""
    roster = needed_roster(hall)
    items = []
    for event in roster.events:
        heats = _counted(sum(1 for heat in roster.heats if heat.event == event.id), "heat", "heats")
        windows = _counted(sum(1 for window in event.format.windows if window.task), "window of work", "windows of work")
        items.append((event.id, event.name, f"{clock_text(event.format.length_ms)} min, {windows}, {heats}"))
    lifted = {event.id for event in roster.events if any(task.kind == "lift" for task in event.format.tasks.values())}
    return tuple(replace(line, lifts=line.id in lifted) for line in lines_in_order(items))


def has_marks(hall: Hall, event: str) -> bool:
    """Whether anything was marked under an event: changing its windows then changes what the marks count for."""
    heats = [heat for heat in needed_roster(hall).heats if heat.event == event]
    return any(hall.projection.assignment_marks(lane.id) for heat in heats for lane in heat.lanes)


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
                state=STATES[state_of(hall, roster, heat, runs.get(heat.id))],
                started=heat.id in runs,
                lanes=_lane_texts(roster, heat),
            )
            for heat in heats
        )
        lists.append(EventHeats(event.id, event.name, rows, tuple(entry.name for entry in unplaced(roster, event.id))))
    return tuple(lists)


def _lane_texts(roster: Roster, heat: Heat) -> tuple[str, ...]:
    names = {entry.id: entry.name for entry in roster.entries}
    chosen = variants_of(roster, heat.event)
    lanes = sorted(heat.lanes, key=lambda lane: lane.lane)
    return tuple(
        f"{lane.lane}: {names[lane.entry]}{f' ({chosen[lane.variant]})' if lane.variant in chosen and lane.variant else ''}"
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


def event_choices(hall: Hall) -> tuple[Choice, ...]:
    """The events to choose from."""
    return tuple(Choice(event.id, event.name) for event in needed_roster(hall).events)


def entry_choices(hall: Hall, event: str, heat: str) -> tuple[tuple[str, tuple[Choice, ...]], ...]:
    """The entries to put on lanes, by division; one that stands in another heat of the event says so."""
    roster = needed_roster(hall)
    placed = {lane.entry: one.number for one in roster.heats if one.event == event and one.id != heat for lane in one.lanes}
    groups = []
    for division in roster.divisions:
        choices = tuple(
            Choice(entry.id, f"{entry.name} (in heat {placed[entry.id]})" if entry.id in placed else entry.name)
            for entry in roster.entries
            if entry.division == division.id
        )
        groups.append((division.name, choices))
    return tuple(groups)


def quick_filled(hall: Hall, typed: Typed, heat: str) -> dict[str, str]:
    """A heat's form with its empty lanes given to the entries that stand in no other heat, in order. Nothing is stored."""
    form = dict(typed)
    roster = needed_roster(hall)
    other = {lane.entry for one in roster.heats if one.event == form.get("event") and one.id != heat for lane in one.lanes}
    here = {text for name, text in form.items() if name.startswith("lane-") and name.endswith("-entry")}
    order = {division.id: number for number, division in enumerate(roster.divisions)}
    free = [one for one in sorted(roster.entries, key=lambda one: order[one.division]) if one.id not in other | here]
    empty = [lane for lane in lane_numbers(form) if not form.get(f"lane-{lane}-entry")]
    return {**form, **{f"lane-{lane}-entry": entry.id for lane, entry in zip(empty, free, strict=False)}}
