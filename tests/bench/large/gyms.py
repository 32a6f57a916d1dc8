"""The standing of a round of 5,000 gyms: how long it takes to stand again when one more joins, and how it grows with gyms.

The records are made by bulk, as headquarters has them once each file was checked; forty entries a gym. Processor time, since a
busy machine makes the clock lie.
"""

import sys
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from random import Random

from app.rules.round import records as r
from app.rules.round.fold import fold, take
from app.rules.round.rule import HOUR, DivisionRule, EventRule, PartRule, Rule
from app.rules.round.standing import standing
from app.rules.round.state import RoundState
from tests.bench.figures import Figure, Goal

GYMS, ENTRIES, DIVISIONS, REGIONS = 5_000, 40, 14, 8
FEW, TWICE = 80, 160
JOIN, TWICE_AS_MANY = Goal("at most", 1_000), Goal("at most", 2.2)
LEAST_OF = 5  # of a span that is short, the shortest of so many


class _Making:
    """The records of a round as its gyms hand in, numbered."""

    def __init__(self, events: int) -> None:
        self.number, self.chance = 0, Random(7)
        parts = (PartRule(name="All"),)
        self.rule = Rule(
            id="round",
            name="A round",
            events=tuple(EventRule(id=f"e{n}", name=f"Event {n}", parts=parts) for n in range(events)),
            divisions=tuple(DivisionRule(id=f"d{n}", name=f"Division {n}", places=40) for n in range(DIVISIONS)),
            deadline_ms=1_000 * HOUR,
        )

    def opened(self, gyms: int) -> Iterator[r.Record]:
        yield self._next(r.Opened, rule=self.rule)
        for gym in range(1, gyms + 1):
            yield self._next(r.Gym, gym=gym, name=f"Gym {gym}", region=f"Region {gym % REGIONS}")

    def hand_in(self, gym: int) -> Iterator[r.Record]:
        digest = f"{gym:064x}"
        yield self._next(r.Promised, hand_in=digest, gym=gym)
        yield self._next(r.Arrived, hand_in=digest)
        yield self._next(r.Checked, hand_in=digest)
        for entry in range(gym * 1_000 + 1, gym * 1_000 + 1 + ENTRIES):
            said = {"entry": entry, "division": f"d{self.chance.randrange(DIVISIONS)}", "gym": gym, "hand_in": digest}
            for event in self.rule.events:
                parts = (Fraction(self.chance.randrange(40, 400)),)
                yield self._next(r.Claim, event=event.id, parts=parts, person=f"{entry:064x}", **said)

    def _next(self, kind: Callable[..., r.Record], **said: object) -> r.Record:
        self.number += 1
        return kind(number=self.number, at=HOUR, **said)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures the growth first, then the whole round, with one event and with three."""
    return [*_growth(tell), *_joined(1, tell), *_joined(3, tell)]


def _growth(tell: Callable[[str], None]) -> list[Figure]:
    took = {}
    for gyms in (FEW, TWICE):
        tell(f"gyms: {gyms} gyms are folded and ranked")
        made = _Making(1)
        records = [*made.opened(gyms), *(one for gym in range(1, gyms + 1) for one in made.hand_in(gym))]
        took[gyms] = min(_spent(lambda records=records: _rank(fold(records))) for _ in range(LEAST_OF))  # type: ignore[misc]
    times = took[TWICE] / took[FEW]
    return [
        Figure("gyms.few", f"{FEW} gyms: their records folded and ranked", took[FEW] * 1000, "ms"),
        Figure("gyms.twice", f"… {TWICE} gyms, so many times as long", times, "", TWICE_AS_MANY),
    ]


def _joined(events: int, tell: Callable[[str], None]) -> list[Figure]:
    gyms = GYMS // events
    lines = gyms * ENTRIES * events
    tell(f"gyms: {gyms:,} gyms with {lines:,} lines of {events} events are folded")
    made, state = _Making(events), RoundState()

    def add(records: Iterator[r.Record]) -> None:
        for record in records:
            if sentence := take(state, record):
                raise AssertionError(sentence)

    folded = _spent(lambda: (add(made.opened(gyms)), *(add(made.hand_in(gym)) for gym in range(1, gyms))))
    first = _spent(lambda: _rank(state))
    joined = _spent(lambda: (add(made.hand_in(gyms)), _rank(state)))
    regions = {one.region for one in state.gyms.values()}
    parts = _spent(lambda: [standing(state, one.id, region) for one in state.rules.divisions for region in regions])
    own = _spent(lambda: [standing(state, one.id, None, gyms) for one in state.rules.divisions])
    assert len(state.lines) == lines, "every line is there"
    key, what = f"gyms.{events}", f"{gyms:,} gyms, {lines:,} lines, {events} {'event' if events == 1 else 'events'}"
    return [
        Figure(f"{key}.fold", f"{what}: made and folded", folded, "s"),
        Figure(f"{key}.first", "… every division ranked for the first time", first * 1000, "ms"),
        Figure(f"{key}.join", "… one more gym taken, every division ranked again", joined * 1000, "ms", JOIN),
        Figure(f"{key}.regions", f"… every division of {REGIONS} regions ranked", parts * 1000, "ms"),
        Figure(f"{key}.own", "… one gym's own standing in every division", own * 1000, "ms"),
        *_memory(key),
    ]


def _memory(key: str) -> list[Figure]:
    if sys.platform == "win32":  # which does not tell
        return []
    import resource

    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024 * 1024 if sys.platform == "darwin" else 1024)
    return [Figure(f"{key}.memory", "… the most memory of this process so far", most, "MB")]


def _rank(state: RoundState) -> int:
    """Every division ranked: how many entries have a place there."""
    return sum(len(standing(state, division.id)) for division in state.rules.divisions)


def _spent(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun
