"""Writing and reading what is asked before the day and at the door: keys of imported entries, markings, measures, check-in."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session, col, select

from app.rules.records.markings import BodyMeasure, Markings
from app.rules.values.lengths import Length, length_plain
from app.store.rows import needed, put
from app.store.tables.entering import CheckinRow, ImportedRow, MarkingRow, MeasureRow
from app.store.tables.main import AthleteRow, EventRow


@dataclass(frozen=True, slots=True)
class Checkin:
    """What was seen of an athlete at the door; the moments are wall clock milliseconds, None for not (yet)."""

    athlete: str
    present_ms: int | None = None
    present_by: str = ""
    waiver_ms: int | None = None
    waiver_by: str = ""
    height: Length | None = None


def put_imported(session: Session, entry: str, key: str) -> None:
    """Keeps under which key an entry stands in the list it came from; an empty key forgets it."""
    row = session.get(ImportedRow, entry)
    if key:
        put(session, ImportedRow(entry_id=entry, key=key))
    elif row is not None:
        session.delete(row)
        session.flush()


def imported(session: Session) -> dict[str, str]:
    """The keys of imported entries, by entry."""
    return {row.entry_id: row.key for row in session.exec(select(ImportedRow).order_by(col(ImportedRow.entry_id)))}


def put_markings(session: Session, event: str, markings: Markings | None) -> None:
    """Says what is marked for an event, or forgets it. Raises NotThere for an unknown event."""
    needed(session, EventRow, event, "event")
    row = session.get(MarkingRow, event)
    if markings is not None:
        put(session, MarkingRow(event_id=event, markings=markings.model_dump(mode="json")))
    elif row is not None:
        session.delete(row)
        session.flush()


def markings(session: Session) -> dict[str, Markings]:
    """What is marked, by event."""
    rows = session.exec(select(MarkingRow).join(EventRow, col(EventRow.id) == col(MarkingRow.event_id)))
    return {row.event_id: Markings.model_validate(row.markings) for row in rows}


def put_reach(session: Session, athlete: str, reach: Length | None) -> None:
    """Keeps an athlete's reach to the wrists, or forgets it. Raises NotThere."""
    needed(session, AthleteRow, athlete, "athlete")
    row = session.get(MeasureRow, athlete)
    if reach is not None:
        put(session, MeasureRow(athlete_id=athlete, reach=length_plain(reach)))
    elif row is not None:
        session.delete(row)
        session.flush()


def measures(session: Session) -> tuple[BodyMeasure, ...]:
    """The reaches of all athletes, by id."""
    rows = session.exec(
        select(MeasureRow).join(AthleteRow, col(AthleteRow.id) == col(MeasureRow.athlete_id)).order_by(col(MeasureRow.athlete_id))
    )
    return tuple(BodyMeasure.model_validate({"athlete": row.athlete_id, "reach": row.reach}) for row in rows)


def put_checkin(session: Session, seen: Checkin) -> None:
    """Keeps what was seen of an athlete at the door. Raises NotThere."""
    needed(session, AthleteRow, seen.athlete, "athlete")
    put(
        session,
        CheckinRow(
            athlete_id=seen.athlete,
            present_wall_ms=seen.present_ms,
            present_by=seen.present_by,
            waiver_wall_ms=seen.waiver_ms,
            waiver_by=seen.waiver_by,
            height=None if seen.height is None else length_plain(seen.height),
        ),
    )


def checkin(session: Session, athlete: str) -> Checkin:
    """What was seen of one athlete."""
    row = session.get(CheckinRow, athlete)
    return Checkin(athlete) if row is None else _checkin(row)


def checkins(session: Session) -> Mapping[str, Checkin]:
    """What was seen of everybody, by athlete; who was not seen at all is not in it."""
    rows = session.exec(select(CheckinRow).join(AthleteRow, col(AthleteRow.id) == col(CheckinRow.athlete_id)))
    return {row.athlete_id: _checkin(row) for row in rows}


def _checkin(row: CheckinRow) -> Checkin:
    height = None if row.height is None else Length(row.height["amount"], row.height["unit"])
    return Checkin(row.athlete_id, row.present_wall_ms, row.present_by, row.waiver_wall_ms, row.waiver_by, height)
