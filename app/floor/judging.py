"""Judging: what the lanes write into the ledger, who may write what, and what the desk knew when it came."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.floor.pacing import bringing, brought
from app.hall.devices import Who
from app.hall.hall import Hall
from app.live.servertime import go_on_this_timeline
from app.rules.records.authority import AUTHORITY, effect_of, moment_of
from app.rules.records.marks import MOST_MARKS, MOST_SEQ, BadMark, Mark, parse_mark, received_plain, sheet_key
from app.rules.records.receipts import Receipt
from app.rules.records.seats import SEATS, seat_of
from app.rules.values.texts import unfit
from app.rules.values.words import say
from app.rules.workout.formats import Format
from app.rules.workout.words import member_letter
from app.store.devices import standing_among

DEVICE_ID = re.compile(r"dev_[0-9a-f]{16}")  # the ids that this server gives; see new_session
NOT_YOURS = "This mark says that it was made on another device, which is paired: only that one can send it."
DOUBLE = (
    "The desk holds another mark under this mark's number. Both are kept, and neither counts before the head judge says which. "
    "Tell the head judge."
)


class TooManyMarks(ValueError):
    """Raised when a request brings more marks than it may; its text is the sentence to show. Nothing of it is stored."""

    def __init__(self, count: int) -> None:
        super().__init__(f"At most {MOST_MARKS} marks can be sent at once; these are {count}.")


@dataclass(frozen=True, slots=True)
class Refused:
    """One mark that was not taken, or shares its number: its epoch and number, as far as they could be read, and why."""

    epoch: int | None
    seq: int | None
    sentence: str

    def plain(self) -> dict[str, object]:
        """The refusal as JSON."""
        return {"epoch": self.epoch, "seq": self.seq, "sentence": self.sentence}


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to marks, given after they are committed: whose timeline this is, what is held by epoch, what was refused, and
    what is kept but shares its number or its id with another mark: a tablet that hears of one begins a new epoch."""

    boot: str
    held: Mapping[int, int]
    refused: tuple[Refused, ...]
    doubled: tuple[Refused, ...] = ()

    def plain(self) -> dict[str, object]:
        """The answer as JSON; the keys of `held` are texts there."""
        return {
            "boot": self.boot,
            "held": {str(epoch): through for epoch, through in self.held.items()},
            "refused": [one.plain() for one in self.refused],
            "doubled": [one.plain() for one in self.doubled],
        }


async def record_marks(hall: Hall, who: Who, raw_marks: Sequence[object], again: bool = False) -> Answer:
    """Stores every mark that can be understood and that this device may make, each with its receipt; tells the lane's other
    devices.

    Odd marks are taken: the tally flags them. again: the sender says that the desk held these before. Raises TooManyMarks,
    TooFast, and StoreFull when nothing could be stored.
    """
    if len(raw_marks) > MOST_MARKS:
        raise TooManyMarks(len(raw_marks))
    with bringing(hall, who, raw_marks):
        taken, refused = await _taken(hall, who, raw_marks, again)
        if taken:
            await hall.ledger.append(taken, hall.time.wall_ms())
    tell_lanes(hall, taken)
    doubled = [Refused(mark.epoch, mark.seq, DOUBLE) for mark in taken if hall.projection.doubled.has(mark)]
    brought(hall, who, taken, len(doubled))
    return Answer(hall.time.boot, hall.ledger.held(who.device_id), tuple(refused), tuple(doubled))


async def _taken(hall: Hall, who: Who, raw_marks: Sequence[object], again: bool) -> tuple[list[Mark], list[Refused]]:
    """The marks that can be stored, each with its receipt, and why the others can't."""
    others = await _other_devices(hall, who, raw_marks)
    taken: list[Mark] = []
    named: dict[str, Mark] = {}
    refused: list[Refused] = []
    for raw in raw_marks:
        try:
            mark = parse_mark(raw)
            _check_texts(mark)
            _may_write(hall, who, mark, named)
            if mark.device in others:
                raise BadMark(NOT_YOURS)
        except BadMark as wrong:
            refused.append(Refused(_number(raw, "epoch"), _number(raw, "seq"), str(wrong)))
        else:
            taken.append(replace(mark, receipt=_receipt(hall, who, mark, again)))
            named.setdefault(mark.id, mark)
    return taken, refused


def _receipt(hall: Hall, who: Who, mark: Mark, again: bool) -> Receipt:
    """What the desk knows of a mark at this moment. Whose maker is another device was brought by somebody who found it there."""
    key = sheet_key(mark.sheet)
    place = hall.projection.place_of(key.assignment)
    run = hall.projection.run_of(place.heat.id, key.run) if place else None
    clock = None if run is None else hall.time.server_ms() - go_on_this_timeline(run, hall.time)
    by_wall = run is not None and run.boot != hall.time.boot
    return Receipt(0, seat_of(who.role, who.sheet), clock, by_wall, again or mark.device != who.device_id)


def _check_texts(mark: Mark) -> None:
    """Raises BadMark for words that nobody can read. Marks that are here already, or in a file, are taken with what they say."""
    for name in FREE_TEXTS & mark.body.keys():
        said = mark.body[name]
        for text in [said] if isinstance(said, str) else said:
            if bad := unfit(text, lines=True):
                raise BadMark(f"The {name} of a mark holds {bad}.")


async def _other_devices(hall: Hall, who: Who, raw_marks: Sequence[object]) -> frozenset[str]:
    """Which of the devices that these marks say they were made on are paired now, and not the one that sends them.

    Numbers of another's marks, used up, would make that tablet believe that its own are safe. A device that is gone is no
    matter: a browser that was paired anew sends what it made before. The desk takes any tablet's marks from a file.
    """
    said = [raw.get("device") for raw in raw_marks if isinstance(raw, Mapping)]
    asked = {one for one in said if isinstance(one, str) and one != who.device_id and DEVICE_ID.fullmatch(one)}
    if not asked or AUTHORITY[seat_of(who.role, who.sheet)].brings:
        return frozenset()
    return await hall.database.aread(lambda session: standing_among(session, asked))


def _may_write(hall: Hall, who: Who, mark: Mark, with_it: Mapping[str, Mark]) -> None:
    """Raises BadMark with the reason why this device may not make this mark: by the table of authority, at its own place.

    `with_it`: marks that came before it at once, by id.
    """
    assignment = sheet_key(mark.sheet).assignment
    place = hall.projection.place_of(assignment)
    if place is None:
        raise BadMark("This mark belongs to a lane assignment that the desk does not have. Ask the desk for the start list.")
    lane, seat = place.assignment.lane, seat_of(who.role, who.sheet)
    if SEATS[seat].at_place and who.lane != lane:
        raise BadMark(f"This mark is for lane {lane}; this device is lane {who.lane}'s. To send it, pair with lane {lane}.")
    _check_member(place.format, mark)
    about = _about(hall, mark, with_it) if mark.kind == "strike" else None
    moment = moment_of(place.format, mark.at, hall.projection.is_signed(place.event.id))
    if effect_of(seat, who.device_id, mark, about, moment) == "refused":
        raise BadMark(AUTHORITY[seat].else_told.format(lane))


def _check_member(format: Format, mark: Mark) -> None:
    """Raises BadMark for a member whom an entry of this event does not have."""
    member = mark.body.get("member", 1)
    if member > format.members:
        last = f"{'and' if format.members == 2 else 'to'} {member_letter(format.members)}"
        has = say("members_lettered", n=format.members, last=last)
        raise BadMark(f"This mark is for member {member_letter(member)}; an entry of this event has {has}.")


def _about(hall: Hall, strike: Mark, with_it: Mapping[str, Mark]) -> Mark | None:
    """The mark that a strike-out names, if it is on the same lane assignment or came before it at once."""
    named, assignment = str(strike.body["mark"]), sheet_key(strike.sheet).assignment
    stored = (one for one in hall.projection.named(named) if sheet_key(one.sheet).assignment == assignment)
    return next(stored, with_it.get(named))


FREE_TEXTS = frozenset({"text", "why", "name", "items"})  # of a mark's body; everything else has a pattern


def tell_lanes(hall: Hall, marks: Sequence[Mark]) -> None:
    """Tells the other devices of the marks' lanes that are connected to this process."""
    by_lane: dict[int, list[Mark]] = {}
    for mark in marks:
        place = hall.projection.place_of(sheet_key(mark.sheet).assignment)
        if place is not None:
            by_lane.setdefault(place.assignment.lane, []).append(hall.projection.as_stored(mark))
    for lane, its_marks in by_lane.items():
        hall.hub.tell_here(f"lane:{lane}", {"type": "marks", "marks": [received_plain(mark) for mark in its_marks]})


def _number(raw: object, name: str) -> int | None:
    value = raw.get(name) if isinstance(raw, Mapping) else None
    return value if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_SEQ else None
