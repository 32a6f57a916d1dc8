"""What a tablet's own page of trust shows: where the secure door is, whose certificate it is, and what is missing without it."""

from dataclasses import dataclass
from typing import Literal

from app.lan.addresses import best_address, is_loopback
from app.lan.secure import Secure
from app.rules.values.words import known, say

Device = Literal["apple", "android", "windows", "mac", "linux"]

# As a browser names its system; an iPad calls itself a Mac, which only its page's script can tell apart.
SYSTEMS: tuple[tuple[str, Device], ...] = (
    ("iphone", "apple"),
    ("ipad", "apple"),
    ("android", "android"),
    ("windows", "windows"),
    ("mac os", "mac"),
)

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

# Measured: see SECURITY.md beside this file, "What plain HTTP lacks".
REDUCED = (
    "Keep its page open: without encryption it can't be reloaded while the desk can't be reached. What was counted is kept.",
    "Its screen may switch itself off: set the device to stay on, in its own settings.",
    "A new version of the app arrives at the next reload, whenever that is.",
    "Somebody on the same network could read what it sends, or pose as this device.",
)


@dataclass(frozen=True, slots=True)
class TrustView:
    """The page of trust. `arrived`: it was opened through the secure door, so trust is there already."""

    title: str
    arrived: bool
    origins: tuple[str, ...]
    fingerprint: tuple[str, ...]
    ends: str
    device: Device
    reduced: tuple[str, ...]
    wall_ms: int


def trust_view(secure: Secure, host: str, arrived: bool, system: str, wall_ms: int) -> TrustView:
    """The page of trust for a browser that asked for `host` and calls its system so."""
    ends = secure.about.ends.astimezone()
    return TrustView(
        title=secure.about.title,
        arrived=arrived,
        origins=secure_origins(secure, host),
        fingerprint=fingerprint_groups(secure),
        ends=say("{day} {month} {year}", day=ends.day, month=known(MONTHS[ends.month - 1]), year=ends.year),
        device=device_of(system),
        reduced=REDUCED,
        wall_ms=wall_ms,
    )


def secure_origins(secure: Secure, host: str) -> tuple[str, ...]:
    """Where a browser may find the secure door, best first.

    The fixed name comes before any address: a tablet's memory belongs to the one it was paired under, and an address may change.
    """
    here = host == "localhost" or is_loopback(host.strip("[]"))
    asked = host if secure.covers(host) else best_address()
    wanted = [host] if here else [secure.name, asked]
    return tuple(dict.fromkeys(secure.origin(one) for one in wanted if secure.covers(one)))


def fingerprint_groups(secure: Secure) -> tuple[str, ...]:
    """The authority's fingerprint in groups that people can compare."""
    digits = secure.about.fingerprint.upper()
    return tuple(digits[at : at + 4] for at in range(0, len(digits), 4))


def device_of(system: str) -> Device:
    """Which steps a browser's description of itself asks for."""
    told = system.lower()
    return next((device for sign, device in SYSTEMS if sign in told), "linux")
