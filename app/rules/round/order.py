"""The order of a division, kept from one record to the next: what a hand-in changes is put in its place, nothing else is sorted.

For each event every entry of the division has a key, smaller for better, and the keys stand in one sorted list. From it places
are told in one pass; those of a region or a gym are the same list with the others left out. What is kept is what sorting all
lines anew gives (tests/rules/round/test_order.py).
"""

from bisect import bisect_left, insort
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby
from operator import itemgetter

from app.rules.result.standings import Standing
from app.rules.round.rule import EventRule
from app.rules.round.scale import Score
from app.rules.round.state import LineState, RoundState

Key = tuple[int, int | Fraction, int]  # how it takes part, a sort key (whole where it can be: that compares quickest), the entry
InOrder = tuple[int, int | None, bool]  # an entry, its place, whether that is shared
MANY = 8  # when one in so many changes, all are sorted anew: that is as quick


@dataclass(slots=True)
class Order:
    """The entries of a division in one event: `of` has the key of each, `keys` the same in order."""

    of: dict[int, Key] = field(default_factory=dict)
    keys: list[Key] = field(default_factory=list)

    def put(self, new: Mapping[int, Key | None]) -> None:
        """Gives entries other keys; None takes an entry out."""
        if len(new) * MANY > len(self.keys):
            for entry, key in new.items():
                self._note(entry, key)
            self.keys = sorted(self.of.values())
            return
        for entry, key in new.items():
            if (old := self.of.get(entry)) is not None:
                del self.keys[bisect_left(self.keys, old)]
            if key is not None:
                insort(self.keys, key)
            self._note(entry, key)

    def _note(self, entry: int, key: Key | None) -> None:
        if key is None:
            self.of.pop(entry, None)
        else:
            self.of[entry] = key

    def with_another(self, key: Key) -> list[Key]:
        """The keys in order as they would be if one entry had this key."""
        keys = self.keys.copy()
        del keys[bisect_left(keys, self.of[key[2]])]
        insort(keys, key)
        return keys


@dataclass(slots=True)
class Division:
    """A division: the gym of each of its entries, and their order in each event."""

    gyms: dict[int, int]
    orders: dict[str, Order]


def division_of(state: RoundState, division: str) -> Division:
    """A division as it is now."""
    if state.orders is None:
        state.orders, state.changed = {}, {(line.claim.division, key[0]) for key, line in state.lines.items()}
    if state.changed:
        changed, state.changed = state.changed, set()
        by_division: dict[str, set[int]] = defaultdict(set)
        for name, entry in changed:
            by_division[name].add(entry)
        for name, entries in by_division.items():
            kept = state.orders.setdefault(name, Division({}, {event.id: Order() for event in state.rules.events}))
            _bring_up(state, kept, name, entries)
    found = state.orders.get(division)
    return found if found is not None else Division({}, {event.id: Order() for event in state.rules.events})


def _bring_up(state: RoundState, kept: Division, name: str, entries: Iterable[int]) -> None:
    """Brings a division up to what the lines of some entries are now."""
    there: dict[int, Mapping[str, LineState]] = {}
    for entry in entries:
        lines = {event.id: line for event in state.rules.events if (line := state.lines.get((entry, event.id))) is not None}
        there[entry] = {event: line for event, line in lines.items() if line.claim.division == name}
        if there[entry]:
            kept.gyms[entry] = next(iter(there[entry].values())).claim.gym
        else:
            kept.gyms.pop(entry, None)
    for event in state.rules.events:
        kept.orders[event.id].put({entry: _key_of(event, entry, own) if own else None for entry, own in there.items()})


def _key_of(event: EventRule, entry: int, own: Mapping[str, LineState]) -> Key:
    line = own.get(event.id)
    return key_for(event, entry, line.value) if line is not None else (int(Standing.DID_NOT_START), 0, entry)


def key_for(event: EventRule, entry: int, value: Score) -> Key:
    """The key of an entry that has a line with this score."""
    if value is None:
        return (int(Standing.DISQUALIFIED), 0, entry)
    worth = event.worth(value)
    return (int(Standing.RANKED), worth.numerator if worth.denominator == 1 else worth, entry)


def placed(keys: Iterable[Key]) -> list[InOrder]:
    """Places by key, shared by equal ones (1, 2, 2, 4); behind them those without a place."""
    found: list[InOrder] = []
    for (group, _), same in groupby(keys, key=itemgetter(0, 1)):
        entries = [key[2] for key in same]
        if group == Standing.RANKED:
            place, shared = len(found) + 1, len(entries) > 1
            found += [(entry, place, shared) for entry in entries]
        else:
            found += [(entry, None, False) for entry in entries]
    return found


def is_within(state: RoundState, gym_of: int, region: str | None, gym: int | None) -> bool:
    """Whether an entry of a gym stands in the standing of a region or a gym."""
    return gym in (None, gym_of) and region in (None, state.gyms[gym_of].region)
