"""Pairing: the desk's password, and the invitations by which a tablet becomes a lane's."""

import asyncio
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from typing import Literal, cast

from sqlmodel import Session

from app.actions.devices import Role, UnknownDevice, Who, new_session, send_away, token_hash
from app.actions.forms import refuse
from app.actions.hall import Hall
from app.actions.known_here import known_hash
from app.lan.addresses import is_loopback
from app.live.guesses import Guesses
from app.rules.marks import SheetKind
from app.rules.roster import MOST_LANES
from app.store import records
from app.store.records import Invitation

PASSWORD = "desk-password"
HEAD_PASSWORD = "head-judge-password"
DEMO_PASSWORD = "chalk"  # of the demo alone, whose data are invented; it is shown on its page
LEAST_PASSWORD, MOST_PASSWORD = 8, 200

INVITATION_MS = 10 * 60_000
TOKEN_BYTES = 16  # 128 bits
CODE_DIGITS = 6

Invited = Literal["lane", "lifter"]

# What a device can be invited as: its role, which counter of its lane it is, and the name it begins with.
SEATS: Mapping[str, tuple[Invited, SheetKind, str]] = {
    "lane": ("lane", "lane", "tablet"),
    "second": ("lane", "second", "second counter"),
    "third": ("lane", "third", "third counter"),
    "shadow": ("lane", "shadow", "shadow judge"),
    "lifter": ("lifter", "lane", "call screen"),
}

NOT_OPEN = "This invitation is not open: used, older than 10 minutes, or mistyped. Ask the desk for a new one."
WRONG_PASSWORD = "That is not the desk's password."
WRONG_HEAD_PASSWORD = "That is neither the head judge's password nor the desk's."
REPLACED = "This browser was paired anew; this page belongs to its old pairing. Reload it."


class WrongSecret(ValueError):
    """Raised for a wrong password, code or token; its text is the sentence to show."""


class TooManyGuesses(ValueError):
    """Raised when an address, or all together, guessed wrong too often; its text is the sentence to show."""

    def __init__(self, wait_ms: int) -> None:
        self.wait_s = ceil(wait_ms / 1000)
        number, what = (self.wait_s, "second") if self.wait_s < 60 else (ceil(self.wait_s / 60), "minute")
        super().__init__(f"Too many wrong tries. Try again in {number} {what}{'' if number == 1 else 's'}.")


@dataclass(frozen=True, slots=True)
class OpenInvitation:
    """A fresh invitation with its secrets, told to the desk once: the token goes into a QR code, the short code is read out."""

    id: str
    role: Invited
    lane: int
    token: str
    code: str
    minutes: int
    sheet: SheetKind = "lane"


@dataclass(frozen=True, slots=True)
class Promise:
    """What a device becomes by an invitation, and the name it would give up for it, if it has one."""

    role: Invited
    lane: int
    competition: str
    gives_up: str
    sheet: SheetKind = "lane"


async def password_is_set(hall: Hall) -> bool:
    """Whether the desk has a password. The demo always has one."""
    return hall.settings.demo or await _stored_password(hall) is not None


async def set_first_password(hall: Hall, password: str, again: str, address: str, code: str) -> str:
    """Sets the desk's password at the first start and logs this browser in; returns its session token.

    Only the laptop itself may do so, or somebody who reads the code in the server's window: a spectator must not be first.
    Raises BadForm, WrongSecret, TooManyGuesses.
    """
    _check_password(password, again)
    if not is_loopback(address):
        async with _Guess(hall, hall.presence.codes, address):
            if not secrets.compare_digest(_digits(code), hall.presence.first_code):
                raise WrongSecret("That is not the code in the window in which the server was started.")
    hashed = await _hashed(hall, password)
    if not await hall.database.awrite(lambda session: records.put_setting_once(session, PASSWORD, hashed)):
        raise WrongSecret("Somebody has set the desk's password meanwhile. Log in with it.")
    return await _new_session(hall, "desk", "Desk")


def show_first_code(hall: Hall) -> None:
    """Shows, in the window of the server, what a browser elsewhere must type to set the first password. Once for each start."""
    code = hall.presence.first_code
    if not hall.presence.first_code_shown:
        hall.presence.first_code_shown = True
        hall.relay.say("first-code")
        print(f"  To set the desk's password from another device, type this code there:  {code[:3]} {code[3:]}", flush=True)


async def log_in(hall: Hall, password: str, address: str, known: str = "") -> str:
    """Checks the desk's password and makes this browser a desk; returns its session token. `known` is what the browser holds
    from an earlier login, see known_here. Raises WrongSecret, TooManyGuesses."""
    async with _Guess(hall, hall.presence.passwords, address, await known_hash(hall, known)):
        if not await _is_desks(hall, password):
            raise WrongSecret(WRONG_PASSWORD)
    return await _new_session(hall, "desk", "Desk")


async def log_in_head(hall: Hall, password: str, address: str, known: str = "") -> str:
    """Checks the head judge's password, or the desk's, and lets this browser rule; returns its session token. Raises
    WrongSecret, TooManyGuesses."""
    async with _Guess(hall, hall.presence.passwords, address, await known_hash(hall, known)):
        if not (await _is_right(hall, await _stored_password(hall, HEAD_PASSWORD), password) or await _is_desks(hall, password)):
            raise WrongSecret(WRONG_HEAD_PASSWORD)
    return await _new_session(hall, "review", "Head judge")


async def set_head_password(hall: Hall, password: str, again: str) -> None:
    """Gives the head judge a password; those who came in by an earlier one stay in. Raises BadForm."""
    _check_password(password, again)
    hashed = await _hashed(hall, password)
    await hall.database.awrite(lambda session: records.put_setting(session, HEAD_PASSWORD, hashed))


async def head_password_is_set(hall: Hall) -> bool:
    """Whether the head judge has a password besides the desk's."""
    return await _stored_password(hall, HEAD_PASSWORD) is not None


def _check_password(password: str, again: str) -> None:
    if not LEAST_PASSWORD <= len(password) <= MOST_PASSWORD:
        raise refuse("password", f"A password has {LEAST_PASSWORD} to {MOST_PASSWORD} characters; this one has {len(password)}.")
    if password != again:
        raise refuse("again", "The two passwords differ. Type the same one twice.")


async def _is_desks(hall: Hall, password: str) -> bool:
    if hall.settings.demo:
        return secrets.compare_digest(password.encode("utf-8", "replace"), DEMO_PASSWORD.encode())
    return await _is_right(hall, await _stored_password(hall), password)


async def _is_right(hall: Hall, stored: str | None, password: str) -> bool:
    if stored is None or len(password) > MOST_PASSWORD:
        return False
    async with hall.presence.hashing:
        return await asyncio.to_thread(_matches, stored, password)


async def _hashed(hall: Hall, password: str) -> str:
    async with hall.presence.hashing:
        return await asyncio.to_thread(_hash, password)


async def invite(hall: Hall, seat: str, lane: int | None) -> OpenInvitation:
    """Makes an invitation for one device; `seat` is one of SEATS. Raises BadForm for a lane or seat that can't be."""
    if seat not in SEATS:
        raise refuse("role", "An invitation is for a lane screen, a second or third counter, a shadow judge, or a call screen.")
    if lane is None or not 1 <= lane <= MOST_LANES:
        raise refuse("lane", f"A lane is a whole number from 1 to {MOST_LANES}.")
    role, sheet, _ = SEATS[seat]
    while True:  # a short code that is already on somebody's screen is drawn again
        fresh = OpenInvitation(
            id=f"inv_{secrets.token_hex(8)}",
            role=role,
            lane=lane,
            sheet=sheet,
            token=secrets.token_urlsafe(TOKEN_BYTES),
            code=f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}",
            minutes=INVITATION_MS // 60_000,
        )
        if await _store_invitation(hall, fresh):
            return fresh


async def look_at_invitation(hall: Hall, secret: str, address: str, now: Who | None) -> Promise:
    """What a device would become by this token or code; the invitation stays open. Raises WrongSecret, TooManyGuesses."""
    found = await _find(hall, secret, address)
    roster = hall.projection.roster
    named, gives_up = roster.competition.name if roster else "", now.name if now else ""
    return Promise(cast(Invited, found.role), found.lane or 0, named, gives_up, cast(SheetKind, found.sheet))


async def pair(hall: Hall, secret: str, address: str, now: Who | None) -> tuple[Who, str]:
    """Takes an invitation by its token or its code: the new device and its session token.

    A browser that was paired before gives up its old pairing. Raises WrongSecret, TooManyGuesses.
    """
    found = await _find(hall, secret, address)
    wall_ms = hall.time.wall_ms()
    role, lane, sheet = cast(Role, found.role), found.lane, cast(SheetKind, found.sheet)
    words = next(words for seat_role, seat_sheet, words in SEATS.values() if (seat_role, seat_sheet) == (role, sheet))
    device, token = new_session(role, lane, f"Lane {lane} {words}", wall_ms, sheet)
    if not await hall.database.awrite(lambda session: records.take_invitation(session, found.id, device, wall_ms)):
        raise WrongSecret(NOT_OPEN)
    if now is not None:
        await leave(hall, now, REPLACED)
    hall.hub.publish("desk", {"type": "devices"})
    return Who(device.id, role, lane, device.name, sheet), token


async def leave(hall: Hall, who: Who, sentence: str = "This browser has left the desk.") -> None:
    """Ends a device's own pairing."""
    try:
        await send_away(hall, who.device_id, sentence)
    except UnknownDevice:
        return


class _Guess:
    """Counts a guess as wrong while it is looked at; leaving without an error takes it back. Raises TooManyGuesses at once.

    The laptop itself, and a browser that has logged in before (`known`, its hash), are not held up by what others get wrong.
    """

    def __init__(self, hall: Hall, guesses: Guesses, address: str, known: str = "") -> None:
        here = is_loopback(address)
        self._guesses = hall.presence.at_laptop if here else hall.presence.known_here if known else guesses
        self._address, self._now = (address if here else known or address), hall.time.server_ms()
        self._hall, self._key = hall, ""

    async def __aenter__(self) -> None:
        if self._hall.settings.on_server:
            wait_ms = await self._begin_together()
        else:
            wait_ms = self._guesses.wait_ms(self._address, self._now)
            if not wait_ms:
                self._counted = self._guesses.begin(self._address, self._now)
        if wait_ms:
            raise TooManyGuesses(wait_ms)

    async def __aexit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is not None:
            return
        if self._key:
            await self._hall.database.awrite(lambda session: records.take_guess_back(session, self._key))
        else:
            self._guesses.was_right(self._counted)

    async def _begin_together(self) -> int:
        """The same where several processes count: in the store, one after another, so that none gets a try too many."""
        now = self._hall.time.wall_ms()

        def work(session: Session) -> tuple[int, str]:
            wrong = records.guesses_since(session, self._guesses.pot, now - self._guesses.span_ms)
            wait_ms = self._guesses.counting(wrong).wait_ms(self._address, now)
            key = "" if wait_ms else secrets.token_urlsafe(12)
            if key:
                records.put_guess(session, key, self._guesses.pot, self._address, now)
            return wait_ms, key

        wait_ms, self._key = await self._hall.database.awrite(work)
        return wait_ms


async def _store_invitation(hall: Hall, fresh: OpenInvitation) -> bool:
    wall_ms = hall.time.wall_ms()
    stored = Invitation(
        id=fresh.id,
        role=fresh.role,
        lane=fresh.lane,
        sheet=fresh.sheet,
        token_hash=token_hash(fresh.token),
        code_hash=token_hash(fresh.code),
        expires_wall_ms=wall_ms + INVITATION_MS,
    )

    def work(session: Session) -> bool:
        if records.find_invitation(session, stored.code_hash, wall_ms) is not None:
            return False
        records.put_invitation(session, stored)
        return True

    return await hall.database.awrite(work)


async def _find(hall: Hall, secret: str, address: str) -> Invitation:
    """The open invitation of a token or a code. A token can't be guessed, so only codes are counted."""
    if len(secret) > 2 * CODE_DIGITS:
        return await _opened(hall, token_hash(secret))
    async with _Guess(hall, hall.presence.codes, address):
        return await _opened(hall, token_hash(_digits(secret)))


async def _opened(hall: Hall, secret_hash: str) -> Invitation:
    wall_ms = hall.time.wall_ms()
    found = await hall.database.aread(lambda session: records.find_invitation(session, secret_hash, wall_ms))
    if found is None:
        raise WrongSecret(NOT_OPEN)
    return found


async def _stored_password(hall: Hall, name: str = PASSWORD) -> str | None:
    return await hall.database.aread(lambda session: records.get_setting(session, name))


async def _new_session(hall: Hall, role: Role, name: str) -> str:
    device, token = new_session(role, None, name, hall.time.wall_ms())
    await hall.database.awrite(lambda session: records.put_device(session, device))
    return token


def _digits(typed: str) -> str:
    """A code as typed, without the blanks that people put into it; other characters make it wrong."""
    bare = "".join(typed.split())
    return bare if bare.isascii() and bare.isdigit() else ""


def _hash(password: str) -> str:
    from argon2 import PasswordHasher  # loaded at the first password only: most starts never need it

    return PasswordHasher().hash(password.encode("utf-8", "replace"))


def _matches(stored: str, password: str) -> bool:
    from argon2 import PasswordHasher  # see _hash
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return PasswordHasher().verify(stored, password.encode("utf-8", "replace"))
    except (VerificationError, InvalidHashError):
        return False
