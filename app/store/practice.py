"""Judges' practice, and paper sheets on their way into the ledger."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlmodel import Session

from app.store.gateway import Plain, needed
from app.store.tables.practice import KeyingRow, PracticeRow

PracticeKind = Literal["set", "together"]
KeyingState = Literal["waits", "stored", "left"]


@dataclass(frozen=True, slots=True)
class Practice:
    """One practice: a set that a judge counted, or a count of everybody together; `body` is by kind."""

    id: str
    kind: PracticeKind
    judge: str
    made_wall_ms: int
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Keying:
    """A paper sheet as one person keyed it in; it counts for nothing until two agree or somebody settles it."""

    id: str
    sheet: str
    by: str
    made_wall_ms: int
    state: KeyingState
    typed: Mapping[str, str]


PRACTICES = Plain(what="practice", value=Practice, table=PracticeRow, listed_by=("made_wall_ms", "id"))
KEYINGS = Plain(what="sheet that was keyed in", value=Keying, table=KeyingRow, listed_by=("made_wall_ms", "id"))


def practices(session: Session, kind: PracticeKind) -> tuple[Practice, ...]:
    """All practices of a kind, oldest first."""
    return PRACTICES.all(session, PracticeRow.kind == kind)


def keyings(session: Session, sheet: str = "") -> tuple[Keying, ...]:
    """What was keyed in for a sheet, or for all, oldest first."""
    return KEYINGS.all(session, *([KeyingRow.sheet == sheet] if sheet else []))


def settle_keyings(session: Session, ids: Sequence[str], state: KeyingState) -> None:
    """Says what became of some keyings. Raises NotThere."""
    for key in ids:
        needed(session, KeyingRow, key, KEYINGS.what).state = state
    session.flush()
