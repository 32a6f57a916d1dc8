"""What is asked before the day and at the door: keys of imported entries, markings, measures, check-in."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from sqlmodel import Session, col, select

from app.rules.records.classes import WeighIn
from app.rules.records.markings import BodyMeasure, Markings
from app.rules.values.lengths import ExactLength
from app.rules.values.shapes import ExactLoad
from app.store.gateway import Plain, needed, put
from app.store.tables.entering import CheckinRow, ImportedRow, MarkingRow, MeasureRow
from app.store.tables.main import AthleteRow, EventRow

ATHLETE = (AthleteRow, "athlete")


@dataclass(frozen=True, slots=True)
class Checkin:
    """What was seen of an athlete at the door; the moments are wall clock milliseconds, None for not (yet). `weighed`:
    what the scale showed; `weighed_let`: who let that count outside the window."""

    athlete: str
    present_ms: int | None = None
    present_by: str = ""
    waiver_ms: int | None = None
    waiver_by: str = ""
    height: ExactLength | None = None
    weighed: ExactLoad | None = None
    weighed_ms: int | None = None
    weighed_by: str = ""
    weighed_let: str = ""

    def weigh_in(self, zone: tzinfo | None) -> WeighIn | None:
        """The weigh-in as classes look at it, with day and time in a time zone, None for this machine's own; None if there was
        none."""
        if self.weighed is None or self.weighed_ms is None:
            return None
        moment = datetime.fromtimestamp(self.weighed_ms / 1000, UTC).astimezone(zone)
        return WeighIn(self.weighed, moment.date().isoformat(), moment.strftime("%H:%M"), self.weighed_let)


MEASURES = Plain(
    what="measure",
    many="measures",
    value=BodyMeasure,
    table=MeasureRow,
    listed_by=("athlete_id",),
    columns={"athlete": "athlete_id"},
    names={"athlete": ATHLETE},
    loose=True,
)

CHECKINS = Plain(
    what="check-in",
    value=Checkin,
    table=CheckinRow,
    listed_by=("athlete_id",),
    columns={
        "athlete": "athlete_id",
        "present_ms": "present_wall_ms",
        "waiver_ms": "waiver_wall_ms",
        "weighed_ms": "weighed_wall_ms",
    },
    names={"athlete": ATHLETE},
    loose=True,
)


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


def checkin(session: Session, athlete: str) -> Checkin:
    """What was seen of one athlete."""
    return CHECKINS.get(session, athlete) or Checkin(athlete)


def checkins(session: Session) -> Mapping[str, Checkin]:
    """What was seen of everybody, by athlete; who was not seen at all is not in it."""
    return {seen.athlete: seen for seen in CHECKINS.all(session)}


def weigh_ins(seen: Mapping[str, Checkin], zone: tzinfo | None) -> dict[str, WeighIn]:
    """The weigh-ins among what was seen at the door, by athlete, each in that time zone."""
    return {key: found for key, one in seen.items() if (found := one.weigh_in(zone)) is not None}
