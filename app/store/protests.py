"""Writing and reading protests."""

from sqlmodel import Session, col, select

from app.rules.records.roster import Protest
from app.store.refusals import AlreadyThere
from app.store.rows import needed
from app.store.tables.main import EntryRow, EventRow
from app.store.tables.protests import ProtestRow


def put_protest(session: Session, protest: Protest) -> None:
    """Stores a protest. It is a record: the same again is no matter, another under its id raises AlreadyThere. Also NotThere."""
    needed(session, EntryRow, protest.entry, "entry")
    needed(session, EventRow, protest.event, "event")
    plain = protest.model_dump(mode="json", exclude={"entry", "event"})
    row = ProtestRow(entry_id=protest.entry, event_id=protest.event, **plain)
    there = session.get(ProtestRow, protest.id)
    if there is None:
        session.add(row)
        session.flush()
    elif there.model_dump() != row.model_dump():
        raise AlreadyThere("A protest is a record and is not changed. File another one.")


def protests(session: Session) -> tuple[Protest, ...]:
    """All protests, in the order filed."""
    rows = session.exec(select(ProtestRow).order_by(col(ProtestRow.filed_wall_ms), col(ProtestRow.id)))
    return tuple(_protest(row) for row in rows)


def _protest(row: ProtestRow) -> Protest:
    plain = row.model_dump(exclude={"entry_id", "event_id"})
    return Protest.model_validate({**plain, "entry": row.entry_id, "event": row.event_id})
