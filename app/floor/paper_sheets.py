"""Sheets to print, so that an event runs with no electricity: a scoresheet for each lane, a heat sheet for the wall."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.compose.brief import SafetyView, safety_view
from app.hall.hall import Hall
from app.hall.lane_rows import LETTERS
from app.hall.markings import markings_of
from app.hall.organising import found, needed_roster
from app.rules.count.sheets import format_for, variant_key
from app.rules.records.markings import line_text, measured
from app.rules.records.roster import Assignment, Entry, Event, Heat, Roster
from app.rules.values.clock_times import clock_text
from app.rules.values.words import say
from app.rules.workout.paper_rows import PaperWindow, paper_windows


@dataclass(frozen=True, slots=True)
class PaperEvent:
    """An event in the list of what can be printed."""

    id: str
    name: str
    words: str
    heats: tuple["PaperHeat", ...]


@dataclass(frozen=True, slots=True)
class PaperHeat:
    """A heat in that list."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class Scoresheet:
    """A lane's scoresheet: one page for a clipboard. `signers` are the lines to sign on, `wall` each member's
    wall line."""

    competition: str
    event: str
    heat: str
    planned: str
    lane: int
    entry: str
    members: tuple[str, ...]
    division: str
    variant: str
    judge: str
    windows: tuple[PaperWindow, ...]
    signers: tuple[str, ...]
    safety: SafetyView
    wall: tuple[str, ...]
    code: str


@dataclass(frozen=True, slots=True)
class Scoresheets:
    """Scoresheets in the order in which they are handed out."""

    title: str
    sheets: tuple[Scoresheet, ...]


@dataclass(frozen=True, slots=True)
class HeatLane:
    """A lane of a heat sheet."""

    lane: int
    entry: str
    members: str
    division: str
    judge: str


@dataclass(frozen=True, slots=True)
class HeatBlock:
    """A heat of a heat sheet."""

    name: str
    planned: str
    lanes: tuple[HeatLane, ...]


@dataclass(frozen=True, slots=True)
class HeatSheet:
    """All heats of an event with their lanes, for a wall."""

    competition: str
    where: str
    event: str
    length: str
    heats: tuple[HeatBlock, ...]
    safety: SafetyView


def paper_events(hall: Hall) -> tuple[PaperEvent, ...]:
    """What can be printed, event by event."""
    roster = needed_roster(hall)
    return tuple(_paper_event(roster, event) for event in roster.events)


def scoresheets(hall: Hall, key: str, heat: str = "") -> Scoresheets:
    """The scoresheets of an event, or of one heat of it. Raises NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    heats = [found(_heats(roster, event), heat, "heat")] if heat else _heats(roster, event)
    safety = safety_view(roster)
    sheets = tuple(_sheet(roster, event, one, lane, safety) for one in heats for lane in sorted(one.lanes, key=_by_lane))
    return Scoresheets(event.name, sheets)


def heat_sheet(hall: Hall, key: str) -> HeatSheet:
    """The heat sheet of an event. Raises NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    return HeatSheet(
        competition=roster.competition.name,
        where=" · ".join(text for text in (roster.competition.place, roster.competition.day) if text),
        event=event.name,
        length=clock_text(event.format.length_ms),
        heats=tuple(_block(roster, heat) for heat in _heats(roster, event)),
        safety=safety_view(roster),
    )


def _paper_event(roster: Roster, event: Event) -> PaperEvent:
    heats = _heats(roster, event)
    lanes = sum(len(heat.lanes) for heat in heats)
    words = ", ".join((say("heats", n=len(heats)), say("scoresheets", n=lanes)))
    return PaperEvent(event.id, event.name, words, tuple(PaperHeat(heat.id, f"Heat {heat.number}") for heat in heats))


def _heats(roster: Roster, event: Event) -> list[Heat]:
    return sorted((heat for heat in roster.heats if heat.event == event.id), key=lambda heat: heat.number)


def _by_lane(assignment: Assignment) -> int:
    return assignment.lane


def _entry(roster: Roster, assignment: Assignment) -> Entry:
    return found(roster.entries, assignment.entry, "entry")


def _members(roster: Roster, entry: Entry) -> tuple[str, ...]:
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    if len(entry.members) == 1:
        return () if names[entry.members[0]] == entry.name else (names[entry.members[0]],)
    return tuple(f"{LETTERS[place]} {names[member]}" for place, member in enumerate(entry.members))


def _sheet(roster: Roster, event: Event, heat: Heat, lane: Assignment, safety: SafetyView) -> Scoresheet:
    entry = _entry(roster, lane)
    division = found(roster.divisions, entry.division, "division")
    variant = event.format.variant(variant_key(event, entry.division, lane.variant))
    members, lines = _members(roster, entry), tuple(_wall_lines(roster, event, entry))
    signers = ("Judge", "Athlete") if len(members) < 2 else ("Judge", "One of the team")
    return Scoresheet(
        competition=roster.competition.name,
        event=event.name,
        heat=str(heat.number),
        planned=heat.planned,
        lane=lane.lane,
        entry=entry.name,
        members=members,
        division=division.name,
        variant=variant.name if variant else "",
        judge=lane.judge,
        windows=paper_windows(format_for(event, entry.division, lane.variant)),
        signers=signers,
        safety=safety,
        wall=lines,
        code=lane.id,
    )


def _wall_lines(roster: Roster, event: Event, entry: Entry) -> Iterator[str]:
    """Each member's wall line, where the event has one: the judge measures it again."""
    markings, reaches = markings_of(roster, event), measured(roster.measures)
    if markings is None or not markings.wall:
        return
    for place, member in enumerate(entry.members):
        whose = f"{LETTERS[place]} " if len(entry.members) > 1 else ""
        said = line_text(markings, reaches[member]) or say("wall.not_said") if member in reaches else say("wall.not_measured")
        yield f"{whose}{said}"


def _block(roster: Roster, heat: Heat) -> HeatBlock:
    divisions = {division.id: division.name for division in roster.divisions}
    lanes = []
    for lane in sorted(heat.lanes, key=_by_lane):
        entry = _entry(roster, lane)
        members = ", ".join(_members(roster, entry))
        lanes.append(HeatLane(lane.lane, entry.name, members, divisions[entry.division], lane.judge))
    return HeatBlock(f"Heat {heat.number}", heat.planned, tuple(lanes))
