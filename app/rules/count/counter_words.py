"""What is in doubt about the counters of a window, as sentences: for the head judge's queue and for an explanation."""

from collections.abc import Iterator

from app.rules.count.tally_shape import WindowTally
from app.rules.records.seats import SHEETS, SheetKind
from app.rules.values.clock_times import clock_ms_text
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, known, say
from app.rules.workout.words import listed


def away_words(window: WindowTally) -> Iterator[str]:
    """Who judged nothing in it, and when a counter was silent while others counted; without a full stop."""
    for kind in window.away:
        yield say(
            "No mark shows that {who} was working here: what {named} judged counts",
            who=known(SHEETS[kind].who),
            named=_named(window.by),
        )
    for dark in window.dark:
        span = say("from {time} to {end}", time=decimal(clock_ms_text(dark.from_ms)), end=decimal(clock_ms_text(dark.to_ms)))
        silent = say("No mark shows that {who} was at work {span}", who=known(SHEETS[dark.kind].who), span=span)
        others, count = _named(dark.others), decimal_text(dark.taken)
        if window.joined is not None:
            yield say(
                "{silent}: what {others} counted then, {count}, is used for theirs", silent=silent, others=others, count=count
            )
        else:
            yield say("{silent}, when {others} counted {count}", silent=silent, others=others, count=count)


def unlike_words(window: WindowTally) -> Iterator[str]:
    """Who judged otherwise what can't be joined; without a full stop."""
    if window.unlike:
        others, who = _named(window.unlike), _named(window.by)
        yield say(
            "What {others} judged here differs: what {who} judged counts, until the head judge rules whose sheet stands",
            others=others,
            who=who,
        )


def _named(kinds: tuple[SheetKind, ...]) -> str:
    return listed([SHEETS[kind].who for kind in kinds])
