"""Writing and reading openers: what lifters mean to begin with."""

from collections.abc import Sequence

from sqlmodel import Session, col, select

from app.rules.openers import Opener
from app.rules.roster import Entry, Event
from app.store.refusals import NotThere
from app.store.rows import needed, put
from app.store.tables import EntryRow, EventRow, MemberRow
from app.store.tables_calling import OpenerRow


def put_opener(session: Session, opener: Opener) -> None:
    """Stores an opener in the place of the one before it. Raises NotThere for an unknown event or entry, or another's athlete."""
    needed(session, EventRow, opener.event, "event")
    entry = needed(session, EntryRow, opener.entry, "entry")
    if (
        session.exec(select(MemberRow).where(MemberRow.entry_id == entry.id, MemberRow.athlete_id == opener.athlete)).first()
        is None
    ):
        raise NotThere(f"{entry.name} has no such member any more. Look at the entry again.")
    plain = opener.model_dump(mode="json", include={"load", "then"})
    event, task, entry_id, athlete = opener.key
    put(session, OpenerRow(event_id=event, task=task, entry_id=entry_id, athlete_id=athlete, **plain))


def delete_opener(session: Session, key: tuple[str, str, str, str]) -> None:
    """Forgets an opener; one that is not there is no matter."""
    row = session.get(OpenerRow, key)
    if row is not None:
        session.delete(row)
        session.flush()


def openers(session: Session, events: Sequence[Event], entries: Sequence[Entry]) -> tuple[Opener, ...]:
    """The openers of lifters who are there, in the order of their keys."""
    there, members = {event.id for event in events}, {entry.id: entry.members for entry in entries}
    rows = session.exec(
        select(OpenerRow).order_by(
            col(OpenerRow.event_id), col(OpenerRow.task), col(OpenerRow.entry_id), col(OpenerRow.athlete_id)
        )
    )
    return tuple(
        Opener.model_validate(
            {
                "event": row.event_id,
                "task": row.task,
                "entry": row.entry_id,
                "athlete": row.athlete_id,
                "load": row.load,
                "then": row.then,
            }
        )
        for row in rows
        if row.event_id in there and row.athlete_id in members.get(row.entry_id, ())
    )
