"""The devices paired with this server: who a session belongs to, the list of them, naming them, sending them away."""

import hashlib
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from app.actions.forms import Reading
from app.actions.hall import Hall
from app.live.presence import Role, Who
from app.rules.marks import SheetKind
from app.rules.sheets import SEATS
from app.store import records
from app.store.records import Device

__all__ = ["DeviceView", "Role", "UnknownDevice", "Who", "list_devices", "name_device", "new_session", "send_away", "who_is"]

TOKEN_BYTES = 32  # of a session; an invitation's token has 16
MOST_NAME = 40
MOST_TOKEN = 200  # longer than any token ever given out

ROLE_WORDS = {"desk": "Desk", "review": "Head judge", "lane": "Lane screen", "lifter": "Call screen"}
COUNTER_WORDS: Mapping[SheetKind, str] = {"second": "Second counter", "third": "Third counter", "shadow": "Shadow judge"}
SENT_AWAY = "The desk has ended this device's pairing. Ask the desk for a new code."


class UnknownDevice(LookupError):
    """Raised when a device is not there or was sent away already; its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__("That device is not paired (any more).")


@dataclass(frozen=True, slots=True)
class DeviceView:
    """A device as the desk sees it.

    `state` is safe (all its marks are at the desk), kept (some are on it alone) or look (not to be reached); `words` says it.
    """

    id: str
    name: str
    role: str
    lane: int | None
    state: str
    words: str
    mine: bool


def token_hash(token: str) -> str:
    """What is stored of a secret. Tokens are random and long, so a plain hash gives nothing away."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def known_by(hall: Hall, token: str) -> Who | None:
    """The device that a session token belongs to, if this process has met it: without a look into the store."""
    return hall.presence.known(token_hash(token)) if token and len(token) <= MOST_TOKEN else None


async def who_is(hall: Hall, token: str) -> Who | None:
    """The device that a session token belongs to; None if it is unknown or was sent away."""
    if not token or len(token) > MOST_TOKEN:
        return None
    hashed = token_hash(token)
    known = hall.presence.known(hashed)
    if known is not None:
        return known
    device = await hall.database.aread(lambda session: records.device_of_token(session, hashed))
    if device is None:
        return None
    who = who_of(device)
    hall.presence.remember(hashed, who)
    return who


def who_of(device: Device) -> Who:
    """A stored device as the one who asks."""
    return Who(device.id, cast(Role, device.role), device.lane, device.name, cast(SheetKind, device.sheet))


def new_session(role: Role, lane: int | None, name: str, wall_ms: int, sheet: SheetKind = "lane") -> tuple[Device, str]:
    """A new device and its session token. The token is told once, to the device; only its hash is kept."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    device = Device(f"dev_{secrets.token_hex(8)}", role, lane, name, token_hash(token), wall_ms, sheet=sheet)
    return device, token


async def list_devices(hall: Hall, asking: Who) -> list[DeviceView]:
    """All paired devices: desks first, then by lane."""
    welcome = await hall.database.aread(records.welcome_devices)
    ordered = sorted(welcome, key=lambda one: (one.lane or 0, one.role, SEATS.index(one.sheet), one.paired_wall_ms))
    return [_view(hall, device, asking) for device in ordered]


async def name_device(hall: Hall, device_id: str, typed: str) -> None:
    """Gives a device a name. Raises BadForm, UnknownDevice."""
    reading = Reading({"name": typed})
    name = reading.name("name", "The name", MOST_NAME)
    reading.done()
    if not await hall.database.awrite(lambda session: records.rename_device(session, device_id, name)):
        raise UnknownDevice
    hall.presence.rename(device_id, name)


async def send_away(hall: Hall, device_id: str, sentence: str = SENT_AWAY) -> None:
    """Ends a device's pairing at once: its next mark is refused and its socket closes. Raises UnknownDevice."""
    wall_ms = hall.time.wall_ms()
    if await hall.database.awrite(lambda session: records.revoke_device(session, device_id, wall_ms, sentence)) is None:
        raise UnknownDevice
    hall.presence.forget(device_id, sentence)
    hall.hub.publish("desk", {"type": "devices"})


def _view(hall: Hall, device: Device, asking: Who) -> DeviceView:
    state, words = _state(hall, device)
    mine = device.id == asking.device_id
    role = COUNTER_WORDS.get(cast(SheetKind, device.sheet)) or ROLE_WORDS.get(device.role, device.role)
    return DeviceView(device.id, device.name, role, device.lane, state, words, mine)


def _state(hall: Hall, device: Device) -> tuple[str, str]:
    if device.role == "desk":
        return "safe", "logged in"
    seen = hall.presence.of(device.id)
    if seen is None or not seen.online(hall.time.server_ms()):
        left = seen.report.outbox if seen else 0
        return "look", f"not to be reached, {_marks(left)} on it" if left else "not to be reached"
    if seen.report.outbox:
        return "kept", f"online, {_marks(seen.report.outbox)} still on it"
    return "safe", "online, all marks here"


def _marks(number: int) -> str:
    return "1 mark" if number == 1 else f"{number} marks"
