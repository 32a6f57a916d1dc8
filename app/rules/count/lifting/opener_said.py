"""What a lifter began a run with, or meant to. When a heat is run again its sheets begin empty, and a declaration is never made
by a program: so what stood in the run before is put before people again, like an opener that was said before the event.
static/js/rules/lifting/opener_said.js is the twin.
"""

from collections.abc import Iterable

from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load


def opener_said(marks: Iterable[Mark], window: int, member: int = 1, alone: bool = True) -> Load | None:
    """The load of a member's first try in a window, else what was declared last for it; None where nobody declared. marks: of one
    run of a lane, with those taken back; alone: nobody else lifts in the window, so a declaration need not name the member."""
    every = sorted(marks, key=lambda mark: mark.order)
    struck = {mark.body["mark"] for mark in every if mark.kind == "strike"}
    there = [mark for mark in every if mark.win == window and mark.id not in struck]
    mine = {
        mark.id: body_load(mark.body)
        for mark in there
        if mark.kind == "declare" and (mark.body.get("member") or (member if alone else 0)) == member
    }
    tried = (mine.get(mark.body.get("declared", "")) for mark in there if mark.kind in ("begun", "lift"))
    return next((load for load in tried if load), None) or next(reversed(mine.values()), None)
