"""The competition read back from the tables as values of the rule book."""

from collections.abc import Mapping

from sqlmodel import Session, col, select

from app.rules.records.document import Run
from app.rules.records.judges import Judge
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Entry, Event, Heat, Roster
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import Format
from app.store import entering
from app.store.day import day
from app.store.openers import openers
from app.store.plates import lane_plates, plate_sets
from app.store.protests import protests
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
    RunRow,
)


def competition(session: Session) -> Competition | None:
    """The competition; None before anybody has named one."""
    row = session.exec(select(CompetitionRow).order_by(col(CompetitionRow.id))).first()
    return None if row is None else Competition.model_validate(row.model_dump(exclude={"overall"}))


def overall(session: Session) -> OverallRule | None:
    """How the overall standing is made; None when nothing was chosen."""
    row = session.exec(select(CompetitionRow).order_by(col(CompetitionRow.id))).first()
    return None if row is None or row.overall is None else OverallRule.model_validate(row.overall)


def roster(session: Session) -> Roster | None:
    """Everything but runs, rulings and marks; None before there is a competition.

    Divisions, entries and events come in their order, heats by event and number, lanes by number, clubs, athletes
    and judges by name.
    """
    named = competition(session)
    if named is None:
        return None
    events, entries = _events(session), _entries(session)
    return Roster(
        competition=named,
        divisions=_divisions(session),
        clubs=_clubs(session),
        athletes=_athletes(session),
        entries=entries,
        events=events,
        heats=_heats(session, {event.id: place for place, event in enumerate(events)}),
        overall=overall(session),
        markings=entering.markings(session),
        measures=entering.measures(session),
        judges=_judges(session),
        day=day(session),
        plate_sets=plate_sets(session),
        lane_plates=lane_plates(session),
        openers=openers(session, events, entries),
        protests=protests(session),
    )


def runs(session: Session) -> tuple[Run, ...]:
    """All runs, by heat and number."""
    rows = session.exec(select(RunRow).order_by(col(RunRow.heat_id), col(RunRow.number)))
    return tuple(Run.model_validate({**row.model_dump(exclude={"heat_id"}), "heat": row.heat_id}) for row in rows)


def rulings(session: Session) -> tuple[Ruling, ...]:
    """All rulings, in the order made."""
    rows = session.exec(select(RulingRow).order_by(col(RulingRow.made_wall_ms), col(RulingRow.id)))
    return tuple(_ruling(row) for row in rows)


def _ruling(row: RulingRow) -> Ruling:
    plain = row.model_dump(exclude={"assignment_id", "entry_id", "event_id"})
    return Ruling.model_validate({**plain, "assignment": row.assignment_id, "entry": row.entry_id, "event": row.event_id})


def _divisions(session: Session) -> tuple[Division, ...]:
    rows = session.exec(select(DivisionRow).order_by(col(DivisionRow.position), col(DivisionRow.id)))
    return tuple(Division(id=row.id, name=row.name) for row in rows)


def _clubs(session: Session) -> tuple[Club, ...]:
    rows = session.exec(select(ClubRow).order_by(col(ClubRow.name), col(ClubRow.id)))
    return tuple(Club(id=row.id, name=row.name) for row in rows)


def _athletes(session: Session) -> tuple[Athlete, ...]:
    rows = session.exec(select(AthleteRow).order_by(col(AthleteRow.name), col(AthleteRow.id)))
    return tuple(
        Athlete.model_validate({"id": row.id, "name": row.name, "club": row.club_id, "bodyweight": row.bodyweight})
        for row in rows
    )


def _judges(session: Session) -> tuple[Judge, ...]:
    rows = session.exec(select(JudgeRow).order_by(col(JudgeRow.name), col(JudgeRow.id)))
    return tuple(Judge.model_validate({**row.model_dump(exclude={"club_id"}), "club": row.club_id}) for row in rows)


def _entries(session: Session) -> tuple[Entry, ...]:
    members: dict[str, list[str]] = {}
    for member in session.exec(select(MemberRow).order_by(col(MemberRow.entry_id), col(MemberRow.number))):
        members.setdefault(member.entry_id, []).append(member.athlete_id)
    rows = session.exec(select(EntryRow).order_by(col(EntryRow.position), col(EntryRow.id)))
    return tuple(
        Entry(id=row.id, division=row.division_id, name=row.name, members=tuple(members.get(row.id, ()))) for row in rows
    )


def _events(session: Session) -> tuple[Event, ...]:
    rows = session.exec(select(EventRow).order_by(col(EventRow.position), col(EventRow.id)))
    return tuple(Event(id=row.id, name=row.name, format=Format.model_validate(row.format), variants=row.variants) for row in rows)


def _heats(session: Session, event_places: Mapping[str, int]) -> tuple[Heat, ...]:
    lanes: dict[str, list[Assignment]] = {}
    for row in session.exec(select(AssignmentRow).order_by(col(AssignmentRow.lane))):
        plain = row.model_dump(include={"id", "lane", "judge", "variant", "judge_id"})
        lanes.setdefault(row.heat_id, []).append(Assignment.model_validate({**plain, "entry": row.entry_id}))
    rows = sorted(session.exec(select(HeatRow)), key=lambda row: (event_places[row.event_id], row.number))
    return tuple(
        Heat(id=row.id, event=row.event_id, number=row.number, planned=row.planned, lanes=tuple(lanes.get(row.id, ())))
        for row in rows
    )
