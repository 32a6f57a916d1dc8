"""Invitations: the best of each division by the signed standing; who declines, or does not answer in time, makes room for others.

Who share a place are invited together, though that makes more than there are places. An entry of a gym that was named is passed
over unless each of its lines was looked at.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from app.rules.round.moves import SIGNED
from app.rules.round.standing import Row, standing
from app.rules.round.state import Invitation, RoundState

TAKING = ("offered", "accepted")  # the states that hold a place


@dataclass(frozen=True, slots=True)
class Due:
    """A record that is due: an invitation, or that one had no answer in time."""

    kind: Literal["invited", "no-answer"]
    entry: int
    division: str


def due(state: RoundState, now_ms: int) -> list[Due]:
    """What is due by itself once the round is signed: invitations that ran out, and those that go to the next."""
    if state.stage != SIGNED:
        return []
    ran_out = [entry for entry, one in state.invitations.items() if is_over(state, one, now_ms)]
    found = [Due("no-answer", entry, state.invitations[entry].division) for entry in ran_out]
    for division in state.rules.divisions:
        found += [Due("invited", entry, division.id) for entry in next_invited(state, division.id, frozenset(ran_out))]
    return found


def is_over(state: RoundState, invitation: Invitation, now_ms: int) -> bool:
    """Whether an invitation is open and its time has run out."""
    return invitation.state == "offered" and now_ms > invitation.at + state.rules.invitation_ms


def next_invited(state: RoundState, division: str, ran_out: frozenset[int] = frozenset()) -> list[int]:
    """Whom the free places of a division go to now, those who share a place together.

    `ran_out`: entries that no longer hold a place."""
    rule = state.rules.division(division)
    free = rule.places if rule and state.stage == SIGNED else 0
    found: list[int] = []
    for group in _groups(state, division):
        if free <= 0:
            break
        invited = {entry: state.invitations.get(entry) for entry in group}
        # Of a group that was invited together, none is forgotten when another of it is written down first.
        free -= sum(one is not None and one.state in TAKING and entry not in ran_out for entry, one in invited.items())
        new = [entry for entry, one in invited.items() if one is None]
        found += new
        free -= len(new)
    return found


def _groups(state: RoundState, division: str) -> Iterator[list[int]]:
    """Who may be invited, best first, those who share a place together."""
    placed = (row for row in standing(state, division) if row.place is not None and may_be_invited(state, row))
    for _, rows in groupby(placed, key=lambda row: row.place):
        yield [row.entry for row in rows]


def may_be_invited(state: RoundState, row: Row) -> bool:
    """Whether an entry may be invited: not with a line of a named gym that nobody looked at."""
    lines = (state.lines.get((row.entry, cell.event)) for cell in row.cells)
    return row.gym not in state.named or all(line.sealed for line in lines if line is not None)


def invited_by_division(state: RoundState) -> dict[str, list[tuple[int, str]]]:
    """By division, the entries that were invited, in the order in which they were, each with the state of it."""
    found: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for entry, one in state.invitations.items():
        found[one.division].append((entry, one.state))
    return dict(found)
