"""Plate sets and the lanes that have them."""

from collections.abc import Sequence

from sqlalchemy import delete
from sqlmodel import Session, col, select

from app.rules.workout.plates import LanePlates, PlateSet
from app.store.refusals import InUse
from app.store.rows import needed, position_of, put
from app.store.tables.plates import LanePlatesRow, PlateSetRow


def put_plate_set(session: Session, plates: PlateSet) -> None:
    """Stores a set of plates; a new one comes last."""
    place = position_of(session, PlateSetRow, plates.id)
    body = plates.model_dump(mode="json", exclude={"id", "name"})
    put(session, PlateSetRow(id=plates.id, name=plates.name, position=place, body=body))


def delete_plate_set(session: Session, key: str) -> None:
    """Removes a set. Raises InUse while a lane has it, NotThere."""
    row = needed(session, PlateSetRow, key, "plate set")
    lanes = [str(one.lane) for one in lane_plates(session) if one.plates == key]
    if lanes:
        word = "Lane" if len(lanes) == 1 else "Lanes"
        raise InUse(f"{word} {', '.join(lanes)} still {'has' if len(lanes) == 1 else 'have'} {row.name}. Give another set first.")
    session.delete(row)


def put_lane_plates(session: Session, given: Sequence[LanePlates]) -> None:
    """Says which set each lane has; lanes that are not named have none. Raises NotThere for an unknown set."""
    session.exec(delete(LanePlatesRow))
    for one in given:
        needed(session, PlateSetRow, one.plates, "plate set")
        session.add(LanePlatesRow(lane=one.lane, plate_set_id=one.plates))
    session.flush()


def plate_sets(session: Session) -> tuple[PlateSet, ...]:
    """The sets in their order."""
    rows = session.exec(select(PlateSetRow).order_by(col(PlateSetRow.position), col(PlateSetRow.id)))
    return tuple(PlateSet.model_validate({**row.body, "id": row.id, "name": row.name}) for row in rows)


def lane_plates(session: Session) -> tuple[LanePlates, ...]:
    """Which lane has which set, by lane."""
    rows = session.exec(select(LanePlatesRow).order_by(col(LanePlatesRow.lane)))
    return tuple(LanePlates(lane=row.lane, plates=row.plate_set_id) for row in rows)
