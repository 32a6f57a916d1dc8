"""The devices paired with this server: who a session belongs to, naming them, sending them away."""

import hashlib
import secrets
from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import cast

from sqlmodel import Session

from app.hall.forms import Reading
from app.hall.hall import Hall
from app.live.platforms import lanes_of
from app.live.presence import Who
from app.live.servertime import go_on_this_timeline
from app.rules.records.moves import ON_THE_FLOOR, heat_state
from app.rules.records.seats import PLACED_ROLES, Role, SheetKind, seat_row
from app.store.devices import (
    Device,
    Ended,
    Former,
    Invitation,
    device_of_token,
    device_proved,
    devices_among,
    rename_device,
    revoke_device,
    see_device,
    vouch,
)
from app.store.refusals import NotThere, Refusal
from app.store.writer import StoreClosed

__all__ = ["UnknownDevice", "Who", "name_device", "new_session", "send_away", "who_is"]

TOKEN_BYTES = 32  # of a session; an invitation's token has 16
MOST_NAME = 40
MOST_TOKEN = 200  # longer than any token ever given out

TIME_IS_UP = "This device's pairing has expired. Ask the desk for a new code."
SENT_AWAY = "The desk has ended this device's pairing. Ask the desk for a new code."


class UnknownDevice(NotThere):
    """Raised when a device is not there or was sent away already; its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__("That device is not paired, or no longer.")


class StillPaired(Refusal):
    """Raised for a pairing that still stands; its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__("That device is paired. If these marks are from the same browser, end its pairing first.")


class SeatUnknown(Refusal):
    """Raised for a pairing of which no seat at a place is known; its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__(
            "The desk no longer knows what that pairing was allowed to mark. Save the tablet's marks as a file "
            "and take it in under Backups."
        )


@dataclass(frozen=True, slots=True)
class Caller:
    """Whose browser asks: its address, and what kind of browser it says it is."""

    address: str
    browser: str = ""


def token_hash(token: str) -> str:
    """What is stored of a secret. Tokens are random and long, so a plain hash gives nothing away."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def hash_if_any(token: str) -> str:
    """What is stored of the token that a browser shows; empty where it shows none, or none that was ever given out."""
    return token_hash(token) if token and len(token) <= MOST_TOKEN else ""


async def proved_by(hall: Hall, token: str) -> str:
    """The id of the device whose key a browser shows: one that stands, or has ended without the desk's doing; else empty."""
    hashed = hash_if_any(token)
    device = await hall.database.aread(lambda session: device_proved(session, hashed)) if hashed else None
    return device.id if device is not None and device.role in PLACED_ROLES else ""


def known_by(hall: Hall, token: str) -> Who | None:
    """The device that a session token belongs to, if this process has met it: without a look into the store."""
    return hall.presence.known(hash_if_any(token))


async def who_is(hall: Hall, token: str, address: str = "") -> Who | None:
    """The device that a session token belongs to; None if it is unknown, was sent away, or has lasted its time."""
    return await whose(hall, hash_if_any(token), address)


async def whose(hall: Hall, hashed: str, address: str) -> Who | None:
    """The same of a token's hash, for who asks with one token many times."""
    if not hashed:
        return None
    who = hall.presence.known(hashed)
    if who is None:
        device = await hall.database.aread(lambda session: device_of_token(session, hashed))
        if device is None:
            return None
        who = who_of(device)
        hall.presence.remember(hashed, who)
        _begin_life(hall, device)
    if hall.presence.lives.is_fresh(who.device_id, hall.time.server_ms(), address):
        return who
    if not hall.relay.alone and _is_over(hall, who):
        await _begin_life_again(hall, who, hashed)
    return who if await _lives_on(hall, who, address) else None


def _begin_life(hall: Hall, device: Device) -> None:
    wall_ms, (whole_ms, _) = hall.time.wall_ms(), hall.settings.session_ms(device.role)
    idle_for = wall_ms - (device.seen_wall_ms if device.seen_wall_ms is not None else device.paired_wall_ms)
    left = whole_ms - max(0, wall_ms - device.paired_wall_ms)
    hall.presence.lives.begin(device.id, hall.time.server_ms(), max(0, idle_for), left, device.address)


def _is_over(hall: Hall, who: Who) -> bool:
    now, seen = hall.time.server_ms(), hall.presence.of(who.device_id)
    _, idle_ms = hall.settings.session_ms(who.role)
    return hall.presence.lives.is_over(who.device_id, now, seen.last_seen_ms if seen else None, idle_ms)


async def _begin_life_again(hall: Hall, who: Who, hashed: str) -> None:
    """It may have been used all the time, and another process knows: what is written down decides."""
    device = await hall.database.aread(lambda session: device_of_token(session, hashed))
    if device is not None:
        hall.presence.lives.end(who.device_id)
        _begin_life(hall, device)


async def _lives_on(hall: Hall, who: Who, address: str) -> bool:
    """Whether a session may still be used; notes that it was. A lane is not logged out while its heat is on the floor."""
    now, wall_ms, lives = hall.time.server_ms(), hall.time.wall_ms(), hall.presence.lives
    if _is_over(hall, who) and not _on_the_floor(hall, lanes_of(hall, who)):
        await hall.database.awrite_quietly(lambda session: revoke_device(session, who.device_id, wall_ms, TIME_IS_UP, "time"))
        hall.presence.forget(who.device_id, TIME_IS_UP)
        hall.hub.publish("desk", {"type": "devices"})
        return False
    if lives.used(who.device_id, now, address):
        with suppress(StoreClosed):
            hall.database.submit(lambda session: see_device(session, who.device_id, wall_ms, address))
    return True


def _on_the_floor(hall: Hall, lanes: Collection[int]) -> bool:
    """Whether a heat with one of these lanes is under way."""
    roster = hall.projection.roster
    if roster is None or not lanes:
        return False
    newest = {run.heat: run for run in sorted(hall.projection.runs, key=lambda run: run.number)}
    lengths = {event.id: event.format.length_ms for event in roster.events}
    return any(
        heat_state(run, lengths[heat.event], hall.time.server_ms(), go_on_this_timeline(run, hall.time)) in ON_THE_FLOOR
        for heat in roster.heats
        if (run := newest.get(heat.id)) is not None and any(one.lane in lanes for one in heat.lanes)
    )


def who_of(device: Device) -> Who:
    """A stored device as the one who asks."""
    role, sheet = cast(Role, device.role), cast(SheetKind, device.sheet)
    return Who(device.id, role, device.lane, device.name, sheet, device.before, device.entries)


def new_token() -> str:
    """A new session token. It is told once, to the device; only its hash is kept."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def device_of_invitation(found: Invitation, hashed: str, wall_ms: int) -> Device:
    """The device that an invitation makes, with the session of this hash."""
    seat = seat_row(found.role, found.sheet)
    return Device(
        id=f"dev_{secrets.token_hex(8)}",
        role=found.role,
        lane=found.lane,
        name=found.name or f"{seat.place(found.lane)} {seat.device}",
        token_hash=hashed,
        paired_wall_ms=wall_ms,
        sheet=found.sheet,
        address=found.address,
        browser=found.browser,
        seen_wall_ms=wall_ms,
        entries=found.entries,
    )


def new_session(role: Role, lane: int | None, name: str, wall_ms: int, sheet: SheetKind = "lane") -> tuple[Device, str]:
    """A new device and its session token. The token is told once, to the device; only its hash is kept."""
    token = new_token()
    device = Device(f"dev_{secrets.token_hex(8)}", role, lane, name, token_hash(token), wall_ms, sheet=sheet)
    return device, token


def held_by(hall: Hall, who: Who) -> dict[str, object]:
    """What is held of a device's own marks, and of those that it made under pairings of before, as JSON: by epoch, whose keys are
    texts. Whose it is is said with it: a browser that was paired anew may ask under one name and still wear the other."""
    before = {former.id: _texts(hall.ledger.held(former.id)) for former in who.before}
    return {"device": who.device_id, "held": _texts(hall.ledger.held(who.device_id)), "before": before}


def _texts(held: Mapping[int, int]) -> dict[str, int]:
    return {str(epoch): through for epoch, through in held.items()}


async def name_device(hall: Hall, device_id: str, typed: str) -> None:
    """Gives a device a name. Raises BadForm, UnknownDevice."""
    reading = Reading({"name": typed})
    name = reading.name("name", "The name", MOST_NAME)
    reading.done()

    def work(session: Session) -> None:
        if not rename_device(session, device_id, name):
            raise UnknownDevice

    await hall.database.awrite(work)
    hall.presence.rename(device_id, name)


async def send_away(hall: Hall, device_id: str, sentence: str = SENT_AWAY, ended: Ended = "desk") -> None:
    """Ends a device's pairing at once: its next mark is refused and its socket closes. Raises UnknownDevice."""
    wall_ms = hall.time.wall_ms()

    def work(session: Session) -> None:
        if revoke_device(session, device_id, wall_ms, sentence, ended) is None:
            raise UnknownDevice

    await hall.database.awrite(work)
    hall.presence.forget(device_id, sentence)
    hall.hub.publish("desk", {"type": "devices"})


def look_at_refused(hall: Hall) -> None:
    """Lets the tablets that hold refused marks offer them again: the desk may have come to have them, or to take them."""
    for seen in hall.presence.everybody():
        if seen.report.refused:
            hall.hub.publish(of_device(seen.device.device_id), {"type": "packet"})


def of_device(device_id: str) -> str:
    """The topic of what one device alone is told."""
    return f"device:{device_id}"


def asked_anew(hall: Hall, device_id: str) -> None:
    """A device may do other things than before: what this process remembers of it is forgotten, and its lines hear so."""
    hall.presence.ask_anew(device_id)
    hall.hub.tell_here(of_device(device_id), {"type": "packet"})


async def take_in(hall: Hall, device_id: str, maker: str) -> None:
    """The desk's yes: what a device holds of another pairing is taken from it, in the seat and at the place that it was made in.

    Raises UnknownDevice; StillPaired for a pairing that stands; and SeatUnknown for one of which no seat at a place is known: a
    yes to that would let the device write anywhere.
    """
    wall_ms = hall.time.wall_ms()

    def work(session: Session) -> None:
        was = devices_among(session, [maker]).get(maker)
        if was is None or not seat_row(was.role, was.sheet).at:
            raise SeatUnknown
        if was.revoked_wall_ms is None:
            raise StillPaired
        if not vouch(session, device_id, Former(was.id, was.role, was.lane, was.sheet, wall_ms, was.entries)):
            raise UnknownDevice

    await hall.database.awrite(work)
    asked_anew(hall, device_id)
    look_at_refused(hall)
    hall.hub.publish("desk", {"type": "devices"})
