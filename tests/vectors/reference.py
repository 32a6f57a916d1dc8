"""What the vectors need beside the rule book: its values as the JSON that the tablet gives, and what only a tablet does."""

from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

from app.rules.count.clock import Moment, Offset
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.lifting.next_attempt import NextAttempt
from app.rules.count.tally import Tally, WindowTally
from app.rules.values.shapes import load_plain
from app.rules.values.units import decimal_text


def moment_plain(moment: Moment) -> dict[str, object]:
    """A moment as JSON."""
    return {
        "phase": moment.phase,
        "windows": list(moment.windows),
        "main": moment.main,
        "left_ms": moment.left_ms,
        "next": moment.next,
    }


def rfc5905_offset(t1: float, t2: float, t3: float, t4: float) -> tuple[float, float]:
    """Offset and round-trip delay of one exchange: ((t2-t1)+(t3-t4))/2 and (t4-t1)-(t3-t2) (RFC 5905, section 8)."""
    return ((t2 - t1) + (t3 - t4)) / 2, (t4 - t1) - (t3 - t2)


@dataclass
class SleepyOffset(Offset):
    """The offset as a tablet keeps it, whose own clock may stand still while it sleeps; a computer's at a desk does not."""

    _doubt: float = 0.0
    _believed: float = 0.0

    def add(self, t1: float, t2: float, t3: float, t4: float) -> None:
        """Takes one exchange, which tells whether the clock stood still."""
        super().add(t1, t2, t3, t4)
        self._doubt = self._believed = 0.0

    def slept(self, ms: float, believed: bool) -> None:
        """The client's clock may have stood still for up to `ms` milliseconds; `believed`: that is taken to be what happened.

        The estimate moves only if it is believed. Its bound grows either way, until the next exchange tells.
        """
        self._high += ms
        self._lately = tuple((low, high + ms) for low, high in self._lately)
        self._doubt += ms
        self._believed += ms if believed else 0.0

    def estimate(self, now: float) -> tuple[float, float] | None:
        """(offset, bound) in milliseconds at the client's time `now`, or None before the first exchange."""
        found = super().estimate(now)
        if found is None or not self._doubt:
            return found
        aged = self.drift_ppm / 1_000_000 * now
        low, high = self._low - aged, self._high + aged
        known = high - low - self._doubt
        offset = low + known / 2 + self._believed
        return offset, max(max(0.0, known / 2) + self._doubt, self._from_lately(offset, aged))


def tally_plain(tally: Tally) -> dict[str, Any]:
    """A tally as JSON, the shape that the tablet's twin gives."""
    return {
        "windows": [_window_plain(window) for window in tally.windows],
        "stops": list(tally.stops),
        "signed": dict(tally.signed),
        "flags": [{"mark": flag.mark, "why": flag.why} for flag in tally.flags],
        "struck": list(tally.struck),
        "any_marks": tally.any_marks,
    }


def _measure_plain(value: Fraction | None) -> str | None:
    return None if value is None else decimal_text(value, 6)


def _window_plain(window: WindowTally) -> dict[str, Any]:
    return {
        "index": window.index,
        "count": window.count,
        "norep": window.norep,
        "credited": window.credited,
        "target": window.target,
        "finish_ms": window.finish_ms,
        "left": window.left,
        "measure": _measure_plain(window.measure),
        "shares": [asdict(one) | {"measure": _measure_plain(one.measure)} for one in window.shares],
        "reps": [list(one) for one in window.reps],
        "lifts": [lift_plain(lift) for lift in window.lifts],
        "best": None if window.best is None else lift_plain(window.best),
        "declaration": window.declaration,
        "begun": window.begun,
        "waiting": window.waiting,
        "loaded": None if window.loaded is None else load_plain(window.loaded),
        "free_ms": window.free_ms,
        "since_ms": window.since_ms,
        "since_off_ms": window.since_off_ms,
        "attempt_seconds": window.attempt_seconds,
        "coming": None if window.coming is None else coming_plain(window.coming),
        "comings": {str(member): coming_plain(coming) for member, coming in window.comings},
    }


def coming_plain(coming: NextAttempt) -> dict[str, Any]:
    """What a next declaration is for, as JSON."""
    loads = {name: load_plain(load) if (load := getattr(coming, name)) else None for name in ("load", "auto", "again")}
    told = [said._asdict() for said in coming.told]
    return asdict(coming) | loads | {"told": told, "over": coming.over._asdict() if coming.over else None}


def lift_plain(lift: LiftTally) -> dict[str, Any]:
    """One lift as JSON."""
    return {
        "mark": lift.mark,
        "declared": lift.declared,
        "load": load_plain(lift.load),
        "reps": lift.reps,
        "good": lift.good,
        "fault": lift.fault,
        "member": lift.member,
        "at": lift.at,
        "counts": lift.counts,
        "asked": None if lift.asked is None else load_plain(lift.asked),
        "on_bar": None if lift.on_bar is None else load_plain(lift.on_bar),
        "again": lift.again,
        "begun": lift.begun,
        "racked": lift.racked,
        "lights": list(lift.lights),
        "doubt": lift.doubt,
    }
