"""Heats with their lanes: special, for lanes change places among them and marks hold them where they are."""

from collections.abc import Mapping, Sequence

from sqlalchemy import ColumnElement
from sqlmodel import Session, and_, col, or_, select

from app.rules.records.kinds import GOES_ALONG
from app.rules.records.marks import sheet_key
from app.rules.records.resting import named_lanes
from app.rules.records.roster import Assignment, Heat
from app.store.gateway import count, needed, put
from app.store.kinds import RULINGS
from app.store.refusals import AlreadyThere, InUse
from app.store.tables.main import AssignmentRow, EntryRow, EventRow, HeatRow, MarkRow, RunRow

# Of a lane of which no more is known than was declared before its GO.
WHAT_THEN = "They were made before GO: move the entry to another heat, and they go along, or say that it did not start."


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
    marks would be removed or given to another entry, when one that was judged would go to another heat, or when a heat that was
    started would go to another event.
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
    for heat in heats:
        _take_off_given_away(session, heat)  # before what they leave is put, where they would be missed
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
    theirs = or_(*map(_of, assignments))
    return {sheet_key(found).assignment for found in session.exec(select(MarkRow.sheet).where(theirs).distinct())}


def _lanes(session: Session, heat: str) -> Sequence[AssignmentRow]:
    return session.exec(select(AssignmentRow).where(AssignmentRow.heat_id == heat).order_by(col(AssignmentRow.lane))).all()


def _put_lanes(session: Session, heat: Heat) -> None:
    """Lanes left out, and lanes whose entry changes, are taken off first: two that change places would meet on the way."""
    _take_off_given_away(session, heat)
    wanted = {lane.id for lane in heat.lanes}
    there = _lanes(session, heat.id)
    left_out = [row for row in there if row.id not in wanted]
    refuse_if_judged(session, left_out, "can't be removed")
    for row in there:
        if row in left_out:
            session.delete(row)
        else:
            row.lane = -row.lane
    session.flush()
    for lane in heat.lanes:
        needed(session, EntryRow, lane.entry, "entry")
        plain = lane.model_dump(exclude={"entry"})
        put(session, AssignmentRow(heat_id=heat.id, entry_id=lane.entry, **plain))


def _take_off_given_away(session: Session, heat: Heat) -> None:
    """Takes off what a heat has of others: a lane that goes to another entry, and one that comes from another heat."""
    rows = {lane.id: row for lane in heat.lanes if (row := session.get(AssignmentRow, lane.id)) is not None}
    given = [row for lane in heat.lanes if (row := rows.get(lane.id)) is not None and row.entry_id != lane.entry]
    moved = [row for row in rows.values() if row.heat_id != heat.id and row not in given]
    free = may_move(session, moved)
    left = {row.id: needed(session, HeatRow, row.heat_id, "heat") for row in moved}
    given += [row for row in moved if left[row.id].event_id != heat.event or row.id not in free]
    refuse_if_judged(session, given, "can't be given to another entry or heat")
    for row in given + [row for row in moved if row not in given]:
        session.delete(row)
    session.flush()


def may_move(session: Session, rows: Sequence[AssignmentRow]) -> set[str]:
    """Those of some lanes that may go to another heat of their event with all that is marked on them: their heat had no GO, what
    was marked is about the lifter, and nothing was ruled of the lane. A load declared before GO is for the first attempt, in
    whichever heat that is."""
    if not rows:
        return set()
    begun = set(session.exec(select(RunRow.heat_id).where(col(RunRow.heat_id).in_({row.heat_id for row in rows}))))
    stays = or_(col(MarkRow.at) > 0, col(MarkRow.kind).not_in(GOES_ALONG))
    theirs = select(MarkRow.sheet).where(or_(*(_of(row.id) for row in rows)), stays).distinct()
    held = _ruled(session) | {sheet_key(sheet).assignment for sheet in session.exec(theirs)}
    return {row.id for row in rows if row.heat_id not in begun and row.id not in held}


def _of(assignment: str) -> ColumnElement[bool]:
    """The marks on any sheet of an assignment: a sheet's key begins with it and a slash; "0" follows the slash in ASCII (on
    PostgreSQL too: store/schema.py)."""
    sheet = col(MarkRow.sheet)
    return and_(sheet >= f"{assignment}/", sheet < f"{assignment}0")


def _ruled(session: Session) -> set[str]:
    """The lane assignments that any ruling names."""
    return {lane for ruling in RULINGS.all(session) for lane in named_lanes(ruling)}


def refuse_if_judged(session: Session, rows: Sequence[AssignmentRow], what: str) -> None:
    """Raises InUse for the first lane that has marks or a ruling, saying so and `what` it therefore can't."""
    marked = with_marks(session, [row.id for row in rows])
    ruled = _ruled(session) if rows else set()
    for row in rows:
        if row.id not in marked | ruled:
            continue
        place = f"lane {row.lane} of heat {needed(session, HeatRow, row.heat_id, 'heat').number}"
        then = f" {WHAT_THEN}" if may_move(session, [row]) else ""
        if row.id in marked:
            raise InUse(f"{place[0].upper()}{place[1:]} already has marks, so it {what}.{then}")
        raise InUse(f"There is a ruling on {place}, so it {what}.")


def refuse_if_started(session: Session, heats: Sequence[Heat]) -> None:
    """Raises InUse for the first of some heats that was given a GO meanwhile."""
    for heat in heats:
        if count(session, RunRow, col(RunRow.heat_id) == heat.id):
            raise InUse(f"Heat {heat.number} has just been started, so nobody is taken out of it. Nothing was changed.")
