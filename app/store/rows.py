"""Small helpers on tables: find or refuse, count, order."""

from collections.abc import Sequence
from typing import Any, Protocol, TypeVar

from sqlalchemy import func
from sqlmodel import Session, SQLModel, col, select

from app.store.refusals import NotThere


class Placed(Protocol):
    """A row with an id and a place in an order."""

    id: str
    position: int


Row = TypeVar("Row", bound=SQLModel)


def needed(session: Session, table: type[Row], key: Any, what: str) -> Row:
    """The row with this key. Raises NotThere, naming what is missing."""
    found = session.get(table, key)
    if found is None:
        raise NotThere(f"There is no {what} with the id {key}. It may have been deleted meanwhile.")
    return found


def count(session: Session, table: type[SQLModel], *conditions: Any) -> int:
    """How many rows meet the conditions."""
    return session.exec(select(func.count()).select_from(table).where(*conditions)).one()


def next_position(session: Session, table: Any) -> int:
    """The place after the last."""
    last = session.exec(select(func.max(col(table.position)))).one()
    return 0 if last is None else int(last) + 1


def put(session: Session, row: SQLModel) -> None:
    """Stores a row, new or changed."""
    session.merge(row)
    session.flush()


def position_of(session: Session, table: Any, key: str) -> int:
    """The place of a row that may be new: what it was, or after the last."""
    there: Placed | None = session.get(table, key)
    return there.position if there is not None else next_position(session, table)


def put_in_order(session: Session, table: Any, ids: Sequence[str]) -> None:
    """Places the named rows in this order, before those not named."""
    rows: Sequence[Placed] = session.exec(select(table).order_by(col(table.position), col(table.id))).all()
    wanted = {key: place for place, key in enumerate(ids)}
    for place, row in enumerate(sorted(rows, key=lambda row: wanted.get(row.id, len(wanted)))):
        row.position = place
    session.flush()
