"""Who may make which mark when, and what it then does: one table. The server asks it, and the tablets ask the same rows.

A seat is at a place; whether a mark is made at that place is for whoever asks to see. The door asks what is refused; the fold
asks what waits, by the receipts (receipts.py), so that a mark does the same wherever it is counted again. Marks whose receipt
is not known, of an older version, are taken with what they say."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from app.rules.records.kinds import KINDS, LOCKS, ROWS, Kind
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.seats import SEATS, SHEET_KINDS, SHEETS, Seat, SheetKind
from app.rules.workout.formats import Format

# The moment of a mark; the later ones in this list go before the earlier.
#
# By its own time on the heat clock: before GO, in a window of work, between two, after the last bell. by-hand: the desk has no
# such run, and the mark says that its clock was started by hand, or is received again. What the judge's hand had done by then,
# where somebody else tells of the bar: bar-out, it had left the rack; decided, it was judged or racked; signed, the judge had
# signed the sheet. A bar is free before all that, and for the next lift. What the desk knew when it came: ahead, for a time
# that had not come yet; no-run, for a run that there was not. signed-off: the event is. away: its device was sent away.
Moment = Literal[
    "before", "work", "rest", "after", "by-hand", "bar-out", "decided", "signed", "ahead", "no-run", "signed-off", "away"
]
MOMENTS: tuple[Moment, ...] = get_args(Moment)
BESIDE: frozenset[Moment] = frozenset({"before", "rest", "after"})  # not in a window of work
NOT_YET: tuple[Moment, ...] = ("ahead", "no-run")
HERE: tuple[Moment, ...] = tuple(moment for moment in MOMENTS if moment != "away")

# Of a tablet's own bound on the error of its clock so much is believed: who says more could mark ahead of time. Common
# practice, no source.
BELIEVED_MS = 1_000

# What a mark then does. counts: it is folded into the record as the event's rules say. flagged: it is kept and flagged, and
# counts only within the event's grace beside a window. joined, compared, stands-in: see seats.Does. told: it is said beside the
# count and changes no number. waits: it is kept and flagged, and counts only by a ruling. kept: it came after the sign-off and
# changes nothing until the event is opened again. refused: it is not taken.
Effect = Literal["counts", "flagged", "joined", "compared", "stands-in", "told", "waits", "kept", "refused"]


@dataclass(frozen=True, slots=True)
class May:
    """How a seat may make a kind of mark.

    by: as whose word; none: as anybody's. own: it takes back only what this very device made, and only of these kinds; none: it
    may take back anything. when: at which moments. waits: at which of them it waits for a ruling, where it would change a number.
    """

    by: tuple[str, ...] = ()
    own: tuple[Kind, ...] = ()
    when: tuple[Moment, ...] = HERE
    waits: tuple[Moment, ...] = NOT_YET


@dataclass(frozen=True, slots=True)
class Grant:
    """What a seat may write: on which kinds of sheet, which kinds of mark and how; `else_told`: what it is told otherwise, with a
    hole for the lane. brings: also marks that another device made which is paired now, such as those of a tablet's file."""

    sheets: tuple[SheetKind, ...]
    kinds: Mapping[Kind, May]
    else_told: str = ""
    brings: bool = False


ANYHOW: Mapping[Kind, May] = dict.fromkeys(KINDS, May())


def _judges(sheet: SheetKind, who: str = "") -> Grant:
    """Whoever judges at a place writes every kind of mark on the sheet of that seat, and nothing on another's."""
    is_who = who or f"{SHEETS[sheet].who} of lane {{}}"
    return Grant((sheet,), ANYHOW, f"This device is {is_who}, and this mark is for another sheet{'' if who else ' of it'}.")


# What is on the bar the loaders tell until it leaves the rack; from then on that is the judge's.
LOADING: Mapping[Kind, May] = {
    "loaded": May(by=("loader",), waits=(*NOT_YET, *LOCKS)),
    "strike": May(own=("loaded",), waits=(*NOT_YET, *LOCKS)),
}


# What is lifted next the lifter says, or whoever speaks for them. A load declared while the bar is out is for the next lift.
DECLARING: Mapping[Kind, May] = {
    "declare": May(by=("lifter",), waits=(*NOT_YET, "signed")),
    "plan": May(by=("lifter",)),
}


AUTHORITY: Mapping[Seat, Grant] = {
    "desk": Grant(SHEET_KINDS, ANYHOW, brings=True),
    "review": Grant(("video",), ANYHOW, "The head judge judges from film; only the lane can mark what happens on the floor."),
    "lane": _judges("lane"),
    "second": _judges("second"),
    "third": _judges("third"),
    "shadow": _judges("shadow"),
    # The lifter declares and plans, the loaders tell of the bar, both on the lane judge's sheet.
    "lifter": Grant(
        ("lane",),
        {**DECLARING, **LOADING},
        "The lifter's device declares loads and reports the bar; everything else is for the judge to mark.",
    ),
    "coach": Grant(("lane",), DECLARING, "A coach's device declares and plans loads; everything else is for others to mark."),
    "centre": _judges("lane", "the centre referee"),
    "left": _judges("second", "the left referee"),
    "right": _judges("third", "the right referee"),
    # The marshal writes down what lifters declare, calls them, and takes back what was written wrong.
    "marshal": Grant(
        ("lane",),
        {"declare": May(), "called": May(), "plan": May(), "note": May(), "strike": May(own=("declare", "called", "plan"))},
        "The marshal's device declares loads and calls lifters; everything else is the referees' to mark.",
    ),
    "loaders": Grant(("lane",), LOADING, "The loaders' device tells of the bar; everything else is the referees' to mark."),
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
    if moment == "signed-off":
        return "kept"
    row, does = ROWS[kind], SHEETS[sheet].does
    if not row.work and not row.folded:
        return "told"
    if moment in grant.kinds[kind].waits and (SHEETS[sheet].live or moment not in NOT_YET):
        return "waits"
    return "flagged" if does == "counts" and row.work and row.timed and moment in BESIDE else does


def moment_of(format: Format, at: int, signed_off: bool) -> Moment:
    """The moment of a mark by its own time: `at` in ms on the heat clock; signed_off: the event is."""
    if signed_off:
        return "signed-off"
    if at < 0:
        return "before"
    if any(window.task is not None and window.start_ms <= at < window.end_ms for window in format.windows):
        return "work"
    return "rest" if at < format.length_ms else "after"


def moment_at_receipt(mark: Mark, given: bool) -> Moment | None:
    """The moment that what the desk knew puts a mark at; None where it knew nothing against the mark's own time, or that is not
    known. given: the desk has given the mark's run a GO by now.

    A bar may be loaded and a load declared before GO. A clock that was started by hand is nobody's reading of the desk's clock:
    it is believed once the desk's GO was given. So is everything while the desk reckons by the wall clock alone. Common
    practice, no source."""
    receipt = mark.receipt
    if receipt is None or (ROWS[mark.kind].prepares and mark.at <= 0):
        return None
    hand = "hand" in mark.body
    if receipt.clock is None:
        return "by-hand" if (hand or receipt.again) and not given else "no-run"
    if receipt.wall:
        return None
    said = 0 if hand else mark.at + int(mark.body.get("held", 0))
    return "ahead" if said > receipt.clock + min(mark.err, BELIEVED_MS) else None


def voice(mark: Mark, about: Mark | None = None) -> Seat | None:
    """Whose word a mark is, whoever brought it: of the seat whose word it says that it is, else of the seat that it came from;
    None where that is not known. A device that takes back its own word speaks as it did. `about`: what a strike-out names."""
    spoken = voice(about) if about is not None and about.device == mark.device else None
    by = mark.body.get("by")
    speaks = (seat for seat, grant in AUTHORITY.items() if mark.kind in grant.kinds and by in grant.kinds[mark.kind].by)
    return spoken or next(speaks, mark.receipt.seat if mark.receipt else None)


def waits(mark: Mark, moment: Moment, about: Mark | None = None) -> bool:
    """Whether a mark that is here waits for a ruling at a moment, by the table."""
    seat = voice(mark, about)
    return seat is not None and cell(seat, sheet_key(mark.sheet).kind, mark.kind, moment) == "waits"


def authority_plain() -> dict[str, Any]:
    """The table as JSON, for the tablets: each seat, how it may make a kind of mark, and its cells by sheet, kind and moment."""
    return {seat: _seat_plain(seat) for seat in SEATS}


def _seat_plain(seat: Seat) -> dict[str, Any]:
    row, grant = SEATS[seat], AUTHORITY[seat]
    cells = {
        sheet: {kind: [cell(seat, sheet, kind, moment) for moment in MOMENTS] for kind in grant.kinds} for sheet in grant.sheets
    }
    how = {kind: {"by": may.by, "own": may.own} for kind, may in grant.kinds.items() if may.by or may.own}
    return {"role": row.role, "sheet": row.sheet, "name": row.name, "how": how, "cells": cells}
