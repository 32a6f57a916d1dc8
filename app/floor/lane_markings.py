"""A lane's wall lines: what its tablet is told, and what the desk is told when a judge measured something else."""

from collections.abc import Iterator
from typing import Any

from app.hall.hall import Hall
from app.hall.markings import markings_of
from app.rules.records.markings import Markings, differ, measured, measured_again, protocol_of, wall_line, wall_tasks
from app.rules.records.roster import Assignment, Entry, Event, Roster
from app.rules.values.lengths import Length, tape_text
from app.rules.workout.formats import Format

Plain = dict[str, Any]


def lane_markings(roster: Roster, event: Event, format: Format, entry: Entry) -> Plain | None:
    """The wall lines of an entry's members as the tablet needs them; None for an event without. Millimetres, exact, as text; a
    drop or a tolerance that nobody has said is None, and then no line is known."""
    markings = markings_of(roster, event)
    if markings is None or not markings.wall:
        return None
    reaches = measured(roster.measures)
    return {
        "unit": markings.unit,
        "drop_mm": markings.drop and str(markings.drop.mm),
        "tolerance_mm": markings.tolerance and str(markings.tolerance.mm),
        "tasks": list(wall_tasks(format)),
        "lines": [_line(markings, reaches.get(member)) for member in entry.members],
    }


def measuring_steps(roster: Roster, event: Event) -> list[Plain]:
    """How an event's wall lines are measured: each step in words, with its key and what fills its holes for another language."""
    found = protocol_of(markings_of(roster, event))
    return [{"key": step.key, "holes": dict(step.holes), "text": step.text} for step in found.steps] if found else []


def _line(markings: Markings, reach: Length | None) -> Plain | None:
    if reach is None or markings.drop is None:
        return None
    line = wall_line(reach, markings.drop)
    return {"mm": str(line), "text": tape_text(line, markings.unit)}


def line_doubts(hall: Hall, roster: Roster, event: Event, lane: Assignment) -> Iterator[tuple[str, str]]:
    """What the judge of a lane measured otherwise than it was taped by, as a sentence and the athlete's id."""
    markings = markings_of(roster, event)
    if markings is None or not markings.wall:
        return
    entry = next(one for one in roster.entries if one.id == lane.entry)
    reaches, names = measured(roster.measures), {athlete.id: athlete.name for athlete in roster.athletes}
    for (member, what), length in sorted(measured_again(hall.projection.assignment_marks(lane.id)).items()):
        athlete = entry.members[member - 1] if member <= len(entry.members) else None
        if athlete is None:
            continue
        yield from ((sentence, athlete) for sentence in _doubt(markings, names[athlete], reaches.get(athlete), what, length))


def _doubt(markings: Markings, name: str, reach: Length | None, what: str, length: Length) -> Iterator[str]:
    again = tape_text(length.mm, markings.unit)
    if reach is None:
        thing = "wrists are" if what == "reach" else "wall line is"
        yield f"{name}'s {thing} at {again}, measured on the lane; none was taken at check-in."
        return
    if markings.drop is None or markings.tolerance is None:
        return
    expected = reach.mm if what == "reach" else wall_line(reach, markings.drop)
    if differ(length.mm, expected, markings.tolerance.mm):
        thing = "wrists" if what == "reach" else "wall line"
        words = f"{name}'s {thing}: {again} measured on the lane, {tape_text(expected, markings.unit)} by check-in"
        yield f"{words}. That is more than {tape_text(markings.tolerance.mm, markings.unit)} apart: measure once more."
