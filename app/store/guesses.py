"""Guesses at codes and passwords where several server processes count together, each within its turn."""

from sqlalchemy import delete
from sqlmodel import Session, col, select

from app.store.tables.news import GuessRow


def guesses_since(session: Session, pot: str, wall_ms: int) -> list[tuple[int, str]]:
    """The guesses of one count after a moment: when, Unix time in ms, and by whom; the oldest first. Older ones are forgotten."""
    session.connection().execute(delete(GuessRow).where(col(GuessRow.pot) == pot, col(GuessRow.at_wall_ms) <= wall_ms))
    rows = session.exec(select(GuessRow).where(GuessRow.pot == pot).order_by(col(GuessRow.at_wall_ms), col(GuessRow.id)))
    return [(row.at_wall_ms, row.who) for row in rows]


def put_guess(session: Session, key: str, pot: str, who: str, wall_ms: int) -> None:
    """Counts a guess."""
    session.add(GuessRow(id=key, pot=pot, who=who, at_wall_ms=wall_ms))
    session.flush()


def take_guess_back(session: Session, key: str) -> None:
    """No longer counts a guess: it was right."""
    session.connection().execute(delete(GuessRow).where(col(GuessRow.id) == key))
