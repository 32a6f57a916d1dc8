"""One gateway for plain records: a kind is declared once, and putting, listing, ordering and removing follow from that.

What the special ones need of a table is here too: find or refuse, count, put.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar

from pydantic import TypeAdapter
from sqlalchemy import delete, func
from sqlalchemy import select as columns_of
from sqlmodel import Session, SQLModel, col, select

from app.store.refusals import AlreadyThere, InUse, NotThere


class Placed(Protocol):
    """A row with an id and a place in an order."""

    id: str
    position: int


V = TypeVar("V")
Row = TypeVar("Row", bound=SQLModel)
Stays = Callable[[Session, Any], str]
PLACED = ("position", "id")  # an order of their own; a new one comes last
BY_NAME = ("name", "id")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain(Generic[V]):
    """A kind of plain record: `table` holds values of the type `value`; sentences call one `what`, the roster calls all `many`.

    `listed_by`: the columns that order them. `columns`: by field, the column that has another name. `body`: the column that
    holds, as JSON, every field without a column of its own. `names`: by field, the table of the record that it names, and what
    sentences call one; `loose` where the table holds no foreign keys: rows that name somebody who is gone are not listed.
    `check` raises for a value that can't be put; `follow` changes what hangs on it. `stays`: each says why a row can't be
    removed, or nothing. `final`: the sentence for whoever would change one, where a kind is a record of what happened.
    """

    what: str
    many: str = ""
    value: type[V]
    table: type[SQLModel]
    listed_by: tuple[str, ...]
    columns: Mapping[str, str] = field(default_factory=dict)
    body: str = ""
    names: Mapping[str, tuple[type[SQLModel], str]] = field(default_factory=dict)
    loose: bool = False
    check: Callable[[Session, V], None] | None = None
    follow: Callable[[Session, V], None] | None = None
    stays: tuple[Stays, ...] = ()
    final: str = ""
    shape: TypeAdapter[V] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "shape", TypeAdapter(self.value))

    def put(self, session: Session, value: V) -> None:
        """Stores a record, new or changed. Raises NotThere for one that names what is not there, AlreadyThere if final."""
        for name, (table, what) in self.names.items():
            if (key := getattr(value, name)) is not None:
                needed(session, table, key, what)
        if self.check is not None:
            self.check(session, value)
        row = self._row(session, value)
        there = session.get(self.table, _key_of(row)) if self.final else None
        if there is not None and there.model_dump() != row.model_dump():
            raise AlreadyThere(self.final)
        put(session, row)
        if self.follow is not None:
            self.follow(session, value)

    def put_all(self, session: Session, values: Iterable[V]) -> None:
        """Stores these and no others. Raises what `put` raises."""
        session.exec(delete(self.table))
        for value in values:
            self.put(session, value)

    def put_in_order(self, session: Session, ids: Sequence[str]) -> None:
        """Places the named ones in this order, before those not named."""
        put_in_order(session, self.table, ids)

    def delete(self, session: Session, key: str) -> None:
        """Removes a record. Raises InUse with the first reason why it stays, NotThere."""
        row = needed(session, self.table, key, self.what)
        for why in (stays(session, row) for stays in self.stays):
            if why:
                raise InUse(why)
        session.delete(row)

    def forget(self, session: Session, key: Any) -> None:
        """Removes a record whatever it is; one that is not there is no matter."""
        if (row := session.get(self.table, key)) is not None:
            session.delete(row)
            session.flush()

    def get(self, session: Session, key: Any) -> V | None:
        """One record; None for one that is not there."""
        row = session.get(self.table, key)
        return None if row is None else self._value(row.model_dump())

    def all(self, session: Session, *conditions: Any) -> tuple[V, ...]:
        """The records that meet the conditions, in their order."""
        chosen = columns_of(*(self._column(name) for name in self.table.model_fields)).where(*conditions)
        for name, (table, _) in self.names.items() if self.loose else ():
            chosen = chosen.where(self._column(self.columns.get(name, name)).in_(select(col(table.id))))  # type: ignore[attr-defined]
        rows: Any = session.exec(chosen.order_by(*map(self._column, self.listed_by)))  # type: ignore[call-overload]
        return tuple(self._value(dict(row._mapping)) for row in rows)

    def _column(self, name: str) -> Any:
        return col(getattr(self.table, name))

    def _row(self, session: Session, value: V) -> SQLModel:
        plain = self.shape.dump_python(value, mode="json")
        row = {self.columns.get(name, name): part for name, part in plain.items()}
        if self.body:
            row[self.body] = {name: row.pop(name) for name in tuple(row) if name not in self.table.model_fields}
        if "position" in self.table.model_fields:
            row["position"] = position_of(session, self.table, row["id"])
        return self.table(**row)

    def _value(self, row: dict[str, Any]) -> V:
        row.pop("position", None)
        row |= row.pop(self.body) if self.body else {}
        for name, column in self.columns.items():
            row[name] = row.pop(column)
        return self.shape.validate_python(row)


def _key_of(row: SQLModel) -> Any:
    return tuple(getattr(row, column.name) for column in row.__table__.primary_key)  # type: ignore[attr-defined]


def needed(session: Session, table: type[Row], key: Any, what: str) -> Row:
    """The row with this key. Raises NotThere, naming what is missing."""
    found = session.get(table, key)
    if found is None:
        raise NotThere(f"There is no {what} with the id {key}. It may have been deleted in the meantime.")
    return found


def count(session: Session, table: type[SQLModel], *conditions: Any) -> int:
    """How many rows meet the conditions."""
    return session.exec(select(func.count()).select_from(table).where(*conditions)).one()


def put(session: Session, row: SQLModel) -> None:
    """Stores a row, new or changed."""
    session.merge(row)
    session.flush()


def position_of(session: Session, table: Any, key: str) -> int:
    """The place of a row that may be new: what it was, or after the last."""
    there: Placed | None = session.get(table, key)
    if there is not None:
        return there.position
    last = session.exec(select(func.max(col(table.position)))).one()
    return 0 if last is None else int(last) + 1


def put_in_order(session: Session, table: Any, ids: Sequence[str]) -> None:
    """Places the named rows in this order, before those not named."""
    rows: Sequence[Placed] = session.exec(select(table).order_by(col(table.position), col(table.id))).all()
    wanted = {key: place for place, key in enumerate(ids)}
    for place, row in enumerate(sorted(rows, key=lambda row: wanted.get(row.id, len(wanted)))):
        row.position = place
    session.flush()
