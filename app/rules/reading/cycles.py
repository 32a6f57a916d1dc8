"""Things with a time each, one after another, round after round."""

from app.rules.reading.clock import Clock, shared_by
from app.rules.reading.counted_windows import most_task
from app.rules.reading.drafts import Stretch, Work
from app.rules.reading.talk import Span


def in_a_cycle(clock: Clock, stretch: Stretch) -> list[str]:
    """Things with a time each, one after another, round after round: as many as possible of each."""
    keys: list[str] = []
    group, who = stretch.group, shared_by(clock, stretch)
    if stretch.seconds is not None:
        clock.things.talk.red(stretch.span or Span(0, 0), "What has a time of its own has another one above it.")
    made = [(work, None if work.rest else _timed(clock, stretch, work)) for work in group.works]
    for number in range(group.rounds):
        for place, (work, key) in enumerate(made):
            last = number == group.rounds - 1 and place == len(made) - 1
            if work.rest and not last:
                clock.rest(stretch, work.rest, work.span)
            elif key is not None and work.amount is not None:
                clock.window(stretch, int(work.amount.values[0]), key, (*stretch.headings, work.span), who)
                keys.append(key)
                if not last:
                    clock.rest(stretch, stretch.off, stretch.off_span)
    return keys


def _timed(clock: Clock, stretch: Stretch, work: Work) -> str | None:
    if not work.most:
        clock.things.talk.assume(f"{work.name}: as many as possible in its time.", work.span)
    task = most_task(clock, stretch, work)
    return clock.task("work", task) if task else None
