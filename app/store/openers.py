"""Writing and reading openers: what lifters mean to begin with."""

from collections.abc import Sequence

from sqlmodel import Session, col, select

from app.rules.records.roster import Entry, Event
from app.rules.workout.openers import Opener, OpenerKey
from app.store.refusals import NotThere
from app.store.rows import count, needed, put
from app.store.tables.calling import OpenerRow
from app.store.tables.main import EntryRow, EventRow, MemberRow


def put_opener(session: Session, opener: Opener) -> None:
    """Stores an opener in the place of the one before it. Raises NotThere for an unknown event, entry or member."""
    needed(session, EventRow, opener.event, "event")
    entry = needed(session, EntryRow, opener.entry, "entry")
    if opener.member > count(session, MemberRow, col(MemberRow.entry_id) == entry.id):
        raise NotThere(f"{entry.name} has no member {opener.member} any more. Look at the entry again.")
    plain = opener.model_dump(mode="json", include={"load", "then"})
    event, task, entry_id, member = opener.key
    put(session, OpenerRow(event_id=event, task=task, entry_id=entry_id, member=member, **plain))


def delete_opener(session: Session, key: OpenerKey) -> None:
    """Forgets an opener; one that is not there is no matter."""
    row = session.get(OpenerRow, key)
    if row is not None:
        session.delete(row)
        session.flush()


def move_openers(session: Session, entry: str, before: Sequence[str], after: Sequence[str]) -> None:
    """Lets openers follow their lifters when an entry's members (athlete ids) change; those of who is gone are forgotten."""
    rows = session.exec(select(OpenerRow).where(OpenerRow.entry_id == entry)).all()
    kept = []
    for row in rows:
        athlete = before[row.member - 1] if row.member <= len(before) else None
        if athlete in after:
            kept.append(OpenerRow(**{**row.model_dump(), "member": after.index(athlete) + 1}))
        session.delete(row)
    session.flush()
    session.add_all(kept)
    session.flush()


def openers(session: Session, events: Sequence[Event], entries: Sequence[Entry]) -> tuple[Opener, ...]:
    """The openers of lifters who are there, in the order of their keys."""
    there, members = {event.id for event in events}, {entry.id: len(entry.members) for entry in entries}
    by_key = (col(OpenerRow.event_id), col(OpenerRow.task), col(OpenerRow.entry_id), col(OpenerRow.member))
    rows = session.exec(select(OpenerRow).order_by(*by_key))
    return tuple(
        Opener.model_validate(
            {**row.model_dump(include={"task", "member", "load", "then"}), "event": row.event_id, "entry": row.entry_id}
        )
        for row in rows
        if row.event_id in there and row.member <= members.get(row.entry_id, 0)
    )
