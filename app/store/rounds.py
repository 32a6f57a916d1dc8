"""Writing and reading what a round's headquarters keeps: records, receipts, hand-ins. Nothing is changed or removed.

What a gym has of a round lies in a folder beside its store; here stands what is called how there, for whoever looks without
loading the rules of a round.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.store.tables.rounds import RoundHandInRow, RoundReceiptRow, RoundRecordRow


@dataclass(frozen=True, slots=True)
class CameIn:
    """A gym's hand-in as it came: the SHA-256 of its bytes, when (Unix milliseconds)."""

    digest: str
    content: bytes
    arrived_wall_ms: int


ROOM = "round"  # the folder beside the store that holds keys and what a gym has of a round; in no backup
KIT, BINDING = "round.kit", "binding.json"
HANDED_IN, RECEIPTS = "handed-in", "receipts"  # folders in it
RECEIPT = "{number:06}-{what}.receipt"  # as a kept one is called, whose signature was checked before


def round_records(session: Session, after: int = 0) -> list[str]:
    """The records of the round behind a number, in the order of their numbers, each as its line of JSON; none where there is no
    round."""
    rows = select(RoundRecordRow.text).where(col(RoundRecordRow.number) > after).order_by(col(RoundRecordRow.number))
    return list(session.exec(rows).all())


def has_round(session: Session) -> bool:
    """Whether a round is kept here."""
    return session.exec(select(RoundRecordRow.number).limit(1)).first() is not None


@dataclass(frozen=True, slots=True)
class GymRound:
    """How far a gym has come: whether its slip was typed in; how many hand-ins it made; what headquarters' receipts are for."""

    slip: bool = False
    made: int = 0
    receipts: frozenset[str] = frozenset()


def gym_round(data: Path) -> GymRound | None:
    """The round whose kit was opened in a data folder; None for none."""
    room = data / ROOM
    if not (room / KIT).is_file():
        return None
    receipts = frozenset(one.stem.partition("-")[2] for one in (room / RECEIPTS).glob("*.receipt"))
    return GymRound((room / BINDING).is_file(), sum(1 for _ in (room / HANDED_IN).glob("*")), receipts)


def round_receipt(session: Session, number: int) -> bytes | None:
    """A receipt as it was signed; None where there is none of this number."""
    return session.exec(select(RoundReceiptRow.content).where(RoundReceiptRow.number == number)).first()


def receipts_given(session: Session) -> int:
    """The number of the last receipt; 0 before the first."""
    return session.exec(select(func.max(RoundReceiptRow.number))).one() or 0


def round_receipts(session: Session) -> list[bytes]:
    """All receipts in order, as they were signed."""
    return list(session.exec(select(RoundReceiptRow.content).order_by(col(RoundReceiptRow.number))).all())


def add_to_round(
    session: Session, records: Sequence[tuple[int, str]], receipt: bytes | None = None, hand_in: CameIn | None = None
) -> None:
    """Adds records behind those that there are, a receipt with the next number, and a hand-in unless it is there."""
    session.add_all([RoundRecordRow(number=number, text=text) for number, text in records])
    if receipt is not None:
        session.add(RoundReceiptRow(number=receipts_given(session) + 1, content=receipt))
    if hand_in is not None and session.get(RoundHandInRow, hand_in.digest) is None:
        session.add(RoundHandInRow(**{name: getattr(hand_in, name) for name in CameIn.__slots__}))
    session.flush()


def hand_in_content(session: Session, digest: str) -> bytes | None:
    """A hand-in as it came; None for one that did not come."""
    row = session.get(RoundHandInRow, digest)
    return None if row is None else row.content
