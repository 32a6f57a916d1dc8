"""Who may hold a connection: so many for an address, so many in all, and none for longer than it has a use for it.

Judges come first. A connection over which a paired device has shown its session is known; it is never cut to make room, and does
not count among the strangers of its address. Nothing here knows HTTP: `patient.py` says what a connection is waiting for.
"""

import math
import sys
from collections.abc import Callable
from dataclasses import dataclass, field

from app.live.pace import Pace

SPARE_FILES = 200  # for the store, the static files, the planner, the database's own
LOOK_EVERY_S = 0.25  # how often overdue connections are looked for; what is overdue is cut so much later at most
FORGET_EVERY_S = 60.0
NEVER = math.inf


@dataclass(frozen=True, slots=True)
class Limits:
    """How much the server bears. Seconds, bytes, numbers.

    reserve: places among `connections` for addresses from which a judge has come, and for this computer. head: from the
    connection, or the first byte of a further request, to the end of its headers. idle: a kept connection that asks nothing.
    rest: so long nobody is cut to make room. unread: in each such time a client takes at least `unread_bytes` of what waits
    for it. goodbye: the rest of a body that nobody wants.
    """

    connections: int = 1000
    reserve: int = 100
    per_address: int = 40
    known_per_address: int = 400
    new_per_second: float = 40
    new_at_once: float = 160
    head_seconds: float = 5
    greeting_seconds: float = 5
    idle_seconds: float = 30
    rest_seconds: float = 1
    unread_seconds: float = 5
    unread_bytes: int = 20_000
    goodbye_seconds: float = 2
    head_bytes: int = 64 * 1024
    target_bytes: int = 8 * 1024
    headers: int = 100
    pipelined: int = 8
    unwanted_bytes: int = 1024 * 1024
    frames_per_second: float = 40
    frames_at_once: float = 200


@dataclass(eq=False, slots=True)
class Line:
    """One connection. `cut` ends it at once, `waiting` says how many bytes are written and not yet taken.

    until: when it is cut, in seconds of the loop's clock. unread_until: the same unless enough was taken since, `unread` being
    what waited then.
    """

    address: str
    own: bool
    since: float
    cut: Callable[[], object]
    waiting: Callable[[], int] = lambda: 0
    until: float = NEVER
    unread_until: float = NEVER
    unread: int = 0
    known: bool = False
    keeper: "Doorkeeper | None" = None

    def vouch(self) -> None:
        """A paired device has shown its session over this connection."""
        if not self.known and self.keeper is not None:
            self.keeper.know(self)

    def works(self, busy: bool) -> None:
        """Whether something is being answered over this connection; who asks nothing makes room first."""
        if self.keeper is not None and not self.known:
            self.keeper.idle.pop(self, None)
            if not busy:
                self.keeper.idle[self] = None

    def must_read(self, now: float, limits: Limits) -> None:
        """What waits for the client must be taken from now on."""
        if self.unread_until == NEVER:
            self.unread_until, self.unread = now + limits.unread_seconds, self.waiting()

    def overdue(self, now: float, limits: Limits) -> bool:
        """Whether one of its times has passed. A client that reads, however much there is, gets more."""
        if now > self.unread_until:
            left = self.waiting()
            if self.unread - left >= limits.unread_bytes:
                self.unread_until, self.unread = now + limits.unread_seconds, left
        return now > self.until or now > self.unread_until


@dataclass(slots=True)
class _Address:
    """What is open from one address: strangers' connections and known ones, the pace of new ones, and whether a judge has
    ever come from there."""

    pace: Pace
    strangers: int = 0
    known: int = 0
    judges: bool = False


@dataclass(slots=True)
class Doorkeeper:
    """All connections of one process. Used on its event loop only."""

    limits: Limits
    lines: set[Line] = field(default_factory=set)
    idle: dict[Line, None] = field(default_factory=dict)  # strangers who ask nothing now, who has rested longest first
    _addresses: dict[str, _Address] = field(default_factory=dict)
    _forgotten_at: float = 0.0

    def admit(self, address: str, own: bool, now: float, cut: Callable[[], object]) -> Line | None:
        """A place for a new connection, or None. `own`: it comes from this computer, which is not counted by address."""
        here = self._at(address)
        if not own and (here.strangers >= self.limits.per_address or not here.pace.take(now)):
            return None
        most = self.limits.connections - (0 if own or here.judges else self.limits.reserve)
        if len(self.lines) >= most and not self._make_room(now):
            return None
        line = Line(address, own, now, cut, until=now + self.limits.head_seconds, keeper=self)
        self.lines.add(line)
        self.idle[line] = None
        here.strangers += 1
        return line

    def leave(self, line: Line) -> None:
        """A connection is closed; its place is free."""
        if line not in self.lines:
            return
        self.lines.discard(line)
        self.idle.pop(line, None)
        here = self._at(line.address)
        here.known -= line.known
        here.strangers -= not line.known

    def know(self, line: Line) -> None:
        """Counts a connection among the known ones of its address, if there are not too many of them."""
        here = self._at(line.address)
        if line in self.lines and (line.own or here.known < self.limits.known_per_address):
            line.known = True
            self.idle.pop(line, None)
            here.known += 1
            here.strangers -= 1
            here.judges = True

    def cut_overdue(self, now: float) -> int:
        """Cuts what has had its time; says how many. Forgets addresses that have nothing open."""
        overdue = [line for line in self.lines if line.overdue(now, self.limits)]
        for line in overdue:
            line.cut()
        if now - self._forgotten_at > FORGET_EVERY_S:
            self._forgotten_at = now
            self._addresses = {
                name: here for name, here in self._addresses.items() if here.judges or here.strangers or not here.pace.full(now)
            }
        return len(overdue)

    def _make_room(self, now: float) -> bool:
        """Cuts the stranger who has rested longest, but nobody who has just come: else those who come again at once would push
        each other out without end."""
        oldest = next(iter(self.idle), None)
        if oldest is None or now - oldest.since < self.limits.rest_seconds:
            return False
        self.leave(oldest)
        oldest.cut()
        return True

    def _at(self, address: str) -> _Address:
        here = self._addresses.get(address)
        if here is None:
            here = self._addresses[address] = _Address(Pace(self.limits.new_per_second, self.limits.new_at_once))
        return here


def open_files(wanted: int) -> int:
    """Asks the system for as many open files as `wanted` connections need; how many connections there is room for then."""
    if sys.platform == "win32":
        return wanted  # there sockets are not files
    import resource  # which Windows has not

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    need = wanted + SPARE_FILES
    if soft != resource.RLIM_INFINITY and soft < need:
        most = need if hard == resource.RLIM_INFINITY else min(need, hard)
        try:
            resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
            soft = most
        except (OSError, ValueError):
            pass  # the system has a limit of its own that it does not tell; what there is has to do
    return wanted if soft == resource.RLIM_INFINITY else max(1, min(wanted, soft - SPARE_FILES))
