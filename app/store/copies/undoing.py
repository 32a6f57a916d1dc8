"""What a change took away or moved, by which it is undone whole: the rows that it touched, before and after it.

They are found by reading all that the desk puts in order before a change and after it, within its transaction. So no kind of
record needs a way back of its own, and nothing that hangs on it can be forgotten: its id, its place in the order, the members,
openers and pictures that went along. They are handed out sealed and kept nowhere here: a picture that was removed is on the page
that offers to put it back, and gone with it.
"""

import hmac
import json
import zlib
from base64 import b64decode, b64encode, urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any, TypeVar

from sqlalchemy import Table, delete, insert, select, update
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session, SQLModel, col

from app.store.devices import get_setting, own_secret
from app.store.gateway import count
from app.store.heats import may_move, refuse_if_judged
from app.store.kinds import EVENTS
from app.store.refusals import InUse
from app.store.tables.calling import OpenerRow
from app.store.tables.entering import CheckinRow, ImportedRow, MarkingRow, MeasureRow
from app.store.tables.main import (
    AssignmentRow,
    AthleteRow,
    ClubRow,
    DivisionRow,
    EntryRow,
    EventRow,
    HeatRow,
    JudgeRow,
    MemberRow,
    RunRow,
)
from app.store.tables.pictures import EntryPictureRow
from app.store.tables.plates import LanePlatesRow, PlateSetRow

T = TypeVar("T")
Plain = Mapping[str, Any]

SECRET = "undo-secret"  # the name under which the store keeps what steps are sealed by
CHANGED = "This was changed since, so it can't be undone any more."
STRANGE = "This can't be undone from here. Go back to the page and look at what is there."
_ROWS: tuple[type[SQLModel], ...] = (
    DivisionRow,
    ClubRow,
    JudgeRow,
    AthleteRow,
    EntryRow,
    MemberRow,
    EventRow,
    HeatRow,
    AssignmentRow,
    PlateSetRow,
    LanePlatesRow,
    OpenerRow,
    ImportedRow,
    MarkingRow,
    MeasureRow,
    CheckinRow,
    EntryPictureRow,
)
FOLLOWED: Mapping[str, Table] = {str(row.__tablename__): row.metadata.tables[str(row.__tablename__)] for row in _ROWS}
# Each is called by its name alone, an entry within its division; of athletes two may have one name.
NAMED_ONCE = ("division", "club", "judge", "plate_set", "event", "entry")
PLACES = (
    "position",
    "division_id",
    "heat_id",
    "lane",
    "entry_id",
    "athlete_id",
    "digest",
)  # what says where a thing is, or which it is


@dataclass(frozen=True, slots=True)
class Touched:
    """A row as it was before a change and after it; None where it was not there."""

    table: str
    before: Plain | None
    after: Plain | None


Key = tuple[str, ...]


@dataclass(slots=True)
class Following:
    """What is done within it is followed. `at`: the address of the page that shows it; `pictures`: the entries whose pictures it
    may touch, the others' are not read. `step`: how it is undone, sealed; empty as long as nothing was taken away or moved."""

    at: str
    pictures: Collection[str] = ()
    touched: dict[Key, Touched] = field(default_factory=dict)
    step: str = ""

    def do(self, session: Session, work: Callable[[Session], T]) -> T:
        """Does the work, and remembers which rows it touched."""
        before = _all(session, self.pictures)
        made = work(session)
        session.flush()
        after = _all(session, self.pictures)
        for key in {**before, **after}:
            if before.get(key) != after.get(key):
                first = self.touched.get(key)
                self.touched[key] = Touched(key[0], first.before if first else before.get(key), after.get(key))
        if takes_away(self.touched.values()):
            self.step = sealed(session, tuple(self.touched.values()), self.at)
        return made


# What the request at hand does is followed by this, if its page offers to undo it.
FOLLOWING: ContextVar[Following | None] = ContextVar("following", default=None)


def takes_away(step: Iterable[Touched]) -> bool:
    """Whether a change took something away, moved it or put another in its place: more than it added, or said otherwise."""
    return any(one.before is not None and (one.after is None or _lost(one.before, one.after, PLACES)) for one in step)


def _lost(before: Any, after: Any, places: Collection[str] = ()) -> bool:
    """Whether something of a row is gone: a part with parts of its own, a line of a list; or lines have changed places."""
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        moved = any(before.get(name) != after.get(name) for name in places)
        return moved or any(_lost(part, after.get(name)) for name, part in before.items())
    if isinstance(before, list) and isinstance(after, list):
        texts = [[json.dumps(one, sort_keys=True) for one in lines] for lines in (before, after)]
        if len(after) != len(before):
            return len(after) < len(before) or not set(texts[0]) <= set(texts[1])
        same_lines = texts[0] != texts[1] and sorted(texts[0]) == sorted(texts[1])
        return same_lines or any(map(_lost, before, after))
    return isinstance(before, Mapping | list) and bool(before) and not after


def sealed(session: Session, step: Sequence[Touched], at: str) -> str:
    """A step as a text that only this data folder can have made. `at`: the address of the page that shows what it touched."""
    rows = [[one.table, one.before, one.after] for one in step]
    packed = urlsafe_b64encode(zlib.compress(json.dumps([at, rows], separators=(",", ":")).encode())).decode()
    return f"{packed}.{_seal(own_secret(session, SECRET), packed)}"


def opened(session: Session, text: str) -> tuple[str, tuple[Touched, ...]]:
    """The address and the step of a sealed text. Raises InUse for one that was not made here."""
    packed, _, seal = text.rpartition(".")
    secret = get_setting(session, SECRET)
    if secret is None or not hmac.compare_digest(_seal(secret, packed).encode(), seal.encode("utf-8", "replace")):
        raise InUse(STRANGE)
    at, rows = json.loads(zlib.decompress(urlsafe_b64decode(packed)))
    return at, tuple(Touched(*row) for row in rows)


def _seal(secret: str, packed: str) -> str:
    return hmac.new(secret.encode(), packed.encode("utf-8", "replace"), sha256).hexdigest()


def put_back(session: Session, step: Sequence[Touched]) -> None:
    """Puts the rows back as they were before the step. Raises InUse, with nothing put back, where one of them is no longer as the
    step left it, where something else has the name by now, or where a lane that has marks would go; NotThere."""
    for one in step:
        known = one.before or one.after or {}
        if _one(session, one.table, known) != one.after:
            raise InUse(CHANGED)
    _refuse_judged(session, step)
    try:
        _write(session, step)
    except IntegrityError:
        raise InUse(CHANGED) from None
    session.expire_all()
    for one in step:
        if one.before is not None and one.table in NAMED_ONCE and one.before["name"] != (one.after or {}).get("name"):
            _refuse_twice(session, one.table, one.before)
        if one.before is not None and one.table == "event":
            back = EVENTS.get(session, one.before["id"])
            if back is not None:
                EVENTS.put(session, back)  # refuses one for a division that is gone


def _refuse_judged(session: Session, step: Sequence[Touched]) -> None:
    """What people have marked on stays where it is."""
    added = [one.after["id"] for one in step if one.table == "assignment" and one.before is None and one.after]
    lanes = [row for key in added if (row := session.get(AssignmentRow, key)) is not None]
    refuse_if_judged(session, lanes, "can't be removed")
    both = [(one.before, one.after) for one in step if one.table == "assignment" and one.before and one.after]
    there = [session.get(AssignmentRow, after["id"]) for before, after in both if before["heat_id"] != after["heat_id"]]
    moved = [row for row in there if row is not None]
    free = may_move(session, moved)
    refuse_if_judged(session, [row for row in moved if row.id not in free], "can't be moved back")
    for one in step:
        to_another = one.table == "heat" and one.after and (one.before or {}).get("event_id") != one.after["event_id"]
        if to_another and one.after and count(session, RunRow, col(RunRow.heat_id) == one.after["id"]):
            raise InUse(CHANGED)


def _write(session: Session, step: Sequence[Touched]) -> None:
    """What was added goes, those who name others first; what was there comes back, those who are named first."""
    order = {table.name: place for place, table in enumerate(SQLModel.metadata.sorted_tables)}
    in_order = sorted(step, key=lambda one: order[one.table])
    connection = session.connection()
    for one in reversed(in_order):
        table = FOLLOWED[one.table]
        if one.before is None and one.after is not None:
            connection.execute(delete(table).where(*_keys(table, one.after)))
        elif one.table == "assignment" and one.after is not None:
            # out of the way of another that is about to get its lane
            connection.execute(update(table).where(*_keys(table, one.after)).values(lane=-one.after["lane"]))
    for one in in_order:
        table = FOLLOWED[one.table]
        if one.before is not None and one.after is None:
            connection.execute(insert(table).values(**_stored(one.before)))
        elif one.before is not None:
            connection.execute(update(table).where(*_keys(table, one.before)).values(**_stored(one.before)))


def _refuse_twice(session: Session, name: str, row: Plain) -> None:
    others = [other for other in _rows(session, FOLLOWED[name]) if other["id"] != row["id"]]
    beside = [other for other in others if other.get("division_id") == row.get("division_id")]
    if any(other["name"].casefold() == row["name"].casefold() for other in beside):
        raise InUse(f"Something else is called {row['name']} by now. Give it another name, then press Undo again.")


def _all(session: Session, pictures: Collection[str]) -> dict[Key, Plain]:
    """Every row that is followed, by its table and key."""
    there: dict[Key, Plain] = {}
    for name, table in FOLLOWED.items():
        which = (table.c.entry_id.in_(pictures),) if name == "entry_picture" else ()
        if name == "entry_picture" and not pictures:
            continue
        for row in _rows(session, table, *which):
            there[(name, *(str(row[column.name]) for column in table.primary_key))] = row
    return there


def _one(session: Session, name: str, row: Plain) -> Plain | None:
    table = FOLLOWED[name]
    return next(iter(_rows(session, table, *_keys(table, row))), None)


def _keys(table: Table, row: Plain) -> list[Any]:
    return [column == row[column.name] for column in table.primary_key]


def _rows(session: Session, table: Table, *conditions: Any) -> list[Plain]:
    """Rows as JSON can hold them."""
    found = session.connection().execute(select(table).where(*conditions)).mappings()
    return [{name: _plain(value) for name, value in row.items()} for row in found]


def _plain(value: Any) -> Any:
    return b64encode(value).decode() if isinstance(value, bytes) else value


def _stored(row: Plain) -> dict[str, Any]:
    return {name: b64decode(value) if name == "content" else value for name, value in row.items()}
