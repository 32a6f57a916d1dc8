"""What is in doubt about the counters of a window, as sentences: for the head judge's queue and for an explanation."""

from collections.abc import Iterator

from app.rules.count.tally_shape import WindowTally
from app.rules.records.seats import SHEETS, SheetKind
from app.rules.values.clock_times import clock_ms_text
from app.rules.values.units import decimal_text
from app.rules.values.words import say
from app.rules.workout.words import listed


def away_words(window: WindowTally) -> Iterator[str]:
    """Who judged nothing in it, and when a counter was silent while others counted; without a full stop."""
    for kind in window.away:
        yield say("counters.away", who=SHEETS[kind].who, others=_named(window.by))
    for dark in window.dark:
        key = "counters.dark" if window.joined is not None else "counters.dark_alone"
        since, until = clock_ms_text(dark.from_ms), clock_ms_text(dark.to_ms)
        others = _named(dark.others)
        yield say(key, who=SHEETS[dark.kind].who, since=since, until=until, others=others, n=decimal_text(dark.taken))


def unlike_words(window: WindowTally) -> Iterator[str]:
    """Who judged otherwise what can't be joined; without a full stop."""
    if window.unlike:
        yield say("counters.unlike", others=_named(window.unlike), who=_named(window.by))


def _named(kinds: tuple[SheetKind, ...]) -> str:
    return listed([SHEETS[kind].who for kind in kinds])
