"""Heats with their lanes: special, for lanes change places among them and marks hold them where they are."""

from collections.abc import Mapping, Sequence

from sqlmodel import Session, and_, col, or_, select

from app.rules.records.marks import sheet_key
from app.rules.records.resting import named_lanes
from app.rules.records.roster import Assignment, Heat
from app.store.gateway import count, needed, put
from app.store.kinds import RULINGS
from app.store.refusals import AlreadyThere, InUse
from app.store.tables.main import AssignmentRow, EntryRow, EventRow, HeatRow, MarkRow, RunRow


def heats(session: Session, event_places: Mapping[str, int]) -> tuple[Heat, ...]:
    """All heats by the places of their events and by number, lanes by number."""
    lanes: dict[str, list[Assignment]] = {}
    for row in session.exec(select(AssignmentRow).order_by(col(AssignmentRow.lane))):
        plain = row.model_dump(include={"id", "lane", "judge", "variant", "judge_id"})
        lanes.setdefault(row.heat_id, []).append(Assignment.model_validate({**plain, "entry": row.entry_id}))
    rows = sorted(session.exec(select(HeatRow)), key=lambda row: (event_places[row.event_id], row.number))
    return tuple(
        Heat(id=row.id, event=row.event_id, number=row.number, planned=row.planned, lanes=tuple(lanes.get(row.id, ())))
        for row in rows
    )


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
    refuse_if_judged(session, lanes, "can't be removed")
    for lane in lanes:
        session.delete(lane)
    session.flush()
    session.delete(row)


def put_heats(session: Session, heats: Sequence[Heat], gone: Sequence[str]) -> None:
    """Stores many heats at once, and removes others: entries and numbers may change places between them.

    Raises InUse when a heat that was started would go, or a lane that has marks would be emptied; nothing is stored then.
    """
    for key in gone:
        delete_heat(session, key)
    session.flush()
    for place, heat in enumerate(heats, start=1):
        row = session.get(HeatRow, heat.id)
        if row is not None:
            row.number = -place  # out of the way of the number that another heat is about to get
    session.flush()
    for heat in heats:
        put_heat(session, heat)


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
    refuse_if_judged(session, left_out, "can't be removed")
    refuse_if_judged(session, given_away, "can't be given to another entry or heat")
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


def refuse_if_judged(session: Session, rows: Sequence[AssignmentRow], what: str) -> None:
    """Raises InUse for the first lane that has marks or a ruling, saying so and `what` it therefore can't."""
    marked = with_marks(session, [row.id for row in rows])
    ruled = {lane for ruling in RULINGS.all(session) for lane in named_lanes(ruling)} if rows else set()
    for row in rows:
        if row.id not in marked | ruled:
            continue
        place = f"lane {row.lane} of heat {needed(session, HeatRow, row.heat_id, 'heat').number}"
        if row.id in marked:
            raise InUse(f"{place[0].upper()}{place[1:]} already has marks, so it {what}.")
        raise InUse(f"There is a ruling on {place}, so it {what}.")


def refuse_if_started(session: Session, heats: Sequence[Heat]) -> None:
    """Raises InUse for the first of some heats that was given a GO meanwhile."""
    for heat in heats:
        if count(session, RunRow, col(RunRow.heat_id) == heat.id):
            raise InUse(f"Heat {heat.number} has just been started, so nobody is taken out of it. Nothing was changed.")
