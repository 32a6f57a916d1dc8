"""Judging: what the lanes write into the ledger, who may write what, and what the desk knew when it came."""

import asyncio
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

from app.floor.bar_beside import tell_bar
from app.floor.pacing import bringing, brought
from app.floor.sent_marks import mark_of, said
from app.hall.devices import Who, held_by
from app.hall.hall import Hall
from app.live.platforms import stands_at
from app.live.servertime import go_on_this_timeline
from app.rules.records.authority import AUTHORITY, effect_of, moment_of
from app.rules.records.marks import MOST_MARKS, MOST_SEQ, BadMark, Mark, received_plain, sheet_key, with_receipt
from app.rules.records.receipts import Receipt, receipt_plain
from app.rules.records.seats import SEATS, Role, SeatRow, SheetKind, seat_of, seat_row
from app.rules.values.texts import unfit
from app.rules.values.words import say
from app.rules.workout.formats import Format
from app.rules.workout.words import member_letter
from app.store.devices import PROVES, Device, devices_among

DEVICE_ID = re.compile(r"dev_[0-9a-f]{16}")  # the ids that this server gives; see new_session
NOT_YOURS = (
    "This mark says that it was made on another device, which is paired: only that one can send it. Was it this browser? Then "
    "the desk ends that pairing first."
)
ENDED = "Made under a pairing that the desk has ended."
BY_YES = "The desk can take them in, at Tablets."
BY_FILE = "The desk can take them from the file that a tablet saves."
BY_LOGIN = "Log in as the desk in this browser to send it."
BEGUN_MS = 60_000  # a run belongs to a pairing that ended so shortly before its GO: a GO is given ahead
AT_A_STRETCH = 25  # marks of one request, before those who tap are answered
DOUBLE = (
    "The desk holds a different mark with this mark's number. Both are kept, and neither counts before the head "
    "judge says which. "
    "Tell the head judge."
)
ASIDE = (
    "This sheet got more marks than hands can make. The desk keeps the last ones aside, and they don't count until the head "
    "judge says so. Tell the head judge."
)


class TooManyMarks(ValueError):
    """Raised when a request brings more marks than it may; its text is the sentence to show. Nothing of it is stored."""

    def __init__(self, count: int) -> None:
        super().__init__(f"At most {MOST_MARKS} marks can be sent at once; these are {count}.")


class NotFromHere(BadMark):
    """Raised for a mark that is well made and not this device's to send; its text is the sentence to show."""


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
    """The answer to marks, given after they are committed: whose timeline this is, what is held of whom, what was refused, and
    what is kept but shares its number or its id with another mark: a tablet that hears of one begins a new epoch. aside: the
    sentence for marks that are kept but are more than hands make. receipts: of each mark that was sent, in order, None where it
    has none: what hangs on them the tablet that made a mark must count as all others do."""

    boot: str
    held: Mapping[str, object]
    refused: tuple[Refused, ...]
    doubled: tuple[Refused, ...] = ()
    aside: str = ""
    receipts: tuple[Receipt | None, ...] = ()

    def plain(self) -> dict[str, object]:
        """The answer as JSON."""
        return {
            "boot": self.boot,
            **self.held,
            "refused": [one.plain() for one in self.refused],
            "doubled": [one.plain() for one in self.doubled],
            "aside": self.aside,
            "receipts": [receipt and receipt_plain(receipt) for receipt in self.receipts],
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
        sorted_out, refused = await _sorted_out(hall, who, raw_marks, again)
        taken = [mark for mark in sorted_out if mark is not None]
        if taken:
            await hall.ledger.append(taken, hall.time.wall_ms())
    sheets = by_sheet(taken)
    tell_lanes(hall, sheets, who.device_id)
    doubled = [Refused(mark.epoch, mark.seq, DOUBLE) for mark in taken if hall.projection.doubled.has(mark)]
    if refused:
        hall.presence.told_no(who.device_id, refused[0].sentence)
    aside = _aside(hall, who, sheets)
    brought(hall, who, sheets, len(doubled), aside)
    receipts = tuple(None if mark is None else hall.projection.as_stored(mark).receipt for mark in sorted_out)
    return Answer(hall.time.boot, held_by(hall, who), tuple(refused), tuple(doubled), ASIDE if aside else "", receipts)


def by_sheet(marks: Iterable[Mark]) -> dict[str, list[Mark]]:
    """Marks by the keys of their sheets."""
    found: dict[str, list[Mark]] = {}
    for mark in marks:
        found.setdefault(mark.sheet, []).append(mark)
    return found


async def _sorted_out(hall: Hall, who: Who, raw_marks: Sequence[object], again: bool) -> tuple[list[Mark | None], list[Refused]]:
    """The marks that can be stored, each with its receipt and in its place, and why the others can't."""
    makers = await _makers(hall, who, raw_marks)
    found: list[Mark | None] = []
    named: dict[str, Mark] = {}
    refused: list[Refused] = []
    for number, raw in enumerate(raw_marks, 1):
        if number % AT_A_STRETCH == 0:
            await asyncio.sleep(0)
        try:
            mark = mark_of(raw)
            if mark.body:
                _check_texts(mark)
            maker = _maker(hall, makers.of(mark), mark, named)
            if makers.are_paired(mark):
                raise BadMark(NOT_YOURS)
        except BadMark as wrong:
            found.append(None)
            if not _is_here(hall, raw):
                refused.append(Refused(_number(raw, "epoch"), _number(raw, "seq"), makers.told(wrong, raw)))
        else:
            found.append(with_receipt(mark, _receipt(hall, maker, mark, again)))
            named.setdefault(mark.id, mark)
    return found, refused


def _aside(hall: Hall, who: Who, sheets: Mapping[str, Sequence[Mark]]) -> int:
    """How many of the marks that have just come lie beyond what hands make on a sheet."""
    seat, found = seat_row(who.role, who.sheet).kept_as or seat_of(who.role, who.sheet), 0
    for sheet, marks in sheets.items():
        ground = hall.projection.grounds.of(sheet)
        if ground is not None:
            found += max(0, min(len(marks), hall.projection.came_from(sheet, seat) - ground.most))
    return found


def _receipt(hall: Hall, who: Who, mark: Mark, again: bool) -> Receipt:
    """What the desk knows of a mark at this moment. Whose maker is another device was brought by somebody who found it there."""
    ground = hall.projection.grounds.of(mark.sheet)
    run = ground.run if ground else None
    clock = None if run is None else hall.time.server_ms() - go_on_this_timeline(run, hall.time)
    by_wall = run is not None and run.boot != hall.time.boot
    seat = seat_row(who.role, who.sheet).kept_as or seat_of(who.role, who.sheet)
    return Receipt(0, seat, clock, by_wall, again or mark.device != who.device_id)


def _check_texts(mark: Mark) -> None:
    """Raises BadMark for words that nobody can read. Marks that are here already, or in a file, are taken with what they say."""
    for name in FREE_TEXTS & mark.body.keys():
        said = mark.body[name]
        for text in [said] if isinstance(said, str) else said:
            if bad := unfit(text, lines=True):
                raise BadMark(f"The {name} of a mark holds {bad}.")


@dataclass(frozen=True, slots=True)
class Makers:
    """Who made the marks that one device sends: itself, or somebody whom it may speak for. `others`: the devices of this store
    that they name beside."""

    hall: Hall
    who: Who
    others: Mapping[str, Device]

    def of(self, mark: Mark) -> tuple[Who, ...]:
        """As whom a mark may be taken, the likeliest first. Raises BadMark where that waits for the desk, or can't be.

        A pairing of before, whose key this browser has shown or which the desk vouches for, is what it was: its seat and its
        place; or this one's own, where a lane was changed since. Of a device that is gone, or that this store does not know (an
        older backup, a new laptop), a mark is taken at this one's own place; never from a pairing that the desk has ended.
        """
        if not self.who.before and not self.others:
            return (self.who,)
        former = next((one for one in self.who.before if one.id == mark.device), None)
        if former is not None:
            begun = _begun_by(self.hall, mark, former.until_wall_ms)
            was = Who(former.id, cast(Role, former.role), former.lane, "", cast(SheetKind, former.sheet), (), former.entries)
            return (was, self.who) if begun else (self.who,)
        maker = self.others.get(mark.device)
        if maker is not None and maker.revoked_wall_ms is not None and maker.ended not in PROVES:
            raise NotFromHere(ENDED)
        return (self.who,)

    def are_paired(self, mark: Mark) -> bool:
        """Whether a mark says that it was made on another device, which is paired now: only that one sends it.

        Numbers of another's marks, used up, would make that tablet believe that its own are safe.
        """
        maker = self.others.get(mark.device)
        return maker is not None and maker.revoked_wall_ms is None

    def told(self, wrong: BadMark, raw: object) -> str:
        """Why a mark was refused, and the way out where there is one: what another pairing made the desk can take in, and whoever
        judges a film can log in as the desk."""
        made_on = said(raw, "device")
        if not isinstance(wrong, NotFromHere) or made_on == self.who.device_id:
            return str(wrong)
        if not SEATS[seat_of(self.who.role, self.who.sheet)].at:
            return f"{wrong} {BY_LOGIN}"
        known = made_on in self.others or any(one.id == made_on for one in self.who.before)
        return f"{wrong} {BY_YES if known else BY_FILE}"


def _maker(hall: Hall, candidates: Sequence[Who], mark: Mark, with_it: Mapping[str, Mark]) -> Who:
    """The first of those as whom a mark may be taken who may make it. Raises BadMark with the reason of the first."""
    wrongs: list[NotFromHere] = []
    for maker in candidates:
        try:
            _may_write(hall, maker, mark, with_it)
        except NotFromHere as wrong:
            wrongs.append(wrong)
        else:
            return maker
    raise wrongs[0]


async def _makers(hall: Hall, who: Who, raw_marks: Sequence[object]) -> Makers:
    """The desk takes any tablet's marks from a file."""
    known = {who.device_id, *(former.id for former in who.before)}
    others = {one for raw in raw_marks if isinstance(one := said(raw, "device"), str) and one not in known}
    asked = {one for one in others if DEVICE_ID.fullmatch(one)}
    if not asked or AUTHORITY[seat_of(who.role, who.sheet)].brings:
        return Makers(hall, who, {})
    return Makers(hall, who, await hall.database.aread(lambda session: devices_among(session, asked)))


def _begun_by(hall: Hall, mark: Mark, wall_ms: int) -> bool:
    """Whether a mark's run, if the desk has one, had begun at a moment or was just about to."""
    ground = hall.projection.grounds.of(mark.sheet)
    run = ground.run if ground else None
    return run is None or run.go_wall_ms <= wall_ms + BEGUN_MS


def _is_here(hall: Hall, raw: object) -> bool:
    """Whether the desk has a mark already, just as it is: by a file, from another tablet. Then nothing is refused."""
    try:
        mark = mark_of(raw)
    except BadMark:
        return False
    return any(replace(one, receipt=None) == replace(mark, receipt=None) for one in hall.projection.named(mark.id))


def _may_write(hall: Hall, who: Who, mark: Mark, with_it: Mapping[str, Mark]) -> None:
    """Raises BadMark with the reason why this device may not make this mark: by the table of authority, at its own place.

    `with_it`: marks that came before it at once, by id.
    """
    ground = hall.projection.grounds.of(mark.sheet)
    if ground is None:
        raise BadMark("This mark is for a lane that is not on the desk's start list. Ask the desk.")
    lane, seat, format = ground.place.assignment.lane, seat_of(who.role, who.sheet), ground.place.format
    if SEATS[seat].at and not stands_at(hall, who, ground.place):
        raise NotFromHere(_elsewhere(SEATS[seat], who.lane, lane))
    _check_member(format, mark)
    about = _about(hall, mark, with_it) if mark.kind == "strike" else None
    moment = moment_of(format, mark.at, ground.signed)
    if effect_of(seat, who.device_id, mark, about, moment) == "refused":
        raise NotFromHere(AUTHORITY[seat].else_told.format(lane))


def _elsewhere(seat: SeatRow, own: int | None, lane: int) -> str:
    if seat.at == "entries":
        return f"This mark is for lane {lane}, whose lifter the desk has not given to this coach's device, or no longer."
    if seat.at == "platform":
        return f"This mark is for lane {lane}, and not for the bar of this device's platform, which has lane {own}."
    return f"This mark is for lane {lane}; this device is lane {own}'s. To send it, pair with lane {lane}."


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


def tell_lanes(hall: Hall, sheets: Mapping[str, Sequence[Mark]], sender: str = "") -> None:
    """Tells the other devices of the marks' lanes that are connected to this process, sheet by sheet. To whoever made and sent
    them they are no news, and on most lanes nobody else listens."""
    for sheet, marks in sheets.items():
        ground = hall.projection.grounds.of(sheet)
        if ground is None:
            continue
        topic, own = f"lane:{ground.place.assignment.lane}", all(mark.device == sender for mark in marks)
        if hall.hub.hears(topic, but=sender) if own else hall.hub.watchers(topic):
            plain = [received_plain(hall.projection.as_stored(mark)) for mark in marks]
            hall.hub.tell_here(topic, {"type": "marks", "marks": plain})
    tell_bar(hall, sheets)


def _number(raw: object, name: str) -> int | None:
    value = said(raw, name)
    return value if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_SEQ else None
