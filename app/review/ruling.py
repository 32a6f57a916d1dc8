"""Ruling: the head judge's decisions stored as records, flags settled, rulings taken back."""

import asyncio
import json
from collections.abc import Callable, Sequence
from hashlib import sha256
from itertools import count
from typing import Any

from pydantic import ValidationError
from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.review.flags import flags
from app.rules.records.in_force import standing
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.references import known_of, marks_of_ruling, prints_of, ruling_fault
from app.rules.records.resting import TELLS_ONLY, named_lanes
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.values.clock_times import clock_ms_text
from app.store.kinds import RULINGS
from app.store.refusals import NotThere
from app.store.roster import read_roster

MOST_AT_ONCE = 4
ONCE = "once"  # the field that names one opening of a form
ID_DIGITS = 24  # hex, of an id that follows from a form: 96 bits
TAKEN_BACK = "That mark was taken back, so the ruling would change nothing. Rule on the mark that stands."
NOT_HERE = "That lift or repetition is not on this lane's sheets. Choose another."
# Each is made at a door of its own, which looks at what it needs: what stands in the way of a sign-off, what an undo may undo.
OTHERWISE = TELLS_ONLY | {"sign_off", "undo"}
GONE = "There is no such ruling, or it was already taken back."


def who_and_why(read: Reading, what: str = "The reason") -> tuple[str, str]:
    """Who rules, and why, which the page calls `what`: without either nothing is ruled."""
    return read.name("by", "Your name"), read.name("why", what, 300)


def suppose(hall: Hall, plain: Sequence[dict[str, Any]], by: str = "–", why: str = "–") -> tuple[Ruling, ...]:
    """Rulings from what an option says (kind, body, what it is on), numbered and dated as if made now. Raises BadForm."""
    first = later_than_all(hall)
    try:
        made = [
            Ruling.model_validate({**one, "id": new_id(), "by": by, "why": why, "made_wall_ms": first + number})
            for number, one in enumerate(plain)
        ]
    except ValidationError as wrong:
        raise refuse("option", str(wrong.errors()[0]["msg"]).removeprefix("Value error, ")) from None
    return tuple(made)


def option_text(plain: Sequence[dict[str, Any]]) -> str:
    """An option as a form carries it."""
    return json.dumps(list(plain), ensure_ascii=True, sort_keys=True)


def read_option(text: str) -> list[dict[str, Any]]:
    """The inverse of `option_text`. Raises BadForm."""
    try:
        read = json.loads(text)
    except (ValueError, RecursionError):
        read = None
    allowed = {"kind", "body", "assignment", "entry", "event"}
    fits = isinstance(read, list) and 0 < len(read) <= MOST_AT_ONCE
    if not fits or not all(
        isinstance(one, dict) and set(one) <= allowed and str(one.get("kind")) not in OTHERWISE for one in read
    ):
        raise refuse("option", "Choose what is ruled.")
    return list(read)


async def rule(hall: Hall, typed: Typed) -> tuple[Ruling, ...]:
    """Makes the rulings that an option says, and settles the flag that led to them. Raises BadForm, NotThere."""
    read = Reading(typed)
    by, why = who_and_why(read)
    read.done()
    supposed = suppose(hall, read_option(typed.get("option", "")), by, why)
    stands = {one.id for one in hall.projection.standing_rulings}
    taken_back = {one.id for one in hall.projection.rulings} - stands  # what was, is made anew, and once again
    named = (_named_by(read.raw(ONCE), turn, supposed) for turn in count())
    made = next(one for one in named if one[0].id not in taken_back)
    if made[0].id in stands:
        return made
    for ruling in made:
        _check_marks(hall, ruling)
    settling = await asyncio.to_thread(_settling, hall, typed.get("flag", ""), "settled", by, why, len(made))
    return await store(hall, (*made, *settling))


def _named_by(once: str, turn: int, made: Sequence[Ruling]) -> tuple[Ruling, ...]:
    """Rulings whose ids follow from the opening of the form that they were made in and from what they say: the same form sent
    twice is one ruling, and what a form says otherwise after a step back is another. turn: how often they were taken back
    before. As they are where the form names none."""
    if not once:
        return tuple(made)
    said = [one.model_dump_json(exclude={"id", "made_wall_ms"}) for one in made]
    ids = (sha256(f"{once}/{turn}/{number}/{text}".encode()).hexdigest()[:ID_DIGITS] for number, text in enumerate(said))
    return tuple(one.model_copy(update={"id": key}) for one, key in zip(made, ids, strict=True))


ANY = ""
KIND = {"lift": "lift", "reps": "rep", "admit": ANY}  # what kind of mark a ruling names


def _check_marks(hall: Hall, ruling: Ruling) -> None:
    """Raises BadForm where a ruling names a mark that is not on the lane's sheets, or that was taken back: it would change
    nothing there, or would take another repetition than the one that is meant."""
    named = [ruling.body.get("mark")] if ruling.kind == "lift" else ruling.body.get("marks", []) if ruling.kind in KIND else []
    for key in named:
        mark = _ruled_on(hall, ruling.assignment or "", str(key))
        if mark is None or KIND[ruling.kind] not in (mark.kind, ANY):
            raise refuse("option", NOT_HERE)
        if mark.id in hall.projection.sheet_tally(mark.sheet).struck:
            raise refuse("option", f"{TAKEN_BACK} It was made at {clock_ms_text(mark.at)}.")


def _ruled_on(hall: Hall, assignment: str, key: str) -> Mark | None:
    """The mark of this id, if it is on one of a lane's own sheets, or on the one that was moved to it."""
    counting = hall.projection.counting_sheet(assignment)
    found = hall.projection.named(key)
    return next((one for one in found if sheet_key(one.sheet).assignment == assignment or one.sheet == counting), None)


async def set_aside(hall: Hall, typed: Typed) -> tuple[Ruling, ...]:
    """Settles a flag without a ruling (nothing was wrong), or sets it aside (it can't be told). Raises BadForm, NotThere."""
    read = Reading(typed)
    by, why = who_and_why(read)
    done = read.choice("done", "What becomes of it", {"settled": "settled", "aside": "set aside"})
    read.done()
    made = await asyncio.to_thread(_settling, hall, typed.get("flag", ""), done, by, why)
    if not made:
        raise NotThere("That flag is gone: its cause has been corrected in the meantime.")
    return await store(hall, made)


def _settling(hall: Hall, key: str, done: str, by: str, why: str, after: int = 0) -> tuple[Ruling, ...]:
    flag = next((flag for flag in flags(hall) if flag.key == key), None) if key else None
    if flag is None:
        return ()
    body = {"flag": flag.key, "marks": list(flag.marks)[:2000], "done": done}
    when = later_than_all(hall) + after
    about = {"id": new_id(), "kind": "flag", "assignment": flag.assignment, "body": body, "made_wall_ms": when}
    return (Ruling.model_validate({**about, "by": by, "why": why}),)


async def take_back(hall: Hall, ruling_id: str, typed: Typed) -> Ruling:
    """Takes a ruling back by another one. Raises BadForm, NotThere. A sign-off is opened again instead."""
    read = Reading(typed)
    by, why = who_and_why(read)
    read.done()
    target = next((one for one in standing(hall.projection.rulings) if one.id == ruling_id), None)
    if target is None or target.kind == "sign_off":
        raise NotThere(GONE)
    made = undoing(hall, target, by, why)
    await store(hall, (made,))
    return made


def undoing(hall: Hall, target: Ruling, by: str = "–", why: str = "–") -> Ruling:
    """The ruling that would take another back."""
    about = {"assignment": target.assignment, "entry": target.entry, "event": target.event}
    plain = {"id": new_id(), "kind": "undo", "body": {"ruling": target.id}, "made_wall_ms": later_than_all(hall)}
    return Ruling.model_validate({**plain, **about, "by": by, "why": why})


async def store(hall: Hall, rulings: Sequence[Ruling], more: Callable[[Session], None] | None = None) -> tuple[Ruling, ...]:
    """Stores rulings together, with whatever else belongs to them; all or nothing, and nothing where they are stored already.
    Raises BadForm for one that names nothing."""

    def work(session: Session) -> None:
        if rulings[0].id in {one.id for one in RULINGS.all(session)}:
            return
        for ruling in rulings:
            RULINGS.put(session, ruling)
        if more is not None:
            more(session)
        _check_names(hall, rulings, read_roster(session))

    await change_roster(hall, work)
    return tuple(rulings)


def _check_names(hall: Hall, rulings: Sequence[Ruling], roster: Roster | None) -> None:
    """What a competition file would be refused for is not stored: a ruling that names nothing, or what is of two events."""
    now = hall.projection
    if roster is None:
        return
    marks = [mark for one in rulings for lane in named_lanes(one) for mark in now.assignment_marks(lane)]
    known = known_of(roster, now.runs, (*now.rulings, *rulings), marks)
    known.prints |= prints_of(now.doubled.found)
    known.awaited.update(key for one in rulings for key in marks_of_ruling(one))
    for ruling in rulings:
        if fault := ruling_fault(ruling, known):
            raise refuse("option", f"That can't be ruled: {fault}")
