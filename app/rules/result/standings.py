"""Scores to places. Ties are shared: 1, 2, 2, 4 (standard competition ranking), unless stated tie steps break them."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from itertools import groupby
from typing import Any


class Standing(IntEnum):
    """How an entry takes part in a ranking, in the order in which groups follow one another."""

    RANKED = 0
    NO_TOTAL = 1
    DID_NOT_FINISH = 2
    DID_NOT_START = 3
    WITHDRAWN = 4
    DISQUALIFIED = 5


@dataclass(frozen=True, slots=True)
class Candidate:
    """Somebody to be ranked: a name for them, the group they stand in, their sort key (smaller is better), their tie-break
    keys."""

    who: Hashable
    standing: Standing
    key: tuple[Any, ...]
    ties: tuple[tuple[Any, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Placed:
    """A place: `place` is None outside the ranking; `shared` tells an equal place; `by_tie` the number of the tie step that
    decided it."""

    who: Hashable
    place: int | None
    shared: bool
    by_tie: int | None


def rank(candidates: Sequence[Candidate]) -> list[Placed]:
    """Places by key, then by the tie steps in order, then shared. Unranked groups follow without a place.

    The sort is stable: those who share a place keep the order they were given in.
    """
    ordered = sorted(candidates, key=lambda c: (c.standing, c.key, c.ties) if c.standing is Standing.RANKED else (c.standing,))
    ranked = [c for c in ordered if c.standing is Standing.RANKED]
    equals = [list(group) for _, group in groupby(ranked, key=lambda c: (c.key, c.ties))]
    placed: list[Placed] = []
    for i, group in enumerate(equals):
        place, step = len(placed) + 1, _tie_step(equals, i)
        placed += [Placed(c.who, place, len(group) > 1, step) for c in group]
    return placed + [Placed(c.who, None, False, None) for c in ordered if c.standing is not Standing.RANKED]


def _tie_step(equals: Sequence[Sequence[Candidate]], i: int) -> int | None:
    """The first tie step that parted these candidates from those next to them with the same key, if one did."""
    mine, steps = equals[i][0], []
    for j in (i - 1, i + 1):
        if 0 <= j < len(equals) and equals[j][0].key == mine.key:
            pairs = zip(mine.ties, equals[j][0].ties, strict=True)
            steps.append(next(n for n, (ours, theirs) in enumerate(pairs) if ours != theirs))
    return min(steps, default=None)
