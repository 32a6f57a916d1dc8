"""The paired devices as the desk lists them: what each is, where it was last heard of, and what it holds that is not here."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session

from app.hall.before import Waits, waits_of
from app.hall.devices import Who, who_of
from app.hall.hall import Hall
from app.rules.records.seats import SHEET_KINDS, Place, seat_row
from app.rules.values.clock_times import ago_text
from app.rules.values.words import say
from app.store.devices import Device, devices_among, welcome_devices

MAY_LACK = ("unsure", "blank", "lost", "lost-more")  # what a tablet reports whose browser has lost marks, or may have


@dataclass(frozen=True, slots=True)
class DeviceView:
    """A device as the desk sees it.

    `state` is safe (all its marks are at the desk), kept (some are on it alone) or look (unreachable); `words` says it.
    at: what kind of place it has. `where` says what kind of browser it is, from which address, and when it was last heard of.
    `refused` says why marks of it were refused, `waits` what it holds that was made under other pairings. entries: for whom it
    stands, where its place is theirs.
    """

    id: str
    name: str
    role: str
    lane: int | None
    state: str
    words: str
    mine: bool
    at: Place = "lane"
    where: str = ""
    refused: str = ""
    waits: tuple[Waits, ...] = ()
    entries: tuple[str, ...] = ()


async def list_devices(hall: Hall, asking: Who) -> list[DeviceView]:
    """All paired devices: desks first, then by lane."""
    makers = {key for seen in hall.presence.everybody() for key in seen.report.before}

    def read(session: Session) -> tuple[tuple[Device, ...], dict[str, Device]]:
        return welcome_devices(session), devices_among(session, makers)

    welcome, before = await hall.database.aread(read)
    ordered = sorted(welcome, key=lambda one: (one.lane or 0, one.role, SHEET_KINDS.index(who_of(one).sheet), one.paired_wall_ms))
    return [_view(hall, device, asking, before) for device in ordered]


def _view(hall: Hall, device: Device, asking: Who, before: Mapping[str, Device]) -> DeviceView:
    state, words = _state(hall, device)
    mine = device.id == asking.device_id
    seat = seat_row(device.role, device.sheet)
    seen = hall.presence.of(device.id)
    refused = hall.presence.refusal(device.id) if seen and seen.report.refused else ""
    waits = tuple(waits_of(key, count, before.get(key)) for key, count in seen.report.before.items()) if seen else ()
    where, entries = _where(hall, device), device.entries
    return DeviceView(device.id, device.name, seat.name, device.lane, state, words, mine, seat.at, where, refused, waits, entries)


def _where(hall: Hall, device: Device) -> str:
    seen = hall.presence.of(device.id)
    if seen is not None:
        ago_ms = hall.time.server_ms() - seen.last_seen_ms
    else:
        ago_ms = hall.time.wall_ms() - (device.seen_wall_ms or device.paired_wall_ms)
    return " · ".join(part for part in (device.browser, device.address, f"seen {ago_text(ago_ms)}") if part)


def _state(hall: Hall, device: Device) -> tuple[str, str]:
    if not seat_row(device.role, device.sheet).at:
        return "safe", "logged in"
    seen = hall.presence.of(device.id)
    if seen is None or not seen.online(hall.time.server_ms()):
        left = seen.report.outbox if seen else 0
        return "look", f"unreachable, {say('last_heard', n=left)}" if left else "unreachable"
    if not seen.report.screen:
        return "kept", "online, has not reported yet what it holds"
    if seen.report.refused:
        more = seen.report.outbox - seen.report.refused
        waiting = f", {say('marks', n=more)} still on it" if more > 0 else ""
        return "look", f"online, {say('tablet.refused', n=seen.report.refused)}{waiting}"
    if seen.report.outbox:
        return "kept", f"online, {say('marks', n=seen.report.outbox)} still on it"
    if seen.report.trouble in MAY_LACK:
        return "look", "online, but marks made on it may be missing"
    return "safe", "online, nothing waits on it"
