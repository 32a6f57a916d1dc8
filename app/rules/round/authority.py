"""Who may say which record of a round, and when: one table, of the form that a hall's table of authority has.

A hall's (records/authority.py) says of a mark what it does, by seat, sheet and moment of the heat clock, and every tablet is sent
it. A record of a round is taken or refused, by role, stage of the round and state of what it is about; a hall that never hears of
a round carries no row of this. So there are two tables and one form: a row for each role with its kinds, whose own they are and
when, one function for a cell, all cells as JSON, and a test that walks them.

Headquarters takes in what others send it, and so says for a gym or an entry what they did. What takes a judgement is said by
name. A reviewer says what is done with a look of their own; an entry what it claims and appeals against, and whether it comes.
What else must be so, such as that nobody decides on an own look, stands in guards.py.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from app.rules.round import records as r
from app.rules.round.codec import KINDS
from app.rules.round.moves import MOVES, OPEN, STAGES, refused_by_table, states_of
from app.rules.round.state import RoundState

# head: somebody at headquarters who says it by name, such as a head judge.
Role = Literal["headquarters", "head", "reviewer", "entry"]
ROLES: tuple[Role, ...] = get_args(Role)
ALL = frozenset(kind.model_fields["kind"].default for kind in KINDS)
BY_NAME = frozenset({"decision", "named", "answer", "panel", "uninvited"})

A_PERSON = "A person says that, by name."
UNDER_THE_NAME = "A look is sealed under the name of its reviewer."
AFTER_THE_ROLL = "A claim after the roll is admitted by a person, with a reason."


@dataclass(frozen=True, slots=True)
class May:
    """How a role may say a kind of record: own, only of its own look or line; when, in which stages, beside those of its move;
    else_told, what it is told in another."""

    own: bool = False
    when: tuple[str, ...] = tuple(STAGES)
    else_told: str = ""


@dataclass(frozen=True, slots=True)
class Grant:
    """What a role may say. else_told: what it is told otherwise; anothers: of what is another's."""

    kinds: Mapping[str, May]
    else_told: str
    anothers: str = ""


AUTHORITY: Mapping[Role, Grant] = {
    "headquarters": Grant(
        dict.fromkeys(ALL - BY_NAME - {"look-sealed"}, May()) | {"claim": May(when=(OPEN,), else_told=AFTER_THE_ROLL)}, A_PERSON
    ),
    "head": Grant(dict.fromkeys(ALL - {"look-sealed"}, May()), UNDER_THE_NAME),
    "reviewer": Grant(
        dict.fromkeys(("look-taken", "look-given-back", "look-sealed"), May(own=True)),
        "A reviewer takes, gives back and seals looks; all else is for headquarters.",
        "That look is another reviewer's.",
    ),
    "entry": Grant(
        {"claim": May(True, (OPEN,), AFTER_THE_ROLL)} | dict.fromkeys(("appeal", "accepted", "declined"), May(own=True)),
        "An entry claims, appeals, and says whether it comes; all else is for headquarters.",
        "That line is another entry's.",
    ),
}


@dataclass(frozen=True, slots=True)
class Speaker:
    """Who brings a record; reviewer, entry: which one, for that role."""

    role: Literal["headquarters", "reviewer", "entry"]
    reviewer: str = ""
    entry: int = 0


HEADQUARTERS = Speaker("headquarters")


def not_theirs(state: RoundState, by: Speaker, record: Any) -> str:
    """Why a record is not for somebody who brings it, as a sentence; empty where it is. Under whose name it may stand, the fold
    asks of every record (`refused_by_authority`)."""
    if by.role == "headquarters":
        return ""
    if said := _refused(by.role, state, record):
        return said
    if by.role == "entry":
        own = record.entry == by.entry
    else:
        own = record.look not in state.looks or state.looks[record.look].offer.reviewer == by.reviewer
    return "" if own else AUTHORITY[by.role].anothers


def role_of(state: RoundState, record: Any) -> Role:
    """The role under which a record stands, by the name in it."""
    if isinstance(record, r.LookSealed):
        look = state.looks.get(record.look)
        if look is not None and record.by == state.reviewers[look.offer.reviewer].name:
            return "reviewer"
    return "headquarters" if record.by == r.HEADQUARTERS else "head"


def refused_by_authority(state: RoundState, record: Any) -> str:
    """Why a record may not stand under the name that it has, as a sentence; empty where it may."""
    return _refused(role_of(state, record), state, record)


def _refused(role: Role, state: RoundState, record: Any) -> str:
    may = AUTHORITY[role].kinds.get(record.kind)
    if may is None:
        return AUTHORITY[role].else_told
    return "" if state.stage in may.when else may.else_told


def cell(role: Role, kind: str, stage: str, of: str) -> Literal["taken", "refused"]:
    """One cell of the table: what becomes of a kind of record that a role says, in a stage of the round and a state of the thing
    that it is about, where nothing else is against it."""
    may = AUTHORITY[role].kinds.get(kind)
    legal = may is not None and stage in may.when and not refused_by_table(kind, stage, of)
    return "taken" if legal else "refused"


def authority_plain() -> dict[str, Any]:
    """The table as JSON: of each role and kind of record the thing that it is about, whether only of the own, and in which states
    of that thing and stages of the round it is taken."""
    return {role: {kind: _kind_plain(role, kind) for kind in sorted(AUTHORITY[role].kinds)} for role in ROLES}


def _kind_plain(role: Role, kind: str) -> dict[str, Any]:
    move = MOVES[kind]
    taken = {of: [stage for stage in STAGES if cell(role, kind, stage, of) == "taken"] for of in states_of(move.thing)}
    own = AUTHORITY[role].kinds[kind].own
    return {"of": move.thing, "own": own, "taken": {of: stages for of, stages in taken.items() if stages}}
