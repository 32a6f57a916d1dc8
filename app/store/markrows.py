"""Marks as rows: the table, the insert that ignores what is already there, and the way back."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from sys import intern
from typing import Any, cast

import msgspec
from sqlalchemy import ColumnElement, Connection, Row, Table, bindparam, func, select, text, true

from app.rules.records.kinds import Kind
from app.rules.records.marks import NO_BODY, Mark, parse_received, received_plain, with_receipt
from app.rules.records.receipts import Receipt
from app.rules.records.seal import fingerprint
from app.rules.records.seats import Seat
from app.store.damage import check_of_plain
from app.store.engines import is_sqlite
from app.store.tables.main import AsideRow, MarkRow

MARKS: Table = MarkRow.__table__  # type: ignore[attr-defined]
ASIDE: Table = AsideRow.__table__  # type: ignore[attr-defined]
COLUMNS = [column.name for column in MARKS.c]
KNOWN = [column for column in MARKS.c if column.name not in ("received_wall_ms", "crc")]
READ_AT_ONCE = 2_000  # rows of a table that is read whole
SELECT_IDS = 500  # ids asked for at once; SQLite takes at most 32,766 parameters

ROWS_AT_ONCE = 58  # in one statement; with seventeen columns that stays below the 999 parameters of an old SQLite

# One statement, whose text never changes, for any number of rows; as JSON, which is made several times as fast as arrays.
BIG = ("epoch", "seq", "at", "err", "received_wall_ms", "number", "clock", "crc")
TYPES = {**dict.fromkeys(BIG, "bigint"), "win": "int", "wall": "boolean", "again": "boolean"}
ROW_TYPE = ", ".join(f"{column} {TYPES.get(column, 'text')}" for column in COLUMNS)
INSERT_POSTGRES = (
    f"INSERT INTO mark ({', '.join(COLUMNS)}) SELECT decode(id, 'hex'), {', '.join(COLUMNS[1:])} "
    f"FROM json_to_recordset(%s::json) AS row({ROW_TYPE}) ON CONFLICT DO NOTHING RETURNING id"
)
SLICE = 5_000  # rows in one statement on PostgreSQL
NEWEST = select(func.max(MARKS.c.number))
NEWEST_ASIDE = text("SELECT max(json_extract(mark, '$.receipt.number')) FROM aside")
NEWEST_ASIDE_POSTGRES = text("SELECT max((mark::json -> 'receipt' ->> 'number')::bigint) FROM aside")
KNOWN_NEWEST = "newest_number"  # what a connection knows of them
ALREADY = select(*KNOWN).where(MARKS.c.id.in_(bindparam("ids", expanding=True)))

NOT_KNOWN = (None,) * 5  # of a mark without a receipt: number, seat, clock, wall, again
NOTHING = "{}"
Received = tuple[Mark, int]  # a mark and when it came, Unix time in ms


@dataclass(frozen=True, slots=True)
class Inserted:
    """What came of an insert: the content of each mark that was already there, or that came twice; None when all were new.
    `aside`: the marks that were laid beside another of their id just now."""

    earlier: dict[str, Mark] | None
    first: dict[str, Mark]
    aside: tuple[Mark, ...] = ()

    def new(self, marks: Sequence[Mark]) -> list[Mark]:
        """The marks that were not there before, those that were laid aside among them."""
        if self.earlier is None:
            return list(marks)
        laid = {id(mark): mark for mark in self.aside}
        return [mark for mark in marks if self.first.get(mark.id) is mark or laid.pop(id(mark), None) is not None]

    def clashes(self, mark: Mark) -> bool:
        """Whether a mark says something else than the one that stands under its id."""
        earlier = self.earlier or {}
        return _row(earlier.get(mark.id) or self.first[mark.id]) != _row(mark)


def numbered(connection: Connection, marks: Sequence[Mark]) -> list[Mark]:
    """The marks with their places in the order of receipt, in the transaction that stores them; those that have one, and those
    whose receipt is not known, as they are. A mark that was here already leaves its number unused: only the order means anything.
    """
    if all(mark.receipt is None or mark.receipt.number for mark in marks):
        return list(marks)
    number = _newest(connection)
    found = []
    for mark in marks:
        receipt = mark.receipt
        if receipt is not None and not receipt.number:
            number += 1
            mark = with_receipt(mark, Receipt(number, receipt.seat, receipt.clock, receipt.wall, receipt.again))
        found.append(mark)
    return found


def _newest(connection: Connection) -> int:
    """The highest number that was given. On SQLite one process alone stores marks, by one connection: it reads them once, and
    notes what it stores and lays aside since. A number that was rolled back is left unused."""
    if not is_sqlite(connection):
        aside = connection.execute(NEWEST_ASIDE_POSTGRES).scalar_one() or 0
        return max(connection.execute(NEWEST).scalar_one() or 0, aside)
    if KNOWN_NEWEST not in connection.info:
        aside = connection.execute(NEWEST_ASIDE).scalar_one() or 0
        connection.info[KNOWN_NEWEST] = max(connection.execute(NEWEST).scalar_one() or 0, aside)
    return int(connection.info[KNOWN_NEWEST])


def _note_newest(connection: Connection, marks: Iterable[Mark]) -> None:
    if KNOWN_NEWEST in connection.info:
        numbers = (mark.receipt.number for mark in marks if mark.receipt is not None)
        connection.info[KNOWN_NEWEST] = max(connection.info[KNOWN_NEWEST], *numbers, 0)


def insert_new(connection: Connection, received: Sequence[Received]) -> Inserted:
    """Stores the marks that are not there yet. Of two with one id that say different things the later is laid aside.

    The quick way supposes that all are new, which a count of the rows proves; a tablet that sends again takes the slow way.
    No other process stores marks meanwhile: a writer's transaction has its turn alone.
    """
    if not received:
        return Inserted(None, {})
    if not is_sqlite(connection):
        return _insert_new_postgres(connection, received)
    _note_newest(connection, (mark for mark, _ in received))
    raw = _raw(connection)
    raw.execute("SAVEPOINT all_new")
    if _insert(raw, received) == len(received):
        raw.execute("RELEASE all_new")
        return Inserted(None, {})
    raw.execute("ROLLBACK TO all_new")
    raw.execute("RELEASE all_new")
    first: dict[str, Received] = {}
    for mark, wall_ms in received:
        first.setdefault(mark.id, (mark, wall_ms))
    earlier = {mark.id: mark for mark in _already(connection, list(first))}
    new = [pair for pair in first.values() if pair[0].id not in earlier]
    if new and _insert(raw, new) != len(new):
        raise RuntimeError("Another program saved the same marks at the same time: nothing was saved. Send again.")
    return _with_aside(connection, received, Inserted(earlier, {mark.id: mark for mark, _ in new}))


def _with_aside(connection: Connection, received: Sequence[Received], found: Inserted) -> Inserted:
    """Lays aside what says something else under an id that is taken; what lies there already stays as it is."""
    clashing = {fingerprint(mark).hex(): (mark, wall_ms) for mark, wall_ms in reversed(received) if found.clashes(mark)}
    if not clashing:
        return found
    known = set(connection.execute(select(ASIDE.c.print).where(ASIDE.c.print.in_(map(bytes.fromhex, clashing)))).scalars())
    new = {key: pair for key, pair in clashing.items() if bytes.fromhex(key) not in known}
    rows = [(bytes.fromhex(key), bytes.fromhex(mark.id), canonical(received_plain(mark)), at) for key, (mark, at) in new.items()]
    if rows:
        connection.execute(ASIDE.insert(), [dict(zip(ASIDE.c.keys(), row, strict=True)) for row in rows])
    return replace(found, aside=tuple(mark for mark, _ in new.values()))


def all_marks(connection: Connection) -> list[Mark]:
    """Every mark there is, by id; behind them those that were laid aside."""
    return list(each_mark(connection))


def each_mark(connection: Connection, wanted: ColumnElement[bool] | None = None) -> Iterator[Mark]:
    """The same one after the other, read as they are asked for: of a million not all are in memory. wanted: which of those that
    were not laid aside."""
    asked = select(MARKS).where(true() if wanted is None else wanted).order_by(MARKS.c.id)
    rows = connection.execution_options(yield_per=READ_AT_ONCE).execute(asked)
    yield from map(mark_of, rows)
    yield from aside_of(connection, select(ASIDE.c.mark).order_by(ASIDE.c.print))


def marks_of_ids(connection: Connection, ids: Sequence[str]) -> dict[str, list[Mark]]:
    """The marks of some ids, by id: one each, and what was laid aside beside it."""
    found: dict[str, list[Mark]] = {}
    for start in range(0, len(ids), SELECT_IDS):
        asked = [bytes.fromhex(key) for key in ids[start : start + SELECT_IDS]]
        beside = aside_of(connection, select(ASIDE.c.mark).where(ASIDE.c.id.in_(asked)).order_by(ASIDE.c.print))
        for mark in (*map(mark_of, connection.execute(ALREADY, {"ids": asked})), *beside):
            found.setdefault(mark.id, []).append(mark)
    return found


def aside_of(connection: Connection, wanted: Any) -> list[Mark]:
    """Marks that were laid aside, from a question for their JSON."""
    return [parse_received(msgspec.json.decode(text)) for text in connection.execute(wanted).scalars()]


def _insert_new_postgres(connection: Connection, received: Sequence[Received]) -> Inserted:
    """The database says which rows were new; of those that were not, it is asked what they are."""
    fresh: set[str] = set()
    for start in range(0, len(received), SLICE):
        rows = [_json_row(mark, wall_ms) for mark, wall_ms in received[start : start + SLICE]]
        inserted = connection.exec_driver_sql(INSERT_POSTGRES, (msgspec.json.encode(rows).decode(),))
        fresh.update(bytes(row[0]).hex() for row in inserted)
    if len(fresh) == len(received):
        return Inserted(None, {})
    first: dict[str, Mark] = {}
    for mark, _ in received:
        first.setdefault(mark.id, mark)
    earlier = {mark.id: mark for mark in _already(connection, [one for one in first if one not in fresh])}
    return _with_aside(connection, received, Inserted(earlier, {key: mark for key, mark in first.items() if key in fresh}))


def mark_of(row: Row[Any]) -> Mark:
    """A mark with its receipt from a row of the table."""
    return Mark(
        id=row.id.hex(),
        sheet=intern(row.sheet),
        device=intern(row.device),
        epoch=row.epoch,
        seq=row.seq,
        kind=cast(Kind, intern(row.kind)),
        at=row.at,
        err=row.err,
        win=row.win,
        body=msgspec.json.decode(row.body) or NO_BODY,
        receipt=_receipt_of(row),
    )


def _receipt_of(row: Row[Any]) -> Receipt | None:
    if row.number is None:
        return None
    return Receipt(row.number, cast(Seat, intern(row.seat)), row.clock, bool(row.wall), bool(row.again))


def canonical(body: Any) -> str:
    """JSON with sorted keys and no blanks: the same content always gives the same text."""
    return msgspec.json.encode(body, order="sorted").decode()


def _row(mark: Mark) -> dict[str, Any]:
    return {
        "id": bytes.fromhex(mark.id),
        "sheet": mark.sheet,
        "device": mark.device,
        "epoch": mark.epoch,
        "seq": mark.seq,
        "kind": mark.kind,
        "at": mark.at,
        "err": mark.err,
        "win": mark.win,
        "body": canonical(mark.body),
    }


def _values(mark: Mark, wall_ms: int) -> tuple[Any, ...]:
    """A mark's row, in the order of the columns; what the check is over is all but the check."""
    receipt = mark.receipt
    known = NOT_KNOWN if receipt is None else (receipt.number, receipt.seat, receipt.clock, int(receipt.wall), int(receipt.again))
    row = (
        bytes.fromhex(mark.id),
        mark.sheet,
        mark.device,
        mark.epoch,
        mark.seq,
        mark.kind,
        mark.at,
        mark.err,
        mark.win,
        canonical(mark.body) if mark.body else NOTHING,
        wall_ms,
        *known,
    )
    return (*row, check_of_plain(row))


def _json_row(mark: Mark, wall_ms: int) -> dict[str, Any]:
    """The same for PostgreSQL, which tells truth from numbers."""
    row = dict(zip(COLUMNS, _values(mark, wall_ms), strict=True))
    truth = {name: None if row[name] is None else bool(row[name]) for name in ("wall", "again")}
    return {**row, **truth, "id": mark.id}


def _raw(connection: Connection) -> Any:
    """The driver's own connection, in the transaction that has begun: for what every mark goes through."""
    return connection.connection.dbapi_connection


def _insert(raw: Any, received: Sequence[Received]) -> int:
    """Inserts what is not there yet and returns how many rows that were.

    Many rows go in one step. The driver lets go of the interpreter's lock at each step, and while the event loop is
    busy gets it back only after 5 ms: row by row, forty tablets' marks waited longer for that lock than for the disk.
    """
    stored = 0
    for start in range(0, len(received), ROWS_AT_ONCE):
        some = received[start : start + ROWS_AT_ONCE]
        values = [value for mark, wall_ms in some for value in _values(mark, wall_ms)]
        stored += raw.execute(_insert_sqlite(len(some)), values).rowcount
    return stored


@lru_cache(maxsize=ROWS_AT_ONCE)
def _insert_sqlite(rows: int) -> str:
    """The statement that inserts so many rows. By hand: to have one of each length built would cost more than it saves."""
    row = f"({', '.join('?' * len(COLUMNS))})"
    columns = ", ".join(f'"{column}"' for column in COLUMNS)
    return f'INSERT INTO "{MARKS.name}" ({columns}) VALUES {", ".join([row] * rows)} ON CONFLICT DO NOTHING'


def _already(connection: Connection, ids: list[str]) -> Iterable[Mark]:
    for start in range(0, len(ids), SELECT_IDS):
        asked = [bytes.fromhex(mark) for mark in ids[start : start + SELECT_IDS]]
        yield from map(mark_of, connection.execute(ALREADY, {"ids": asked}))
