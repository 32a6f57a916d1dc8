"""Writing what happens on the floor: events, heats with their lanes, runs, rulings."""

from collections.abc import Sequence

from sqlmodel import Session, and_, col, or_, select

from app.rules.records.document import Run
from app.rules.records.marks import sheet_key
from app.rules.records.roster import Event, Heat
from app.rules.records.rulings import Ruling
from app.store.refusals import AlreadyThere, InUse, NotThere, several
from app.store.rows import count, needed, position_of, put, put_in_order
from app.store.tables.main import (
    AssignmentRow,
    CompetitionRow,
    DivisionRow,
    EntryRow,
    EventRow,
    HeatRow,
    MarkRow,
    RulingRow,
    RunRow,
)
from app.store.tables.protests import ProtestRow


def put_event(session: Session, event: Event) -> None:
    """Stores an event with its format; a new one comes last. Raises NotThere for a variant or division that is not there."""
    for division, variant in event.variants.items():
        name = needed(session, DivisionRow, division, "division").name
        if event.format.variant(variant) is None:
            raise NotThere(f"{name} would do a variant of {event.name} that the event does not have.")
    place = position_of(session, EventRow, event.id)
    plain = event.format.model_dump(mode="json")
    put(session, EventRow(id=event.id, name=event.name, position=place, format=plain, variants=event.variants))


def order_events(session: Session, ids: Sequence[str]) -> None:
    """Puts the events in this order."""
    put_in_order(session, EventRow, ids)


def delete_event(session: Session, key: str) -> None:
    """Removes an event. Raises InUse while it has heats or rulings or breaks ties overall, NotThere."""
    row = needed(session, EventRow, key, "event")
    heats = count(session, HeatRow, col(HeatRow.event_id) == key)
    if heats:
        raise InUse(f"{row.name} still has {several(heats, 'heat', 'heats')}. Delete them first.")
    if count(session, RulingRow, col(RulingRow.event_id) == key):
        raise InUse(f"There is a ruling on {row.name}: the record stays.")
    if count(session, ProtestRow, col(ProtestRow.event_id) == key):
        raise InUse(f"There is a protest about {row.name}: the record stays.")
    if any(one.overall is not None and one.overall.get("named") == key for one in session.exec(select(CompetitionRow))):
        raise InUse(f"The overall standing breaks ties by {row.name}. Let it break them otherwise first.")
    session.delete(row)


def put_heat(session: Session, heat: Heat) -> None:
    """Stores a heat and its lanes; lanes left out are removed.

    Raises NotThere for an unknown event or entry, AlreadyThere for a number twice in an event, InUse when a lane that has
    marks would be removed or given to another entry, or when a heat that was started would go to another event.
    """
    event = needed(session, EventRow, heat.event, "event")
    same = select(HeatRow).where(HeatRow.event_id == heat.event, HeatRow.number == heat.number, HeatRow.id != heat.id)
    if session.exec(same).first() is not None:
        raise AlreadyThere(f"{event.name} already has a heat {heat.number}.")
    row = session.get(HeatRow, heat.id)
    if row is not None and row.event_id != heat.event and count(session, RunRow, col(RunRow.heat_id) == heat.id):
        raise InUse(f"Heat {row.number} has been started: it stays in its event.")
    put(session, HeatRow(id=heat.id, event_id=heat.event, number=heat.number, planned=heat.planned))
    _put_lanes(session, heat)


def delete_heat(session: Session, key: str) -> None:
    """Removes a heat and its lanes. Raises InUse once it has been started or has marks, NotThere."""
    row = needed(session, HeatRow, key, "heat")
    if count(session, RunRow, col(RunRow.heat_id) == key):
        raise InUse(f"Heat {row.number} has been started: its record stays.")
    lanes = _lanes(session, key)
    _refuse_if_judged(session, lanes, "can't be removed")
    for lane in lanes:
        session.delete(lane)
    session.flush()
    session.delete(row)


def put_run(session: Session, run: Run) -> None:
    """Stores a run of a heat, new or with its new state. Raises NotThere for an unknown heat."""
    needed(session, HeatRow, run.heat, "heat")
    put(session, RunRow(heat_id=run.heat, **run.model_dump(mode="json", exclude={"heat"})))


def put_ruling(session: Session, ruling: Ruling) -> None:
    """Stores a ruling. It is a record: the same again is no matter, another under its id raises AlreadyThere. Also NotThere."""
    if ruling.assignment is not None:
        needed(session, AssignmentRow, ruling.assignment, "lane assignment")
    if ruling.entry is not None:
        needed(session, EntryRow, ruling.entry, "entry")
    if ruling.event is not None:
        needed(session, EventRow, ruling.event, "event")
    row = RulingRow(
        assignment_id=ruling.assignment,
        entry_id=ruling.entry,
        event_id=ruling.event,
        **ruling.model_dump(mode="json", exclude={"assignment", "entry", "event"}),
    )
    there = session.get(RulingRow, ruling.id)
    if there is None:
        session.add(row)
        session.flush()
    elif there.model_dump() != row.model_dump():
        raise AlreadyThere("A ruling is a record and is not changed. Make another one.")


def with_marks(session: Session, assignments: Sequence[str]) -> set[str]:
    """Those of the assignments that have a mark on any of their sheets. One pass over all marks: not for every click."""
    if not assignments:
        return set()
    # Sheet keys begin with the assignment and a slash; "0" follows the slash in ASCII (on PostgreSQL too: store/schema.py).
    sheet = col(MarkRow.sheet)
    theirs = or_(*(and_(sheet >= f"{key}/", sheet < f"{key}0") for key in assignments))
    return {sheet_key(found).assignment for found in session.exec(select(sheet).where(theirs).distinct())}


def _lanes(session: Session, heat: str) -> Sequence[AssignmentRow]:
    return session.exec(select(AssignmentRow).where(AssignmentRow.heat_id == heat).order_by(col(AssignmentRow.lane))).all()


def _put_lanes(session: Session, heat: Heat) -> None:
    """Lanes left out, and lanes whose entry changes, are taken off first: two that change places would meet on the way."""
    wanted = {lane.id: lane for lane in heat.lanes}
    there = {row.id: row for row in _lanes(session, heat.id)}
    there |= {key: row for key in wanted if (row := session.get(AssignmentRow, key)) is not None}
    left_out = [row for key, row in there.items() if key not in wanted]
    staying = [(row, wanted[key]) for key, row in there.items() if key in wanted]
    given_away = [row for row, lane in staying if (row.entry_id, row.heat_id) != (lane.entry, heat.id)]
    _refuse_if_judged(session, left_out, "can't be removed")
    _refuse_if_judged(session, given_away, "can't be given to another entry or heat")
    for row in there.values():
        if row in left_out or row in given_away:
            session.delete(row)
        else:
            row.lane = -row.lane
    session.flush()
    for lane in heat.lanes:
        needed(session, EntryRow, lane.entry, "entry")
        plain = lane.model_dump(exclude={"entry"})
        put(session, AssignmentRow(heat_id=heat.id, entry_id=lane.entry, **plain))


def _refuse_if_judged(session: Session, rows: Sequence[AssignmentRow], what: str) -> None:
    marked = with_marks(session, [row.id for row in rows])
    for row in rows:
        if row.id in marked:
            raise InUse(f"Lane {row.lane} already has marks, so it {what}.")
        if count(session, RulingRow, col(RulingRow.assignment_id) == row.id):
            raise InUse(f"There is a ruling on lane {row.lane}, so it {what}.")
