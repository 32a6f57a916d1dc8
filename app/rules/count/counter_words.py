"""What is in doubt about the counters of a window, as sentences: for the head judge's queue and for an explanation."""

from collections.abc import Iterator

from app.rules.count.tally_shape import WindowTally
from app.rules.records.seats import SHEETS, SheetKind
from app.rules.values.clock_times import clock_ms_text
from app.rules.values.units import decimal_text
from app.rules.workout.words import listed


def away_words(window: WindowTally) -> Iterator[str]:
    """Who judged nothing in it, and when a counter was silent while others counted; without a full stop."""
    for kind in window.away:
        yield f"No mark shows that {SHEETS[kind].who} was working here: what {_named(window.by)} judged counts"
    for dark in window.dark:
        span = f"from {clock_ms_text(dark.from_ms)} to {clock_ms_text(dark.to_ms)}"
        silent = f"No mark shows that {SHEETS[dark.kind].who} was at work {span}"
        others, count = _named(dark.others), decimal_text(dark.taken)
        if window.joined is not None:
            yield f"{silent}: what {others} counted then, {count}, is used for theirs"
        else:
            yield f"{silent}, when {others} counted {count}"


def unlike_words(window: WindowTally) -> Iterator[str]:
    """Who judged otherwise what can't be joined; without a full stop."""
    if window.unlike:
        others, who = _named(window.unlike), _named(window.by)
        yield f"What {others} judged here differs: what {who} judged counts, until the head judge rules whose sheet stands"


def _named(kinds: tuple[SheetKind, ...]) -> str:
    return listed([SHEETS[kind].who for kind in kinds])
