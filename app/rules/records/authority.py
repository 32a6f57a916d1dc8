"""Who may make which mark when, and what it then does: one table. The server asks it, and the tablets ask the same rows.

A seat is at a place; whether a mark is made at that place is for whoever asks to see. Marks that are here already, or in a
competition file, are taken with what they say: the table is for marks that a seat makes or brings.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from app.rules.records.kinds import KINDS, ROWS, Kind
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.seats import SEATS, SHEET_KINDS, SHEETS, Seat, SheetKind
from app.rules.workout.formats import Format

# By the mark's own time on the heat clock: before GO, in a window of work, between two, after the last bell; and, whatever its
# time, while the event is signed off.
Moment = Literal["before", "work", "rest", "after", "signed"]
MOMENTS: tuple[Moment, ...] = get_args(Moment)

# What a mark then does. counts: it is folded into the record as the event's rules say. flagged: it is kept and flagged, and
# counts only within the event's grace beside a window. joined, compared, stands-in: see seats.Does. told: it is said beside the
# count and changes no number. kept: it came after the sign-off and changes nothing until the event is opened again. refused: it
# is not taken.
Effect = Literal["counts", "flagged", "joined", "compared", "stands-in", "told", "kept", "refused"]


@dataclass(frozen=True, slots=True)
class May:
    """How a seat may make a kind of mark.

    by: as whose word; none: as anybody's. own: it takes back only what this very device made, and only of these kinds; none: it
    may take back anything. when: at which moments.
    """

    by: tuple[str, ...] = ()
    own: tuple[Kind, ...] = ()
    when: tuple[Moment, ...] = MOMENTS


@dataclass(frozen=True, slots=True)
class Grant:
    """What a seat may write: on which kinds of sheet, which kinds of mark and how; `else_told`: what it is told otherwise, with a
    hole for the lane. brings: also marks that another device made which is paired now, such as those of a tablet's file."""

    sheets: tuple[SheetKind, ...]
    kinds: Mapping[Kind, May]
    else_told: str = ""
    brings: bool = False


ANYHOW: Mapping[Kind, May] = dict.fromkeys(KINDS, May())


def _judges(sheet: SheetKind) -> Grant:
    """Whoever judges at a place writes every kind of mark on the sheet of that seat, and nothing on another's."""
    return Grant((sheet,), ANYHOW, f"This device is {SHEETS[sheet].who} of lane {{}}, and this mark is for another sheet of it.")


AUTHORITY: Mapping[Seat, Grant] = {
    "desk": Grant(SHEET_KINDS, ANYHOW, brings=True),
    "review": Grant(("video",), ANYHOW, "The head judge judges from film; what is marked on the floor is the lane's to mark."),
    "lane": _judges("lane"),
    "second": _judges("second"),
    "third": _judges("third"),
    "shadow": _judges("shadow"),
    # The lifter declares and plans, the loaders tell of the bar, both on the lane judge's sheet.
    "lifter": Grant(
        ("lane",),
        {
            "declare": May(by=("lifter",)),
            "plan": May(by=("lifter",)),
            "loaded": May(by=("loader",)),
            "strike": May(own=("loaded",)),
        },
        "The lifter's device declares loads and tells of the bar; everything else is the judge's to mark.",
    ),
}


def effect_of(seat: Seat, device: str, mark: Mark, about: Mark | None, moment: Moment) -> Effect:
    """What a mark does that a seat makes with this device at its place; `about`: the mark that a strike-out names, if known."""
    how = AUTHORITY[seat].kinds.get(mark.kind)
    if how is None or (how.by and mark.body.get("by") not in how.by):
        return "refused"
    if how.own and not (about is not None and about.device == device and about.kind in how.own):
        return "refused"
    return cell(seat, sheet_key(mark.sheet).kind, mark.kind, moment)


def cell(seat: Seat, sheet: SheetKind, kind: Kind, moment: Moment) -> Effect:
    """One cell of the table: what a kind of mark does that a seat makes on a kind of sheet at a moment."""
    grant = AUTHORITY[seat]
    if sheet not in grant.sheets or kind not in grant.kinds or moment not in grant.kinds[kind].when:
        return "refused"
    if moment == "signed":
        return "kept"
    row, does = ROWS[kind], SHEETS[sheet].does
    if not row.work:
        return does if row.folded else "told"
    return "flagged" if does == "counts" and row.timed and moment != "work" else does


def moment_of(format: Format, at: int, signed: bool) -> Moment:
    """The moment of a mark: `at` in ms on the heat clock; signed: the event is signed off."""
    if signed:
        return "signed"
    if at < 0:
        return "before"
    if any(window.task is not None and window.start_ms <= at < window.end_ms for window in format.windows):
        return "work"
    return "rest" if at < format.length_ms else "after"


def authority_plain() -> dict[str, Any]:
    """The table as JSON, for the tablets: each seat, how it may make a kind of mark, and its cells by sheet, kind and moment."""
    return {seat: _seat_plain(seat) for seat in SEATS}


def _seat_plain(seat: Seat) -> dict[str, Any]:
    row, grant = SEATS[seat], AUTHORITY[seat]
    cells = {
        sheet: {kind: [cell(seat, sheet, kind, moment) for moment in MOMENTS] for kind in grant.kinds} for sheet in grant.sheets
    }
    how = {kind: {"by": may.by, "own": may.own} for kind, may in grant.kinds.items() if may.by or may.own}
    return {"role": row.role, "sheet": row.sheet, "how": how, "cells": cells}
