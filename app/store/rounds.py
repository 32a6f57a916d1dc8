"""Writing and reading what a round's headquarters keeps: records and receipts. Nothing is changed or removed.

What a gym has of a round lies in a folder beside its store; here stands what is called how there, for whoever looks without
loading the rules of a round.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

import msgspec
from sqlalchemy import func
from sqlmodel import Session, col, select

from app.store.tables.rounds import RoundReceiptRow, RoundRecordRow

ROOM = "round"  # the folder beside the store that holds keys and what a gym has of a round; in no backup
KIT, BINDING = "round.kit", "binding.json"
HANDED_IN, RECEIPTS = "handed-in", "receipts"  # folders in it
MOST_RECORDS = 2000  # that are read at once: as texts all of a large round are as large as what is made of them
RECEIPT = "{number:06}-{what}.receipt"  # as a kept one is called, whose signature was checked before


def round_records(session: Session, after: int = 0, most: int = MOST_RECORDS) -> list[str]:
    """The records of the round behind a number, at most so many, in the order of their numbers, each as its line of JSON."""
    rows = select(RoundRecordRow.text).where(col(RoundRecordRow.number) > after).order_by(col(RoundRecordRow.number))
    return list(session.exec(rows.limit(most)).all())


def has_round(session: Session) -> bool:
    """Whether a round is kept here."""
    return session.exec(select(RoundRecordRow.number).limit(1)).first() is not None


@dataclass(frozen=True, slots=True)
class GymRound:
    """How far a gym has come: whether its slip was typed in; how many hand-ins it made; what headquarters' receipts are for. due:
    the kit's deadline in this computer's time, empty where it can't be read."""

    slip: bool = False
    made: int = 0
    receipts: frozenset[str] = frozenset()
    due: str = ""


class _Deadline(msgspec.Struct):
    deadline_ms: int


class _Kit(msgspec.Struct):
    rule: _Deadline


def gym_round(data: Path) -> GymRound | None:
    """The round whose kit was opened in a data folder; None for none."""
    room = data / ROOM
    try:
        kit = (room / KIT).read_bytes()
    except OSError:
        return None
    receipts = frozenset(one.stem.partition("-")[2] for one in (room / RECEIPTS).glob("*.receipt"))
    return GymRound((room / BINDING).is_file(), sum(1 for _ in (room / HANDED_IN).glob("*")), receipts, _due(kit))


@lru_cache(maxsize=2)
def _due(kit: bytes) -> str:
    """Of all that a kit says the deadline alone, which stands in its second line; the rest is read by whoever knows its rules."""
    try:
        at = msgspec.json.decode(kit.split(b"\n")[1], type=_Kit).rule.deadline_ms / 1000
        return f"{datetime.fromtimestamp(at, UTC).astimezone():%Y-%m-%d %H:%M}"
    except (IndexError, ValueError, OverflowError, OSError, msgspec.MsgspecError):
        return ""


def round_receipt(session: Session, number: int) -> bytes | None:
    """A receipt as it was signed; None where there is none of this number."""
    return session.exec(select(RoundReceiptRow.content).where(RoundReceiptRow.number == number)).first()


def receipts_given(session: Session) -> int:
    """The number of the last receipt; 0 before the first."""
    return session.exec(select(func.max(RoundReceiptRow.number))).one() or 0


def round_receipts(session: Session) -> list[bytes]:
    """All receipts in order, as they were signed."""
    return list(session.exec(select(RoundReceiptRow.content).order_by(col(RoundReceiptRow.number))).all())


def receipts_behind(session: Session, after: int) -> list[tuple[int, bytes]]:
    """The receipts behind a number, in order, each with its own."""
    rows = select(RoundReceiptRow.number, RoundReceiptRow.content).where(RoundReceiptRow.number > after)
    return [(number, content) for number, content in session.exec(rows.order_by(col(RoundReceiptRow.number)))]


def add_to_round(session: Session, records: Sequence[tuple[int, str]], receipts: Sequence[tuple[int, bytes]] = ()) -> None:
    """Adds records and receipts behind those that there are, each with its number."""
    session.add_all([RoundRecordRow(number=number, text=text) for number, text in records])
    session.add_all([RoundReceiptRow(number=number, content=content) for number, content in receipts])
    session.flush()
