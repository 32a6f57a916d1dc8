"""How many marks a device may bring: as many as people can make in the heat time that they cover.

What a tablet counted alone for an hour comes at once and is not slowed, for it covers an hour of heats. What comes faster than
hands can count waits on the device: nothing of it is refused for good, and it is told when to try again. Heat time is what the
desk's own GO vouches for; what no GO vouches for (the desk was dead, the lanes began on a whistle) passes no faster than time
itself, and an hour of it may have passed unseen. So a device that lies about its marks' times gains what it could have counted.

Each process counts by itself: a device that keeps lines to several of them is given as much by each.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from app.live.pace import Pace
from app.rules.values.hands import OVER_A_HEAT

AT_ONCE_S = 100  # so many seconds' marks may come at once without covering any: checks before a heat, a burst, a retry
UNSEEN_S = 3600
MOST_WAIT_S = 60
TOLD_MS = 60_000
AGAIN = 0.1  # of a mark: one that is here already, or on its way, and a request as such
MOST_DEVICES = 500


@dataclass(frozen=True, slots=True)
class Stretch:
    """Heat time that marks cover: of which heat, from when to when, in ms on its clock. vouched: the desk gave it a GO."""

    heat: str
    from_ms: int
    to_ms: int
    vouched: bool


@dataclass(slots=True)
class _Device:
    """What is left to a device, in marks (below zero: it must wait); the heat time that it alone may vouch for, in seconds; what
    its marks have covered; the ids of those that are being stored; when it last had to wait."""

    left: Pace
    unseen: Pace
    covered: dict[str, tuple[int, int]] = field(default_factory=dict)
    on_the_way: set[str] = field(default_factory=set)
    waited_ms: int | None = None


@dataclass(slots=True)
class OnTheWay:
    """While ids are among those of a device that are being stored. A generator would take thrice as long, for every mark."""

    all: set[str]
    own: set[str]

    def __enter__(self) -> None:
        self.all |= self.own

    def __exit__(self, *error: object) -> None:
        self.all -= self.own


class Allowances:
    """What each device may bring. per_second: how many marks people make in a second, for long. Times are of the server's
    monotonic clock. Used on the event loop."""

    def __init__(self, per_second: float) -> None:
        self._per_second = per_second
        self._devices: dict[str, _Device] = {}

    def wait_ms(self, device: str, now_ms: int) -> int:
        """For how long a device must wait before it may bring more: 0 if it may now."""
        known = self._devices.get(device)
        if known is None:
            return 0
        wait_s = known.left.wait_s(now_ms / 1000, 0)
        if wait_s > 0:
            known.waited_ms = now_ms
        return int(wait_s * 1000)

    def bringing(self, device: str, now_ms: int, count: int, ids: Iterable[str], here: Callable[[str], object]) -> "OnTheWay":
        """While a device's marks are stored: so many in one request, of which these ids could be read. Those that are `here`
        already, or on their way (no answer came, and it sends again), cost little."""
        known = self._of(device)
        fresh = {key for key in ids if key not in known.on_the_way and not here(key)}
        self._owes(known, now_ms, len(fresh) + AGAIN * (1 + count - len(fresh)))
        return OnTheWay(known.on_the_way, fresh)

    def owes(self, device: str, now_ms: int, marks: float) -> None:
        """A device has brought the worth of so many marks. It may owe some of it, and then waits, but a minute at most."""
        self._owes(self._of(device), now_ms, marks)

    def _owes(self, known: _Device, now_ms: int, marks: float) -> None:
        known.left.wait_s(now_ms / 1000, marks)
        known.left.owe_at_most(MOST_WAIT_S * self._per_second)

    def covers(self, device: str, now_ms: int, stretches: Iterable[Stretch]) -> None:
        """The marks that a device has just brought cover these stretches: what of them is new to us gives it room for as many as
        people make meanwhile."""
        known = self._of(device)
        for one in stretches:
            fresh_s = self._fresh_ms(known, one) / 1000
            if not one.vouched:
                fresh_s = known.unseen.take_some(now_ms / 1000, fresh_s)
            known.left.give_back(fresh_s * self._per_second * OVER_A_HEAT)

    def waiting(self, now_ms: int) -> tuple[str, ...]:
        """The devices that had to wait within the last minute."""
        known = self._devices.items()
        return tuple(key for key, one in known if one.waited_ms is not None and now_ms - one.waited_ms < TOLD_MS)

    def _fresh_ms(self, known: _Device, stretch: Stretch) -> int:
        low, high = known.covered.get(stretch.heat, (stretch.from_ms, stretch.from_ms))
        wider = min(low, stretch.from_ms), max(high, stretch.to_ms)
        known.covered[stretch.heat] = wider
        return (wider[1] - wider[0]) - (high - low)

    def _of(self, device: str) -> _Device:
        known = self._devices.get(device)
        if known is None:
            self._make_room()
            left = Pace(self._per_second, self._per_second * AT_ONCE_S)
            known = self._devices[device] = _Device(left, Pace(1, UNSEEN_S))
        return known

    def _make_room(self) -> None:
        """Forgets who has come to the hall first: more devices than a hall has are old pairings."""
        if len(self._devices) >= MOST_DEVICES:
            del self._devices[next(iter(self._devices))]
