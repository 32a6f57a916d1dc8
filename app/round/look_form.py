"""A look as it is filled in on its page: the fields of the form, read into the sheet that is sealed."""

import re
from collections.abc import Iterator
from typing import Any, get_args

from pydantic import ValidationError

from app.hall.forms import BadForm, Reading, Typed, problems_of, row_numbers
from app.rules.round.look_guide import GearKind
from app.rules.round.look_sheet import NOT_SEEN, LookSheet, PartSheet
from app.rules.round.records import MOST_REPS
from app.rules.round.rule import PartRule
from app.rules.round.told import NotTold, read_number

MOMENT = re.compile(r"(\d{1,3}):([0-5]\d)(?:[.,](\d{1,3}))?", re.ASCII)
GEAR: dict[str, str] = {kind: kind for kind in get_args(GearKind)}
NO_MOMENT = "Say when in the film, in minutes and seconds, such as 0:12.50."
SURE = "Tick that this is what you saw. A sealed look is never changed."


def filled(blank: LookSheet, typed: Typed) -> LookSheet:
    """A blank sheet with what was typed. Raises BadForm."""
    read = Reading(typed)
    parts = [_part(read, number, one) for number, one in enumerate(blank.parts)]
    said: dict[str, Any] = {
        "parts": [
            blank.parts[n].model_dump(mode="json") | one | {"faults": _ticked(read, blank, f"fault-{n}", one["of"])}
            for n, one in enumerate(parts)
        ],
        "faults": _ticked(read, blank, "fault", "line"),
        "word": read.optional("word", "The word", 100),
        "gear": list(_gear(read)),
    }
    if not read.ticked("sure"):
        read.wrong("sure", SURE)
    read.done()
    try:
        return LookSheet.model_validate(blank.model_dump(mode="json") | said)
    except ValidationError as wrong:
        raise BadForm(problems_of(wrong)) from None


def _part(read: Reading, number: int, part: PartSheet) -> dict[str, Any]:
    name, of, asked = part.name, part.of, part.asked or PartRule(name=part.name)
    field = f"count-{number}"
    if not read.raw(field):
        read.wrong(field, NOT_SEEN.format(name=name))
    else:
        try:
            read_number(asked, read.raw(field))
        except NotTold as wrong:
            read.wrong(field, str(wrong))
    return {"name": name, "of": of, "count": read.raw(field), "at_ms": _moment(read, f"at-{number}"), "reps": _reps(read, number)}


def _reps(read: Reading, number: int) -> list[int]:
    """The moments of repetitions, which the page's script writes down: milliseconds of the film with blanks between."""
    told = read.raw(f"reps-{number}").split()
    if len(told) > MOST_REPS or not all(one.isascii() and one.isdigit() and len(one) < 10 for one in told):
        read.wrong(f"count-{number}", "The moments of the repetitions can't be read. Count them again.")
        return []
    return [int(one) for one in told]


def _ticked(read: Reading, blank: LookSheet, field: str, of: str) -> list[str]:
    return [one.key for one in blank.known if one.of == of and read.ticked(f"{field}-{one.key}")]


def _gear(read: Reading) -> Iterator[dict[str, Any]]:
    """What was identified; a line with nothing written is none."""
    for number in row_numbers(read.typed, "gear"):
        says = read.optional(f"gear-{number}-says", "What you saw", 200)
        if says:
            what = read.choice(f"gear-{number}-what", "What it is", GEAR)
            at = _moment(read, f"gear-{number}-at")
            if at is None and not read.problems_at(f"gear-{number}-at"):
                read.wrong(f"gear-{number}-at", NO_MOMENT)
            yield {"what": what, "says": says, "at_ms": at or 0}


def _moment(read: Reading, field: str) -> int | None:
    """A moment of the film in milliseconds; None if nothing was typed."""
    text = read.raw(field)
    if not text:
        return None
    found = MOMENT.fullmatch(text)
    if found is None:
        read.wrong(field, NO_MOMENT)
        return None
    return (int(found[1]) * 60 + int(found[2])) * 1000 + int((found[3] or "0").ljust(3, "0"))
