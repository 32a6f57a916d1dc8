"""Letting in: a browser that took an invitation shows a word, the desk sees the same word and says yes or no.

Until then it can do nothing, so whoever photographs a QR code gains a word on a screen that the desk knows nothing of.
"""

import secrets
from dataclasses import dataclass
from typing import Literal

from sqlmodel import Session

from app.hall.devices import TOKEN_BYTES, Caller, Who, device_of_invitation, token_hash, who_of
from app.hall.doing import done_to
from app.hall.hall import Hall
from app.rules.records.seats import seat_row
from app.rules.values.words import known, say
from app.store.devices import (
    Device,
    Invitation,
    answer_asking,
    ask_in,
    asked_by,
    asking,
    device_of_token,
    get_setting,
    put_device,
    put_setting,
    succeed,
)
from app.store.refusals import Refusal

WAITING_MINUTES = 10
WAITING_MS = WAITING_MINUTES * 60_000
AT_ONCE = "pairing-at-once"  # the setting of a hall that lets everybody in who has a code

# Short words that sound unlike one another, in a loud hall too.
WORDS = (
    *("AMBER", "BANJO", "CEDAR", "DOLPHIN", "EAGLE", "FALCON", "GARLIC", "HARBOUR", "IGLOO", "JACKET", "KETTLE", "LEMON"),
    *("MANGO", "NAPKIN", "OLIVE", "PEPPER", "QUARTZ", "ROCKET", "SILVER", "TIGER", "UMBRELLA", "VIOLIN", "WALNUT", "ZEBRA"),
)
DIGITS = 9  # 1 to 9

NOT_OURS = "The desk did not let this device in. Ask there, and scan a new code."
NO_ASKING = f"That device is no longer waiting: it was answered, or took longer than {WAITING_MINUTES} minutes."
REPLACED = "This browser has been paired again; this page belongs to its old pairing. Reload it."


class NobodyAsks(Refusal):
    """Raised when nobody waits by an invitation (any more); its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__(NO_ASKING)


@dataclass(frozen=True, slots=True)
class Asking:
    """Somebody who waits, as the desk sees it. name: what the desk has called their device, if it has."""

    id: str
    word: str
    role: str
    sheet: str
    lane: int | None
    browser: str
    address: str
    seconds: int
    name: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a browser that waits is told: wait, in (then who it is), no, or nothing at all if it has not asked."""

    state: Literal["wait", "in", "no", "none"]
    word: str = ""
    sentence: str = ""
    who: Who | None = None


async def ask(hall: Hall, found: Invitation, caller: Caller, now: str) -> tuple[str, str] | None:
    """Uses an invitation up by asking; returns the word to show and the token to wait with. None when it is open no more."""
    wall_ms, token = hall.time.wall_ms(), secrets.token_urlsafe(TOKEN_BYTES)

    def work(session: Session) -> str:
        word = _new_word({one.word for one in asking(session, wall_ms - WAITING_MS)})
        asked = Invitation(
            id=found.id,
            role=found.role,
            lane=found.lane,
            token_hash="",
            code_hash="",
            expires_wall_ms=0,
            word=word,
            asked_hash=token_hash(token),
            address=caller.address,
            browser=caller.browser,
            gives_up=now,
            name=found.name,
        )
        if not ask_in(session, found.id, asked, wall_ms):
            raise NobodyAsks
        done_to(f"{_place(found)}, shows {word}")
        return word

    try:
        word = await hall.database.awrite(work)
    except NobodyAsks:
        return None
    hall.hub.publish("desk", {"type": "devices"})
    return word, token


async def asked(hall: Hall, token: str) -> Answer:
    """How it stands with a browser that has asked."""
    hashed, wall_ms = token_hash(token), hall.time.wall_ms()

    def work(session: Session) -> tuple[Invitation | None, Device | None]:
        return asked_by(session, hashed), device_of_token(session, hashed)

    found, device = await hall.database.aread(work)
    if found is None:
        return Answer("none")
    if device is not None:
        return Answer("in", who=who_of(device))
    if found.answered_wall_ms is not None:
        return Answer("no", sentence=known(NOT_OURS))
    if wall_ms - (found.used_wall_ms or 0) > WAITING_MS:
        return Answer(
            "no", sentence=say("The desk has not answered within {n} minutes. Ask there for a new code.", n=WAITING_MINUTES)
        )
    return Answer("wait", word=found.word)


def who_asks(hall: Hall) -> tuple[Asking, ...]:
    """Everybody who waits for the desk, the first to ask first."""
    wall_ms = hall.time.wall_ms()
    waiting = hall.database.read(lambda session: asking(session, wall_ms - WAITING_MS))
    return tuple(
        Asking(
            one.id,
            one.word,
            one.role,
            one.sheet,
            one.lane,
            one.browser,
            one.address,
            max(0, wall_ms - (one.used_wall_ms or wall_ms)) // 1000,
            one.name,
        )
        for one in waiting
    )


async def let_in(hall: Hall, key: str) -> Who:
    """Lets in whoever asked by an invitation: what the browser was before ends in the same moment. Raises NobodyAsks."""
    wall_ms = hall.time.wall_ms()

    def work(session: Session) -> tuple[Device, str]:
        found = answer_asking(session, key, wall_ms - WAITING_MS, wall_ms)
        if found is None:
            raise NobodyAsks
        device = device_of_invitation(found, found.asked_hash, wall_ms)
        done_to(f"{device.name}, which showed {found.word}, at {found.address}")
        put_device(session, succeed(session, device, found.gives_up, wall_ms, REPLACED))
        return device, found.gives_up

    device, gives_up = await hall.database.awrite(work)
    if gives_up:
        hall.presence.forget(gives_up, REPLACED)
    hall.hub.publish("desk", {"type": "devices"})
    return who_of(device)


async def turn_away(hall: Hall, key: str) -> None:
    """Does not let in whoever asked by an invitation. Raises NobodyAsks."""
    wall_ms = hall.time.wall_ms()

    def work(session: Session) -> None:
        found = answer_asking(session, key, wall_ms - WAITING_MS, wall_ms)
        if found is None:
            raise NobodyAsks
        done_to(f"{_place(found)}, showed {found.word}, at {found.address}")

    await hall.database.awrite(work)
    hall.hub.publish("desk", {"type": "devices"})


async def lets_in_at_once(hall: Hall) -> bool:
    """Whether whoever has a code is let in without being asked about. The demo's hall is everybody's at first."""
    said = await hall.database.aread(lambda session: get_setting(session, AT_ONCE))
    return said == "yes" if said else hall.settings.demo


async def let_in_at_once(hall: Hall, at_once: bool) -> None:
    """Says whether whoever has a code is let in without being asked about: for a network that nobody else is in."""

    def work(session: Session) -> None:
        put_setting(session, AT_ONCE, "yes" if at_once else "no")

    await hall.database.awrite(work)


def _place(found: Invitation) -> str:
    return found.name or seat_row(found.role, found.sheet).place(found.lane).lower()


def _new_word(taken: set[str]) -> str:
    """A word that nobody else shows now. Nobody can have more than a few open invitations, so one is always left."""
    free = [f"{word} {digit}" for word in WORDS for digit in range(1, DIGITS + 1)]
    left = [word for word in free if word not in taken] or free
    return secrets.choice(left)
