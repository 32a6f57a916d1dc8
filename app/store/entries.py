"""Entries with their members in order: special, for openers follow their lifters when members change."""

from collections.abc import Sequence

from sqlalchemy import delete
from sqlmodel import Session, col, select

from app.rules.records.roster import Entry
from app.store.gateway import count, needed, position_of, put, put_in_order
from app.store.pictures import remove_picture
from app.store.refusals import InUse
from app.store.tables.calling import OpenerRow
from app.store.tables.main import AssignmentRow, AthleteRow, DivisionRow, EntryRow, HeatRow, MemberRow, RulingRow
from app.store.tables.protests import ProtestRow


def entries(session: Session) -> tuple[Entry, ...]:
    """All entries in their order."""
    members: dict[str, list[str]] = {}
    for member in session.exec(select(MemberRow).order_by(col(MemberRow.entry_id), col(MemberRow.number))):
        members.setdefault(member.entry_id, []).append(member.athlete_id)
    rows = session.exec(select(EntryRow).order_by(col(EntryRow.position), col(EntryRow.id)))
    return tuple(
        Entry(id=row.id, division=row.division_id, name=row.name, members=tuple(members.get(row.id, ())), team=row.team)
        for row in rows
    )


def put_entry(session: Session, entry: Entry) -> None:
    """Stores an entry with its members in order; a new one comes last. Its picture goes when a member leaves. Raises NotThere for
    an unknown division or athlete."""
    needed(session, DivisionRow, entry.division, "division")
    for member in entry.members:
        needed(session, AthleteRow, member, "athlete")
    place = position_of(session, EntryRow, entry.id)
    put(session, EntryRow(id=entry.id, division_id=entry.division, name=entry.name, position=place, team=entry.team))
    before = session.exec(
        select(MemberRow.athlete_id).where(MemberRow.entry_id == entry.id).order_by(col(MemberRow.number))
    ).all()
    session.exec(delete(MemberRow).where(col(MemberRow.entry_id) == entry.id))
    session.add_all(MemberRow(entry_id=entry.id, number=n, athlete_id=m) for n, m in enumerate(entry.members, start=1))
    session.flush()
    if not set(before) <= set(entry.members):
        remove_picture(session, entry.id)  # it shows whoever left
    if before and tuple(before) != entry.members:  # without members it was deleted, and is put back as it was
        _move_openers(session, entry.id, before, entry.members)


def order_entries(session: Session, ids: Sequence[str]) -> None:
    """Puts the entries in this order."""
    put_in_order(session, EntryRow, ids)


def delete_entry(session: Session, key: str) -> None:
    """Removes an entry and its picture; its athletes stay. Raises InUse on a start list, under a ruling or with a protest,
    NotThere."""
    row = needed(session, EntryRow, key, "entry")
    heat = session.exec(select(HeatRow).join(AssignmentRow).where(AssignmentRow.entry_id == key)).first()
    if heat is not None:
        raise InUse(f"{row.name} is on the start list of heat {heat.number}. Take it off its lane first.")
    if count(session, RulingRow, col(RulingRow.entry_id) == key):
        raise InUse(f"There is a ruling on {row.name}: the record stays.")
    if count(session, ProtestRow, col(ProtestRow.entry_id) == key):
        raise InUse(f"{row.name} has protested: the record stays.")
    session.exec(delete(MemberRow).where(col(MemberRow.entry_id) == key))
    remove_picture(session, key)
    session.delete(row)


def _move_openers(session: Session, entry: str, before: Sequence[str], after: Sequence[str]) -> None:
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
