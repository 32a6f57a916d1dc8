"""Scores to places. Ties are shared: 1, 2, 2, 4 (standard competition ranking), unless stated tie steps break them."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Any


class Standing(IntEnum):
    """How an entry takes part in a ranking, in the order in which groups follow one another."""

    RANKED = 0
    DID_NOT_FINISH = 1
    DID_NOT_START = 2
    WITHDRAWN = 3
    DISQUALIFIED = 4


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
    full = [(c.key, c.ties) for c in ranked]
    placed: list[Placed] = []
    place = 0
    for i, candidate in enumerate(ranked):
        if i == 0 or full[i] != full[i - 1]:
            place = i + 1
        shared = (i > 0 and full[i] == full[i - 1]) or (i + 1 < len(ranked) and full[i] == full[i + 1])
        placed.append(Placed(candidate.who, place, shared, _tie_step(ranked, i)))
    return placed + [Placed(c.who, None, False, None) for c in ordered if c.standing is not Standing.RANKED]


def _tie_step(ranked: Sequence[Candidate], i: int) -> int | None:
    """The first tie step that parted this candidate from a neighbour with the same key, if one did."""
    steps = []
    for j in (i - 1, i + 1):
        if 0 <= j < len(ranked) and ranked[j].key == ranked[i].key:
            pairs = zip(ranked[i].ties, ranked[j].ties, strict=True)
            steps.append(next((n for n, (mine, theirs) in enumerate(pairs) if mine != theirs), None))
    return min((step for step in steps if step is not None), default=None)
