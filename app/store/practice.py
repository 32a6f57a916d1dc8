"""Judges' practice, and paper sheets on their way into the ledger."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlmodel import Session, col, select

from app.store.rows import needed, put
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


def put_practice(session: Session, practice: Practice) -> None:
    """Stores a practice, new or changed."""
    row = PracticeRow(
        id=practice.id,
        kind=practice.kind,
        judge=practice.judge,
        made_wall_ms=practice.made_wall_ms,
        body=dict(practice.body),
    )
    put(session, row)


def practices(session: Session, kind: PracticeKind) -> list[Practice]:
    """All practices of a kind, oldest first."""
    found = select(PracticeRow).where(PracticeRow.kind == kind).order_by(col(PracticeRow.made_wall_ms), col(PracticeRow.id))
    return [Practice(row.id, kind, row.judge, row.made_wall_ms, row.body) for row in session.exec(found)]


def put_keying(session: Session, keying: Keying) -> None:
    """Stores what somebody keyed in."""
    row = KeyingRow(
        id=keying.id,
        sheet=keying.sheet,
        by=keying.by,
        made_wall_ms=keying.made_wall_ms,
        state=keying.state,
        typed=dict(keying.typed),
    )
    put(session, row)


def keyings(session: Session, sheet: str = "") -> list[Keying]:
    """What was keyed in for a sheet, or for all, oldest first."""
    found = select(KeyingRow).order_by(col(KeyingRow.made_wall_ms), col(KeyingRow.id))
    rows = session.exec(found.where(KeyingRow.sheet == sheet) if sheet else found)
    return [Keying(row.id, row.sheet, row.by, row.made_wall_ms, _state(row.state), row.typed) for row in rows]


def settle_keyings(session: Session, ids: Sequence[str], state: KeyingState) -> None:
    """Says what became of some keyings. Raises NotThere."""
    for key in ids:
        needed(session, KeyingRow, key, "sheet that was keyed in").state = state
    session.flush()


def _state(text: str) -> KeyingState:
    return "stored" if text == "stored" else "left" if text == "left" else "waits"
