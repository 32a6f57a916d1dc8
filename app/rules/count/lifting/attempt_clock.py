"""The clock of the attempt that stands: one reading for every screen that shows it.

static/js/rules/lifting/attempt_clock.js is the twin.
"""

from app.rules.count.tally_shape import WindowTally

Runs = tuple[int, int]  # since when, and until when: ms on the heat clock


def attempt_clock(found: WindowTally) -> Runs | None:
    """How the clock of the attempt runs that stands in a window.

    None where the event gives an attempt no time, before anybody has said what starts it (the call, the bar that is loaded), from
    the bar's leaving its rack on, and once it was tried under its declaration; one that is made again has its own time."""
    if found.declaration is None or found.begun is not None or found.since_ms is None or found.attempt_seconds is None:
        return None
    if any(lift.declared == found.declaration and not lift.again for lift in found.lifts):
        return None
    return found.since_ms, found.since_ms + found.attempt_seconds * 1000
