"""Which lanes of a heat have their equipment checked, for the desk before a GO."""

from app.hall.hall import Hall
from app.rules.count.gear_check import Checked, checked, equipment_list
from app.rules.records.roster import Assignment, Heat
from app.rules.values.words import ranges, say

NOTHING_TO_CHECK = Checked("", ())


def lane_check(hall: Hall, assignment: Assignment) -> Checked | None:
    """Who signed for a lane's equipment and what was left out; None where nobody has."""
    place = hall.projection.place_of(assignment.id)
    wanted = equipment_list(place.format) if place else ()
    if not wanted:
        return NOTHING_TO_CHECK
    marks = [mark for mark in hall.projection.assignment_marks(assignment.id) if mark.sheet.endswith("/lane")]
    return checked(wanted, marks, [mark.body["mark"] for mark in marks if mark.kind == "strike"])


def unchecked_text(hall: Hall, heat: Heat) -> str:
    """The lanes of a heat whose equipment is not checked, in one sentence; empty when all is."""
    found = {lane.lane: lane_check(hall, lane) for lane in heat.lanes}
    none = sorted(lane for lane, one in found.items() if one is None)
    some = sorted((lane, one) for lane, one in found.items() if one is not None and one.missing)
    parts = [say("gear.not_checked", n=len(none), named=ranges(none))] if none else []
    parts += [f"lane {lane} signed by {one.name} without {_left_out(one)}" for lane, one in some]
    return f"Equipment: {'; '.join(parts)}. You can still press GO." if parts else ""


def _left_out(one: Checked) -> str:
    return say("gear.left_out", n=len(one.missing), line=one.missing[0])
