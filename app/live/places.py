"""Where the lane assignments of a competition belong, and which of them count by whose sheets."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from app.rules.count.sheet_clock import SheetClocks
from app.rules.count.sheets import formats_by_assignment
from app.rules.records.roster import Assignment, Event, Heat, Roster
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SheetKind
from app.rules.workout.formats import Format


@dataclass(frozen=True, slots=True)
class Place:
    """Where an assignment belongs: its heat and its event, and the format it is judged under, variant and all."""

    assignment: Assignment
    heat: Heat
    event: Event
    format: Format


def places_of(roster: Roster | None) -> dict[str, Place]:
    """Where each lane assignment belongs; nothing before there is a competition."""
    if roster is None:
        return {}
    events = {event.id: event for event in roster.events}
    formats = formats_by_assignment(roster)
    return {lane.id: Place(lane, heat, events[heat.event], formats[lane.id]) for heat in roster.heats for lane in heat.lanes}


def readers_of(ruled: Mapping[str, Mapping[SheetKind, str]]) -> dict[str, set[str]]:
    """Which assignments count by the sheets of one."""
    readers: dict[str, set[str]] = {}
    for assignment, sheets in ruled.items():
        for key in sheets.values():
            readers.setdefault(assignment_of(key), set()).add(assignment)
    return readers


CountedBy = tuple[Mapping[SheetKind, str], tuple[Ruling, ...]]


def counted_by(ruled: Mapping[str, Mapping[SheetKind, str]], standing: Mapping[str, tuple[Ruling, ...]]) -> dict[str, CountedBy]:
    """By which sheets each assignment counts, and by which rulings that let one stand."""
    return {assignment: (sheets, standing.get(assignment, ())) for assignment, sheets in ruled.items()}


def reads_others(assignment: str, sheets: Mapping[SheetKind, str], standing: tuple[Ruling, ...]) -> bool:
    """Whether an assignment counts by a sheet that is not its own, or may."""
    return bool(standing) or any(assignment_of(key) != assignment for key in sheets.values())


def same_format(before: Mapping[str, Place], after: Mapping[str, Place], assignment_id: str) -> bool:
    """Whether an assignment is judged under the format that it was judged under before."""
    old, new = before.get(assignment_id), after.get(assignment_id)
    return old is not None and new is not None and (old.format is new.format or old.format == new.format)


Read = tuple[Mapping[str, Place], SheetClocks | None]


def read_alike(before: Read, after: Read) -> Callable[[str], bool]:
    """Whether a sheet is read under the same format, and by the same clock, as before."""
    (places, clocks), (new_places, new_clocks) = before, after

    def same(key: str) -> bool:
        alike = clocks and new_clocks and clocks.of(key) == new_clocks.of(key)
        return bool(alike) and same_format(places, new_places, assignment_of(key))

    return same


def assignment_of(sheet: str) -> str:
    """The assignment that a sheet belongs to."""
    return sheet.partition("/")[0]  # parsed marks hold well-formed keys only
