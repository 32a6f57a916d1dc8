"""Who is at the doors of this process: the paired devices it knows, what their sockets last reported, and wrong guesses.

Nothing here is kept on disk. A restarted server learns it again within seconds from the devices themselves.
"""

import asyncio
import secrets
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Protocol

from app.live.guesses import HOUR_MS, MINUTE_MS, MOST_PER_ADDRESS, Guesses
from app.live.lives import Lives
from app.live.quota import Quota
from app.rules.records.seats import Role, SheetKind
from app.store.devices import Former

STRANGERS_LINES, OUR_LINES = 60, 600  # refused tries an hour that are written down; more than that is noise
MOST_SOCKETS = 8  # of one device; a tablet has one, and some that died unnoticed
GONE = "The desk has ended this device's pairing."
SILENT_MS = 7_000  # devices report every 2 s; three missed reports and the network is taken to be gone


@dataclass(frozen=True, slots=True)
class Who:
    """Who asks: a paired device, what it was paired as, and for a lane's devices which lane; for a platform's, one of its lanes.

    sheet: which counter of its lane a tablet is, and so the kind of sheet that it writes. before: the pairings of before that it
    speaks for. entries: for whom it stands, where its place is theirs.
    """

    device_id: str
    role: Role
    lane: int | None
    name: str = ""
    sheet: SheetKind = "lane"
    before: tuple[Former, ...] = ()
    entries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    """What a device says about itself.

    outbox: marks the desk has not acknowledged, those that it refused among them; `refused` says how many these are, and `before`
    how many of them were made under which other pairing. kept: marks on the tablet. bound_ms: bound on the error of its clock,
    None before it has one. heat, screen: what it shows. clock: synced to the server, or started by hand. trouble: what ails its
    store, one of STORE_WORDS (app/floor/attention.py), or nothing; `missing`: how many marks it is known to have lost. go_of: a
    run (`heat/number`) whose time it kept from before the server's computer was changed or started anew: its GO was at `go_ms` on
    the present timeline, give or take `go_bound_ms`.
    """

    outbox: int = 0
    kept: int = 0
    bound_ms: int | None = None
    heat: str | None = None
    screen: str = ""
    clock: str = ""
    trouble: str = ""
    missing: int = 0
    go_of: str = ""
    go_ms: int | None = None
    go_bound_ms: int = 0
    refused: int = 0
    before: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Seen:
    """A device, its last report, and when it was last heard of, in milliseconds of server time."""

    device: Who
    report: Report
    sockets: int
    last_seen_ms: int

    def online(self, now_ms: int) -> bool:
        """Whether the device can be taken to be reachable now: it has a socket open, and has used it lately."""
        return self.sockets > 0 and now_ms - self.last_seen_ms <= SILENT_MS


class Closes(Protocol):
    """What can be closed: a subscription, a socket."""

    def close(self) -> None:
        """Ends it."""


@contextmanager
def closing_with(presence: "Presence", device_id: str, open_line: Closes) -> Iterator[None]:
    """Closes a line as soon as its device is no longer welcome."""

    def close(_: str) -> None:
        open_line.close()

    presence.watch(device_id, close)
    try:
        yield
    finally:
        presence.unwatch(device_id, close)


class Presence:
    """The memory of one process about the devices at its doors. Changed on the event loop only; read from anywhere.

    Where several processes share the hall, each also knows what the others last said of theirs (`take_elsewhere`). `trusts` says
    no while this process may not have heard that a device was sent away: the database is asked each time then.
    `codes`, `passwords`: wrong guesses from the network; `at_laptop`: those made on this machine, which strangers can't hold up
    and which wait a minute at most; `known_here`: those of browsers that have logged in before, each with tries of its own.
    `invitations`: how often one was made or used up here.
    `hashing`: one password at a time, for each takes 64 MiB and every core.
    `first_code`: what somebody else than the laptop must know to set the first password; it is shown in the server's window.
    """

    def __init__(self, first_code: str = "") -> None:
        self.codes = Guesses("codes")
        self.passwords = Guesses("passwords")
        self.known_here = Guesses("known-here")
        self.at_laptop = Guesses("at-laptop", in_all=MOST_PER_ADDRESS, span_ms=MINUTE_MS)
        self.invitations = 0
        self.hashing = asyncio.Lock()
        self.lives = Lives()
        self.strangers_lines, self.our_lines = Quota(STRANGERS_LINES, HOUR_MS), Quota(OUR_LINES, HOUR_MS)
        self.trusts: Callable[[], bool] = lambda: True
        self.changed: Callable[[str], None] = lambda device_id: None  # hears which device here came, went or reported
        self.first_code = first_code or f"{secrets.randbelow(10**6):06}"
        self.first_code_shown = False
        self._known: dict[str, Who] = {}
        self._gone: set[str] = set()
        self._seen: dict[str, Seen] = {}
        self._refusals: dict[str, str] = {}
        self._watchers: dict[str, list[Callable[[str], None]]] = {}
        self._elsewhere: dict[str, dict[str, Seen]] = {}

    def known(self, token_hash: str) -> Who | None:
        """The device that a session belongs to, if this process has met it: a mark then needs no look into the database."""
        return self._known.get(token_hash) if self.trusts() else None

    def remember(self, token_hash: str, device: Who) -> None:
        """Keeps a device that the database has just vouched for, unless it was sent away in that very moment."""
        if device.device_id not in self._gone:
            self._known[token_hash] = device

    def forget(self, device_id: str, sentence: str) -> None:
        """Forgets a device that may no longer write, and tells its open sockets why."""
        self._gone.add(device_id)
        self.ask_anew(device_id)
        self._seen.pop(device_id, None)
        self._refusals.pop(device_id, None)
        self.lives.end(device_id)
        for others in self._elsewhere.values():
            others.pop(device_id, None)
        for close in self._watchers.pop(device_id, []):
            close(sentence)

    def ask_anew(self, device_id: str) -> None:
        """Asks the database anew about one device: what it may do has changed."""
        self._known = {token: device for token, device in self._known.items() if device.device_id != device_id}

    def forget_sessions(self) -> None:
        """Asks the database anew about everybody: this process may not have heard who was sent away."""
        self._known = {}

    def rename(self, device_id: str, name: str) -> None:
        """Takes over a device's new name."""
        self._known = {t: replace(d, name=name) if d.device_id == device_id else d for t, d in self._known.items()}
        if seen := self._seen.get(device_id):
            self._seen[device_id] = replace(seen, device=replace(seen.device, name=name))
        for others in self._elsewhere.values():
            if other := others.get(device_id):
                others[device_id] = replace(other, device=replace(other.device, name=name))

    def arrived(self, device: Who, now_ms: int, close: Callable[[str], None]) -> None:
        """A device has opened a socket; `close` is called with a sentence when the device is no longer welcome, and with none
        when this socket is the oldest of too many."""
        before = self._seen.get(device.device_id)
        report = before.report if before else Report()
        self._seen[device.device_id] = Seen(device, report, (before.sockets if before else 0) + 1, now_ms)
        self.changed(device.device_id)
        self.watch(device.device_id, close)

    def watch(self, device_id: str, close: Callable[[str], None]) -> None:
        """`close` is called with a sentence when a device is no longer welcome; at once, if it is that already."""
        if device_id in self._gone:
            close(GONE)
        else:
            watchers = self._watchers.setdefault(device_id, [])
            watchers.append(close)
            for oldest in watchers[:-MOST_SOCKETS]:
                oldest("")

    def unwatch(self, device_id: str, close: Callable[[str], None]) -> None:
        """`close` is called no more."""
        watchers = self._watchers.get(device_id, [])
        if close in watchers:
            watchers.remove(close)
        if not watchers:
            self._watchers.pop(device_id, None)

    def left(self, device_id: str, close: Callable[[str], None]) -> None:
        """A socket of a device is gone. Its last report stays to be seen."""
        self.unwatch(device_id, close)
        if seen := self._seen.get(device_id):
            self._seen[device_id] = replace(seen, sockets=max(0, seen.sockets - 1))
            self.changed(device_id)

    def stands(self, device: Who) -> None:
        """A device that is here stands for others than before."""
        if seen := self._seen.get(device.device_id):
            self._seen[device.device_id] = replace(seen, device=device)

    def heard(self, device_id: str, now_ms: int, report: Report | None = None) -> None:
        """A device has said something; with a report, what it says replaces what it said before."""
        if seen := self._seen.get(device_id):
            self._seen[device_id] = replace(seen, last_seen_ms=now_ms, report=report or seen.report)
            self.changed(device_id)

    def told_no(self, device_id: str, sentence: str) -> None:
        """A device's marks were refused, for this reason."""
        self._refusals[device_id] = sentence

    def refusal(self, device_id: str) -> str:
        """Why marks of a device were refused last, as far as this process has told it; it asks again whenever it comes back."""
        return self._refusals.get(device_id, "")

    def everybody(self) -> list[Seen]:
        """The devices seen since the server started, at the doors of all processes."""
        ids = {device_id for seen in (self._seen, *self._elsewhere.values()) for device_id in list(seen)}
        return [seen for device_id in sorted(ids) if (seen := self.of(device_id)) is not None]

    def of(self, device_id: str) -> Seen | None:
        """What is known of one device: the latest that it said to any process, and its sockets in all of them."""
        told = [seen[device_id] for seen in (self._seen, *self._elsewhere.values()) if device_id in seen]
        if len(told) < 2:
            return told[0] if told else None
        newest = max(told, key=lambda seen: seen.last_seen_ms)
        return replace(newest, sockets=sum(seen.sockets for seen in told))

    def here(self) -> list[Seen]:
        """What this process itself knows of the devices that were at its own doors."""
        return list(self._seen.values())

    def here_of(self, device_id: str) -> Seen | None:
        """The same of one device."""
        return self._seen.get(device_id)

    def take_elsewhere(self, process: str, seen: Iterable[Seen]) -> bool:
        """What another process says of devices at its doors. Whether a device came or went there."""
        others = self._elsewhere.setdefault(process, {})
        moved = False
        for one in seen:
            before = others.get(one.device.device_id)
            moved |= (before.sockets if before else 0) != one.sockets
            if one.device.device_id not in self._gone:
                others[one.device.device_id] = one
        return moved

    def left_elsewhere(self, process: str) -> bool:
        """Another process has ended, and nobody is at its doors; their last reports stay to be seen. Whether anybody was."""
        others = self._elsewhere.get(process, {})
        self._elsewhere[process] = {key: replace(seen, sockets=0) for key, seen in others.items()}
        return any(seen.sockets for seen in others.values())
