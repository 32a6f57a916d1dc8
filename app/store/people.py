"""Writing who competes: the competition, divisions, clubs, athletes, entries."""

from collections.abc import Sequence

from sqlalchemy import delete
from sqlmodel import Session, col, select

from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Athlete, Club, Competition, Division, Entry
from app.rules.values.shapes import load_plain
from app.store.openers import move_openers
from app.store.refusals import AlreadyThere, InUse, NotThere, several
from app.store.rows import count, needed, position_of, put, put_in_order
from app.store.tables.main import (
    AssignmentRow,
    AthleteRow,
    ClubRow,
    CompetitionRow,
    DivisionRow,
    EntryRow,
    EventRow,
    HeatRow,
    JudgeRow,
    MemberRow,
    RulingRow,
)
from app.store.tables.protests import ProtestRow


def put_competition(session: Session, competition: Competition) -> None:
    """Names the competition, or changes what is said of it. A store holds one: raises AlreadyThere for a second."""
    other = session.exec(select(CompetitionRow).where(CompetitionRow.id != competition.id)).first()
    if other is not None:
        raise AlreadyThere(f"This data folder already holds the competition {other.name}. Use another folder for another one.")
    there = session.get(CompetitionRow, competition.id)
    put(session, CompetitionRow(**competition.model_dump(), overall=there.overall if there else None))


def put_overall(session: Session, rule: OverallRule | None) -> None:
    """Says how the overall standing is made, or that there is none. Raises NotThere for an unknown event, or too early."""
    row = session.exec(select(CompetitionRow)).first()
    if row is None:
        raise NotThere("There is no competition yet. Name it first.")
    if rule is not None and rule.named is not None:
        needed(session, EventRow, rule.named, "event")
    row.overall = None if rule is None else rule.model_dump(mode="json")
    session.flush()


def put_division(session: Session, division: Division) -> None:
    """Stores a division; a new one comes last."""
    place = position_of(session, DivisionRow, division.id)
    put(session, DivisionRow(id=division.id, name=division.name, position=place))


def order_divisions(session: Session, ids: Sequence[str]) -> None:
    """Puts the divisions in this order."""
    put_in_order(session, DivisionRow, ids)


def delete_division(session: Session, key: str) -> None:
    """Removes a division. Raises InUse while it has entries, NotThere."""
    row = needed(session, DivisionRow, key, "division")
    entries = count(session, EntryRow, col(EntryRow.division_id) == key)
    if entries:
        raise InUse(f"{row.name} still has {several(entries, 'entry', 'entries')}. Move or delete them first.")
    for event in session.exec(select(EventRow).order_by(col(EventRow.position))):
        if key in event.variants:
            raise InUse(f"{row.name} does a variant of {event.name}. Let it do that event as written first.")
    session.delete(row)


def put_club(session: Session, club: Club) -> None:
    """Stores a club."""
    put(session, ClubRow(id=club.id, name=club.name))


def delete_club(session: Session, key: str) -> None:
    """Removes a club. Raises InUse while athletes belong to it, NotThere."""
    row = needed(session, ClubRow, key, "club")
    athletes = count(session, AthleteRow, col(AthleteRow.club_id) == key)
    if athletes:
        raise InUse(f"{row.name} still has {several(athletes, 'athlete', 'athletes')}. Give them another club first.")
    judges = count(session, JudgeRow, col(JudgeRow.club_id) == key)
    if judges:
        raise InUse(f"{row.name} still has {several(judges, 'judge', 'judges')}. Give them another club first.")
    session.delete(row)


def put_athlete(session: Session, athlete: Athlete) -> None:
    """Stores an athlete. Raises NotThere for an unknown club."""
    if athlete.club is not None:
        needed(session, ClubRow, athlete.club, "club")
    weighed = None if athlete.bodyweight is None else load_plain(athlete.bodyweight)
    put(session, AthleteRow(id=athlete.id, name=athlete.name, club_id=athlete.club, bodyweight=weighed))


def delete_athlete(session: Session, key: str) -> None:
    """Removes an athlete. Raises InUse for a member of an entry, NotThere."""
    row = needed(session, AthleteRow, key, "athlete")
    entry = session.exec(select(EntryRow).join(MemberRow).where(MemberRow.athlete_id == key)).first()
    if entry is not None:
        raise InUse(f"{row.name} is a member of {entry.name}. Take the athlete out of it first.")
    session.delete(row)


def put_entry(session: Session, entry: Entry) -> None:
    """Stores an entry with its members in order; a new one comes last. Raises NotThere for an unknown division or athlete."""
    needed(session, DivisionRow, entry.division, "division")
    for member in entry.members:
        needed(session, AthleteRow, member, "athlete")
    place = position_of(session, EntryRow, entry.id)
    put(session, EntryRow(id=entry.id, division_id=entry.division, name=entry.name, position=place))
    before = session.exec(
        select(MemberRow.athlete_id).where(MemberRow.entry_id == entry.id).order_by(col(MemberRow.number))
    ).all()
    session.exec(delete(MemberRow).where(col(MemberRow.entry_id) == entry.id))
    session.add_all(MemberRow(entry_id=entry.id, number=n, athlete_id=m) for n, m in enumerate(entry.members, start=1))
    session.flush()
    if before and tuple(before) != entry.members:  # without members it was deleted, and is put back as it was
        move_openers(session, entry.id, before, entry.members)


def order_entries(session: Session, ids: Sequence[str]) -> None:
    """Puts the entries in this order."""
    put_in_order(session, EntryRow, ids)


def delete_entry(session: Session, key: str) -> None:
    """Removes an entry; its athletes stay. Raises InUse on a start list, under a ruling or with a protest, NotThere."""
    row = needed(session, EntryRow, key, "entry")
    heat = session.exec(select(HeatRow).join(AssignmentRow).where(AssignmentRow.entry_id == key)).first()
    if heat is not None:
        raise InUse(f"{row.name} stands on the start list of heat {heat.number}. Take it off its lane first.")
    if count(session, RulingRow, col(RulingRow.entry_id) == key):
        raise InUse(f"There is a ruling on {row.name}: the record stays.")
    if count(session, ProtestRow, col(ProtestRow.entry_id) == key):
        raise InUse(f"{row.name} has protested: the record stays.")
    session.exec(delete(MemberRow).where(col(MemberRow.entry_id) == key))
    session.delete(row)
