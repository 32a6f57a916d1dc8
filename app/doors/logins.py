"""Logging in: the desk's password and the head judge's, set, changed and checked."""

import asyncio
import secrets
from dataclasses import replace

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlmodel import Session

from app.hall.devices import Caller, Who, new_session, who_of
from app.hall.doing import done_by, done_to
from app.hall.forms import refuse
from app.hall.guessing import Guess, WrongSecret, digits
from app.hall.hall import Hall
from app.hall.known_here import known_hash
from app.lan.addresses import is_loopback
from app.rules.records.seats import SEATS, Role, seat_row
from app.rules.values.passwords import weakness
from app.store.devices import get_setting, put_device, put_setting, put_setting_once, revoke_device, revoke_role

PASSWORD = "desk-password"
HEAD_PASSWORD = "head-judge-password"
LEAST_PASSWORD, MOST_PASSWORD = 8, 200

NEW_PASSWORD = "The password was changed. Log in with the new one."
LOGGED_IN_ANEW = "This browser has logged in again. Reload this page."
WRONG_PASSWORD = "That is not the desk's password."
WRONG_HEAD_PASSWORD = "That is neither the head judge's password nor the desk's."


async def password_is_set(hall: Hall) -> bool:
    """Whether the desk has a password. The demo always has one."""
    return hall.settings.demo or await _stored_password(hall) is not None


async def set_first_password(hall: Hall, password: str, again: str, caller: Caller, code: str) -> str:
    """Sets the desk's password at the first start and logs this browser in; returns its session token.

    Only the laptop itself may do so, or somebody who reads the code in the server's window: a spectator must not be first.
    Raises BadForm, WrongSecret, TooManyGuesses.
    """
    _check_password(hall, password, again)
    if not is_loopback(caller.address):
        async with Guess(hall, hall.presence.codes, caller.address):
            if not secrets.compare_digest(digits(code), hall.presence.first_code):
                raise WrongSecret("That is not the code shown in the window where the server was started.")
    hashed = await _hashed(hall, password)
    done_by(Who("", "desk", None, SEATS["desk"].name))
    done_to("its first password is set")

    def work(session: Session) -> None:
        if not put_setting_once(session, PASSWORD, hashed):
            raise WrongSecret("Somebody has set the desk's password in the meantime. Log in with it.")

    await hall.database.awrite(work)
    return await _new_session(hall, "desk", caller)


def show_first_code(hall: Hall) -> None:
    """Shows, in the window of the server, what a browser elsewhere must type to set the first password. Once for each start."""
    code = hall.presence.first_code
    if not hall.presence.first_code_shown:
        hall.presence.first_code_shown = True
        hall.relay.say("first-code")
        print(f"  To set the desk's password from another device, type this code there:  {code[:3]} {code[3:]}", flush=True)


async def log_in(hall: Hall, password: str, caller: Caller, known: str = "", was: Who | None = None) -> str:
    """Checks the desk's password and makes this browser a desk; returns its session token.

    `known` is what the browser holds from an earlier login, see known_here; `was` its session till now, which ends. Raises
    WrongSecret, TooManyGuesses.
    """
    async with Guess(hall, hall.presence.passwords, caller.address, await known_hash(hall, known)):
        if not await _is_desks(hall, password):
            raise WrongSecret(WRONG_PASSWORD)
    return await _new_session(hall, "desk", caller, was)


async def log_in_head(hall: Hall, password: str, caller: Caller, known: str = "", was: Who | None = None) -> str:
    """Checks the head judge's password, or the desk's, and lets this browser rule; returns its session token. Raises
    WrongSecret, TooManyGuesses."""
    async with Guess(hall, hall.presence.passwords, caller.address, await known_hash(hall, known)):
        if not (await _is_right(hall, await _stored_password(hall, HEAD_PASSWORD), password) or await _is_desks(hall, password)):
            raise WrongSecret(WRONG_HEAD_PASSWORD)
    return await _new_session(hall, "review", caller, was)


async def change_password(hall: Hall, who: Who, now: str, password: str, again: str, caller: Caller) -> str:
    """Gives the desk another password: every other login of it ends, and this browser gets a new session; returns its token.

    Raises BadForm, WrongSecret, TooManyGuesses.
    """
    if hall.settings.demo:
        raise refuse("now", "The demo's password can't be changed until the demo is restarted.")
    _check_password(hall, password, again)
    async with Guess(hall, hall.presence.passwords, caller.address, who.device_id):
        if not await _is_desks(hall, now):
            raise WrongSecret(WRONG_PASSWORD)
    hashed = await _hashed(hall, password)
    await _end_all(hall, "desk", PASSWORD, hashed, but=who.device_id)
    return await _new_session(hall, "desk", caller, who)


async def set_head_password(hall: Hall, password: str, again: str) -> None:
    """Gives the head judge a password; whoever came in to rule by an earlier one has to come in again. Raises BadForm."""
    _check_password(hall, password, again)
    hashed = await _hashed(hall, password)
    await _end_all(hall, "review", HEAD_PASSWORD, hashed)


async def _end_all(hall: Hall, role: Role, setting: str, hashed: str, but: str = "") -> None:
    """Keeps a password's hash, and ends every login that was made by the one before, but one."""
    wall_ms = hall.time.wall_ms()

    def work(session: Session) -> tuple[str, ...]:
        put_setting(session, setting, hashed)
        return revoke_role(session, role, but, wall_ms, NEW_PASSWORD)

    for device_id in await hall.database.awrite(work):
        hall.presence.forget(device_id, NEW_PASSWORD)
    hall.hub.publish("desk", {"type": "devices"})


async def head_password_is_set(hall: Hall) -> bool:
    """Whether the head judge has a password besides the desk's."""
    return await _stored_password(hall, HEAD_PASSWORD) is not None


def _check_password(hall: Hall, password: str, again: str) -> None:
    if not LEAST_PASSWORD <= len(password) <= MOST_PASSWORD:
        raise refuse("password", f"A password has {LEAST_PASSWORD} to {MOST_PASSWORD} characters; this one has {len(password)}.")
    if weak := weakness(password, _names(hall)):
        raise refuse("password", weak)
    if password != again:
        raise refuse("again", "The two passwords differ. Type the same one twice.")


def _names(hall: Hall) -> tuple[str, ...]:
    """What is written all over this hall."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    entries, events = (one.name for one in roster.entries), (one.name for one in roster.events)
    return (roster.competition.name, roster.competition.place, *entries, *events)


async def _is_desks(hall: Hall, password: str) -> bool:
    if hall.settings.demo:
        return secrets.compare_digest(password.encode("utf-8", "replace"), hall.demo_password.encode())
    return await _is_right(hall, await _stored_password(hall), password)


async def _is_right(hall: Hall, stored: str | None, password: str) -> bool:
    if stored is None or len(password) > MOST_PASSWORD:
        return False
    async with hall.presence.hashing:
        return await asyncio.to_thread(_matches, stored, password)


async def _hashed(hall: Hall, password: str) -> str:
    async with hall.presence.hashing:
        return await asyncio.to_thread(_hash, password)


async def _stored_password(hall: Hall, name: str = PASSWORD) -> str | None:
    return await hall.database.aread(lambda session: get_setting(session, name))


async def _new_session(hall: Hall, role: Role, caller: Caller, was: Who | None = None) -> str:
    """A session of its own for each login; what this browser had before ends with it."""
    wall_ms = hall.time.wall_ms()
    made, token = new_session(role, None, seat_row(role, "lane").name, wall_ms)
    device = replace(made, address=caller.address, browser=caller.browser, seen_wall_ms=wall_ms)
    done_by(was or who_of(device))

    def work(session: Session) -> None:
        put_device(session, device)
        if was is not None:
            revoke_device(session, was.device_id, wall_ms, LOGGED_IN_ANEW, "replaced")

    await hall.database.awrite(work)
    if was is not None:
        hall.presence.forget(was.device_id, LOGGED_IN_ANEW)
    return token


def _hash(password: str) -> str:
    return PasswordHasher().hash(password.encode("utf-8", "replace"))


def _matches(stored: str, password: str) -> bool:
    try:
        return PasswordHasher().verify(stored, password.encode("utf-8", "replace"))
    except (VerificationError, InvalidHashError):
        return False
