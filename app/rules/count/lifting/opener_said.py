"""What a lifter began a run with, or meant to. When a heat is run again its sheets begin empty, and a declaration is never made
by a program: so what stood in the run before is put before people again, like an opener that was said before the event.
static/js/rules/lifting/opener_said.js is the twin.
"""

from collections.abc import Collection, Iterable

from app.rules.count.lifting.next_attempt import REFUSALS
from app.rules.count.tally_shape import Flag
from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load


def refused_in(flags: Iterable[Flag]) -> frozenset[str]:
    """The declarations that the event's rules did not let stand, by what was odd about their sheet."""
    return frozenset(flag.mark for flag in flags if flag.why in REFUSALS)


def opener_said(
    marks: Iterable[Mark], window: int, member: int = 1, alone: bool = True, refused: Collection[str] = ()
) -> Load | None:
    """The load of a member's first try in a window, else what stands declared for it; None where nobody declared.

    marks: of one run of a lane, with those taken back; alone: nobody else lifts in the window, so a mark need not name the
    member; refused: what the rules did not let stand. A try is under the declaration that it names, be it refused, for the bar
    left under it; one that names none is under what stands by then, and a decision without either has a load of its own.
    """
    every = sorted(marks, key=lambda mark: mark.order)
    struck = {mark.body["mark"] for mark in every if mark.kind == "strike"}
    there = [mark for mark in every if mark.win == window and mark.id not in struck]
    declared = {mark.id: mark for mark in there if mark.kind == "declare"}
    stands: Load | None = None
    for mark in (mark for mark in there if mark.kind in ("declare", "begun", "lift")):
        under = declared.get(mark.body.get("declared", ""))
        whose = mark.body.get("member") or (under.body.get("member") if under else None) or (member if alone else None)
        if whose != member:
            continue
        if mark.kind == "declare":
            stands = stands if mark.id in refused else body_load(mark.body)
            continue
        asked = body_load(under.body) if under else None if "declared" in mark.body else stands
        tried = asked or (body_load(mark.body) if mark.kind == "lift" else None)
        if tried is not None:
            return tried
    return stands
