"""The folder of certificates: which authority is in use, and the server's certificate for the names and addresses of the day.

The authority's key stays here, readable by the owner only, because a laptop that gets another address needs a new certificate at
once. It never enters a backup or a competition file: a laptop that takes over makes its own, and tablets trust that one anew.
"""

import json
import ssl
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from app.lan.names import OUR_NAMES, in_private_range, machine_name

RELEASED = datetime(2026, 1, 1, tzinfo=UTC)  # a clock that shows less was never set
LEAST_LEFT = timedelta(days=1)  # an authority that ends sooner is of no use for the event that begins now
IN_THE_HALLS_OWN_DNS = "lane-ledger.home.arpa"

CLOCK_NEVER_SET = (
    "This computer's clock shows {shown}, so no certificate can be made: it would be out of date on every tablet. "
    "Set the clock and start again."
)
CLOCK_BEHIND = (
    "This computer's clock shows {shown}, before its certificate for tablets begins ({begins}). Set the clock; "
    "the certificate is kept, because tablets trust it."
)

KEY_BROKEN = "The key in {room} can't be read. Move that folder away; a new one is made at the next start."


class NoCertificate(Exception):
    """Raised when no certificate can be made or read; its text says why and what to do."""


@dataclass(frozen=True, slots=True)
class About:
    """What is known of an authority and its server's certificate. Dates are in seconds since 1970."""

    fingerprint: str
    title: str
    begins_s: int
    ends_s: int
    permitted: tuple[str, ...]
    names: tuple[str, ...] = ()
    addresses: tuple[str, ...] = ()

    @property
    def begins(self) -> datetime:
        """The first moment at which it is good."""
        return datetime.fromtimestamp(self.begins_s, UTC)

    @property
    def ends(self) -> datetime:
        """The moment after which it is good no more."""
        return datetime.fromtimestamp(self.ends_s, UTC)


class Certificates:
    """One folder with one authority in use. `trouble` is a sentence when the clock can't be right, else empty.

    Older authorities are kept in their rooms: when the clock was wrong at one start and right at the next, the one that tablets
    trust is found again. The oldest that is good now is used.
    """

    def __init__(self, folder: Path, now: datetime, days: int, name: str = "") -> None:
        self.trouble = ""
        self._name = name
        rooms = _rooms(folder)
        try:
            self.room, self.about = self._in_use(rooms, now) or _make(folder, len(rooms) + 1, self._permitted(), now, days)
        except OSError as wrong:
            raise NoCertificate(f"The certificates in {folder} can't be used: {wrong.strerror or wrong}.") from None

    @property
    def server_file(self) -> Path:
        """The server's certificate and key."""
        return self.room / "server.pem"

    def authority_der(self) -> bytes:
        """The authority's certificate as tablets take it."""
        return ssl.PEM_cert_to_DER_cert((self.room / "authority.crt").read_text("ascii"))

    def read_again(self) -> None:
        """Takes over what another process of this server has written into the room."""
        self.about = next((about for room, about in _rooms(self.room.parent) if room == self.room), self.about)

    def names_now(self) -> tuple[str, ...]:
        """The names that a certificate of today carries: those of this machine that its authority may vouch for."""
        wanted = [*self._permitted(), machine_name()]
        return tuple(sorted({name for name in wanted if name in self.about.permitted}))

    def cover(self, addresses: Sequence[str]) -> bool:
        """Makes a new server's certificate if the present one lacks a name or an address; says whether it did."""
        names = self.names_now()
        # An address that is gone may come back with the next cable: it stays, up to a sane number.
        kept = [one for one in self.about.addresses if one not in addresses][:8]
        covered = set(names) <= set(self.about.names) and set(addresses) <= set(self.about.addresses)
        if covered and self.server_file.is_file():
            return False
        wanted = sorted(one for one in {*addresses, *kept} if in_private_range(one))
        self.about = _issue(self.room, self.about, names, tuple(wanted))
        return True

    def _in_use(self, rooms: list[tuple[Path, About]], now: datetime) -> tuple[Path, About] | None:
        rooms = [one for one in rooms if set(self._own()) <= set(one[1].permitted)]
        good = [one for one in rooms if one[1].begins <= now < one[1].ends - LEAST_LEFT]
        if good:
            return good[0]
        later = [one for one in rooms if one[1].begins > now]
        if later:
            self.trouble = CLOCK_BEHIND.format(shown=_day(now), begins=_day(later[0][1].begins))
            return later[0]
        if now < RELEASED:
            raise NoCertificate(CLOCK_NEVER_SET.format(shown=_day(now)))
        return None

    def _permitted(self) -> list[str]:
        names = ["localhost", *OUR_NAMES, IN_THE_HALLS_OWN_DNS, machine_name(), *self._own()]
        return sorted({name for name in names if name})

    def _own(self) -> list[str]:
        """The name that the organiser has chosen, if it is one and not an address."""
        return [self._name] if self._name and not in_private_range(self._name) else []


def _rooms(folder: Path) -> list[tuple[Path, About]]:
    """The authorities that are whole, oldest first. Half of one, left by a power cut at the first start, is passed over."""
    found = []
    for room in sorted(folder.glob("[0-9][0-9]")):
        try:
            read: dict[str, Any] = json.loads((room / "about.json").read_text("utf-8"))
            read |= {name: tuple(read[name]) for name in ("permitted", "names", "addresses")}
            about = About(**read)
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            continue
        if (room / "authority.key").is_file():
            (room / "authority.key").chmod(0o600)  # a copied folder may have lost it
            found.append((room, about))
    return found


def _make(folder: Path, number: int, permitted: list[str], now: datetime, days: int) -> tuple[Path, About]:
    # Loaded when a certificate is made: it takes a tenth of a second, and most starts make none.
    from app.lan import certificate

    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    while (room := folder / f"{number:02}").exists():
        number += 1
    room.mkdir(mode=0o700)
    authority = certificate.new_authority(permitted, now, days)
    certificate.write_authority(authority, room / "authority.crt", room / "authority.key")
    made = authority.certificate
    title = str(made.subject.rdns[0].rfc4514_string()).removeprefix("CN=")
    begins, ends = made.not_valid_before_utc, made.not_valid_after_utc
    about = About(authority.fingerprint, title, int(begins.timestamp()), int(ends.timestamp()), tuple(permitted))
    _write_about(room, about)
    return room, about


def _issue(room: Path, about: About, names: tuple[str, ...], addresses: tuple[str, ...]) -> About:
    from app.lan import certificate  # see _make

    try:
        authority = certificate.read_authority(room / "authority.crt", room / "authority.key")
    except ValueError:
        raise NoCertificate(KEY_BROKEN.format(room=room)) from None
    certificate.write_secret(room / "server.pem", certificate.issue(authority, names, addresses))
    fresh = About(about.fingerprint, about.title, about.begins_s, about.ends_s, about.permitted, names, addresses)
    _write_about(room, fresh)
    return fresh


def _write_about(room: Path, about: About) -> None:
    beside = room / "about.json.part"
    beside.write_text(json.dumps(asdict(about), indent=1), encoding="utf-8")
    beside.replace(room / "about.json")


def _day(moment: datetime) -> str:
    return f"{moment.day} {moment:%B %Y}"
