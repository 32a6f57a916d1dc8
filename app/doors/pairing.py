"""Pairing: the invitations by which a tablet becomes a lane's."""

import secrets
from dataclasses import dataclass, replace
from functools import partial
from typing import cast

from sqlmodel import Session

from app.doors.letting_in import REPLACED, ask
from app.hall.devices import Caller, UnknownDevice, Who, device_of_invitation, new_token, send_away, token_hash, who_of
from app.hall.doing import done_by
from app.hall.forms import refuse
from app.hall.guessing import Guess, WrongSecret, digits
from app.hall.hall import Hall
from app.live.kept import Kept
from app.rules.records.roster import MOST_LANES
from app.rules.records.seats import INVITED, SEATS, Seat, seat_of
from app.rules.values.words import say
from app.store.devices import Invitation, find_invitation, newest_invitation, put_invitation, succeed, take_invitation

INVITATION_MINUTES = 10
INVITATION_MS = INVITATION_MINUTES * 60_000
TOKEN_BYTES = 16  # 128 bits
CODE_DIGITS = 6
KEPT_AS = "the newest invitation"


@dataclass(frozen=True, slots=True)
class OpenInvitation:
    """A fresh invitation with its secrets, told to the desk once: the token goes into a QR code, the short code is read out.
    entries: for whom its device will stand, where its place is theirs; name: what it will be called, if that is said."""

    id: str
    seat: Seat
    lane: int | None
    token: str
    code: str
    minutes: int
    sure: bool = False
    entries: tuple[str, ...] = ()
    name: str = ""


@dataclass(frozen=True, slots=True)
class Promise:
    """What a device becomes by an invitation, and the name it would give up for it, if it has one."""

    seat: Seat
    lane: int | None
    competition: str
    gives_up: str


@dataclass(frozen=True, slots=True)
class Taken:
    """What came of taking an invitation: a device and its session token; or nobody yet, a token to wait with, and the word that
    the desk will ask for."""

    device: Who | None
    token: str
    word: str = ""


async def invite(
    hall: Hall, seat: str, lane: int | None, sure: bool = False, entries: tuple[str, ...] = (), name: str = ""
) -> OpenInvitation:
    """Makes an invitation for one device; `seat` is one of INVITED. Raises BadForm for a seat or a place that can't be.

    sure: whoever takes it is let in at once. Otherwise the desk is asked, see letting_in.
    """
    row = INVITED.get(cast(Seat, seat))
    if row is None:
        raise refuse("role", f"An invitation is for one of these: {', '.join(row.title for row in INVITED.values())}.")
    if row.at == "entries":
        if not entries:
            raise refuse("", "A coach's phone is invited with the lifters that it is for.")
        lane = None
    elif lane is None or not 1 <= lane <= MOST_LANES:
        raise refuse("lane", f"A lane is a whole number from 1 to {MOST_LANES}.")
    while True:  # a short code that is already on somebody's screen is drawn again
        fresh = OpenInvitation(
            id=f"inv_{secrets.token_hex(8)}",
            seat=cast(Seat, seat),
            lane=lane,
            token=secrets.token_urlsafe(TOKEN_BYTES),
            code=f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}",
            minutes=INVITATION_MINUTES,
            sure=sure,
            entries=entries,
            name=name,
        )
        if await _store_invitation(hall, fresh):
            return fresh


async def look_at_invitation(hall: Hall, secret: str, address: str, now: Who | None) -> Promise:
    """What a device would become by this token or code; the invitation stays open. Raises WrongSecret, TooManyGuesses."""
    found = await _find(hall, secret, address)
    roster = hall.projection.roster
    named, gives_up = roster.competition.name if roster else "", now.name if now else ""
    return Promise(seat_of(found.role, found.sheet), found.lane, named, gives_up)


async def pair(hall: Hall, secret: str, caller: Caller, now: str = "") -> Taken:
    """Takes an invitation by its token or its code: this browser is a lane's device at once, or has asked the desk to be let in.

    now: the device whose key this browser has shown. When it is let in, it gives up that pairing, and speaks for it from then on:
    what it marked under it is taken from it. Raises WrongSecret, TooManyGuesses.
    """
    found = await _find(hall, secret, caller.address)
    if found.sure:
        return await _pair_at_once(hall, found, caller, now)
    asked = await ask(hall, found, caller, now)
    if asked is None:
        raise _not_open()
    word, token = asked
    return Taken(None, token, word)


async def _pair_at_once(hall: Hall, found: Invitation, caller: Caller, now: str) -> Taken:
    wall_ms, token = hall.time.wall_ms(), new_token()
    told = replace(found, address=caller.address, browser=caller.browser)
    device = device_of_invitation(told, token_hash(token), wall_ms)
    done_by(who_of(device))

    def work(session: Session) -> None:
        if not take_invitation(session, found.id, succeed(session, device, now, wall_ms, REPLACED), wall_ms):
            raise _not_open()

    await hall.database.awrite(work)
    hall.presence.invitations += 1
    if now:
        hall.presence.forget(now, REPLACED)
    hall.hub.publish("desk", {"type": "devices"})
    return Taken(who_of(device), token)


async def leave(hall: Hall, who: Who, sentence: str = "This browser has logged out of the desk.") -> None:
    """Ends a device's own pairing."""
    try:
        await send_away(hall, who.device_id, sentence, "left")
    except UnknownDevice:
        return


async def _store_invitation(hall: Hall, fresh: OpenInvitation) -> bool:
    wall_ms = hall.time.wall_ms()
    stored = Invitation(
        id=fresh.id,
        role=SEATS[fresh.seat].role,
        lane=fresh.lane,
        sheet=SEATS[fresh.seat].sheet,
        token_hash=token_hash(fresh.token),
        code_hash=token_hash(fresh.code),
        expires_wall_ms=wall_ms + INVITATION_MS,
        sure=fresh.sure,
        entries=fresh.entries,
        name=fresh.name,
    )

    def work(session: Session) -> bool:
        if find_invitation(session, stored.code_hash, wall_ms) is not None:
            return False
        put_invitation(session, stored)
        return True

    stored_now = await hall.database.awrite(work)
    hall.presence.invitations += 1
    return stored_now


async def _find(hall: Hall, secret: str, address: str) -> Invitation:
    """The open invitation of a token or a code. A token can't be guessed, so only codes are counted."""
    if len(secret) > 2 * CODE_DIGITS:
        return await _opened(hall, token_hash(secret))
    newest = await _newest(hall)
    async with Guess(
        hall, hall.presence.codes, address, newest_age_ms=None if newest is None else _age_ms(hall, newest)
    ) as guess:
        found = await _opened(hall, token_hash(digits(secret)))
        if not guess.may_mean(_age_ms(hall, found.expires_wall_ms)):
            raise _not_open()
        return found


async def _newest(hall: Hall) -> int | None:
    """When the newest open invitation expires. Every guess asks, and a storm of them would keep the store busy: so it is looked
    up once a second, and whenever one was made or used up here."""
    kept: Kept[int | None] = hall.kept.setdefault(KEPT_AS, Kept())
    second, wall_ms = hall.time.server_ms() // 1000, hall.time.wall_ms()
    look = partial(hall.database.aread, lambda session: newest_invitation(session, wall_ms))
    return await kept.newest(hall.presence.invitations, second, look)


def _not_open() -> WrongSecret:
    told = say(
        "This invitation was used or mistyped, or is older than {minutes} minutes. Ask the desk for a new one.",
        minutes=INVITATION_MINUTES,
    )
    return WrongSecret(told)


def _age_ms(hall: Hall, expires_wall_ms: int) -> int:
    """How long ago an invitation was made."""
    return hall.time.wall_ms() - (expires_wall_ms - INVITATION_MS)


async def _opened(hall: Hall, secret_hash: str) -> Invitation:
    wall_ms = hall.time.wall_ms()
    found = await hall.database.aread(lambda session: find_invitation(session, secret_hash, wall_ms))
    if found is None:
        raise _not_open()
    return found
