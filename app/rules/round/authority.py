"""Who may say which record of a round: one table. Whether it may follow now is for moves.py and guards.py to say.

Headquarters takes in what others send it, and so says for a gym or an entry what they did. What a head judge decides is said by
name at headquarters' own desk. A reviewer says what is done with a look of their own, and an entry what it claims and appeals
against: nothing else.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from app.rules.round import records as r
from app.rules.round.codec import KINDS
from app.rules.round.state import RoundState

Role = Literal["headquarters", "reviewer", "entry"]

MAY: Mapping[Role, frozenset[str]] = {
    # A look too: reviewers at home send their sheets in, each sealed by a code.
    "headquarters": frozenset(kind.model_fields["kind"].default for kind in KINDS),
    "reviewer": frozenset({"look-taken", "look-given-back", "look-sealed"}),
    "entry": frozenset({"claim", "appeal"}),
}
NOT_THEIRS: Mapping[Role, str] = {
    "headquarters": "",
    "reviewer": "A reviewer takes, gives back and seals looks; all else is for headquarters.",
    "entry": "An entry claims and appeals; all else is for headquarters.",
}
ANOTHERS = "That look is another reviewer's."
ANOTHER_ENTRYS = "That line is another entry's."
UNDER_THE_NAME = "A look is sealed under the name of its reviewer."


@dataclass(frozen=True, slots=True)
class Speaker:
    """Who says a record; reviewer, entry: which one, for that role."""

    role: Role
    reviewer: str = ""
    entry: int = 0


HEADQUARTERS = Speaker("headquarters")


def not_theirs(state: RoundState, by: Speaker, record: Any) -> str:
    """Why a record is not for somebody to say, as a sentence; empty where it is."""
    if record.kind not in MAY[by.role]:
        return NOT_THEIRS[by.role]
    if by.role == "entry" and record.entry != by.entry:
        return ANOTHER_ENTRYS
    look = state.looks.get(record.look) if isinstance(record, r.OfLook) else None
    if by.role == "reviewer" and look is not None and look.offer.reviewer != by.reviewer:
        return ANOTHERS
    if isinstance(record, r.LookSealed) and look is not None and record.by != state.reviewers[look.offer.reviewer].name:
        return UNDER_THE_NAME
    return ""
