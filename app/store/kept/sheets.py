"""Sheets of finished heats, each in one row: a start reads these rows, and of all other sheets every mark.

A row is taken while the store holds just the marks that it was made of: so many, whose rows' own checks (app.store.damage) come
to the same sum, which the database adds up in one pass. One mark more, and the sheet's marks are read; the next time that the
heat is looked at, it is kept anew. A mark from before rows had checks is proof of nothing: its sheet is not kept.
"""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import msgspec
from sqlalchemy import ColumnElement, Connection, Table, func, not_, or_, select, true
from sqlmodel import Session

from app.rules.records.numbers import Span
from app.store.markrows import MARKS, SELECT_IDS
from app.store.tables.kept import KeptSheetRow

KEPT: Table = KeptSheetRow.__table__  # type: ignore[attr-defined]
ALL = true()
FORM = 1  # one more whenever what is kept is written otherwise: rows of before are made anew then
MOST_STALE = 200  # rows that no longer fit; where there are more, all marks are read


@dataclass(frozen=True, slots=True)
class KeptSheet:
    """A sheet as it is kept: how many marks it has, the numbers that they carry, and what whoever kept it put in."""

    sheet: str
    marks: int
    numbers: tuple[Span, ...]
    content: bytes


@dataclass(frozen=True, slots=True)
class Kept:
    """The sheets that are kept and hold still. others: which marks have to be read beside them."""

    sheets: tuple[KeptSheet, ...] = ()
    others: ColumnElement[bool] = ALL


def kept_in(connection: Connection) -> Kept:
    """The sheets that are kept, but those that have other marks now."""
    rows = connection.execute(select(KEPT)).all()
    if not rows:
        return Kept()
    there = _sums(connection)
    stale = [row.sheet for row in rows if there.get(row.sheet) != (row.marks, row.checks) or row.digest != _digest(*row[:-1])]
    if len(stale) > MOST_STALE:
        return Kept()
    gone = frozenset(stale)
    sheets = tuple(_read(row.sheet, row.marks, row.numbers, row.content) for row in rows if row.sheet not in gone)
    kept = MARKS.c.sheet.in_(select(KEPT.c.sheet))
    return Kept(sheets, or_(not_(kept), MARKS.c.sheet.in_(stale)) if stale else not_(kept))


def checks_of(session: Session, ids: Sequence[str]) -> int | None:
    """The sum of the checks of these marks' rows; None unless all are there and each has one."""
    counted, total = 0, 0
    for start in range(0, len(ids), SELECT_IDS):
        some = [bytes.fromhex(key) for key in ids[start : start + SELECT_IDS]]
        asked = select(func.count(MARKS.c.crc), func.sum(MARKS.c.crc)).where(MARKS.c.id.in_(some))
        found, checks = session.connection().execute(asked).one()
        counted, total = counted + found, total + int(checks or 0)
    return total if counted == len(ids) else None


def keep(session: Session, kept: KeptSheet, checks: int) -> None:
    """Keeps a sheet in the place of what was kept of it before. checks: the sum of its marks' own."""
    row = (kept.sheet, kept.marks, checks, msgspec.json.encode(kept.numbers).decode(), kept.content)
    connection = session.connection()
    connection.execute(KEPT.delete().where(KEPT.c.sheet == kept.sheet))
    connection.execute(KEPT.insert().values((*row, _digest(*row))))


def numbers_in(kept: Iterable[KeptSheet]) -> Iterator[Span]:
    """The numbers of all sheets, in an order in which few wait ahead of a gap."""
    return iter(sorted(span for one in kept for span in one.numbers))


def _sums(connection: Connection) -> dict[str, tuple[int, int]]:
    """Of each sheet whose marks all have checks: how many marks it has, and the sum."""
    counts = select(MARKS.c.sheet, func.count(), func.count(MARKS.c.crc), func.sum(MARKS.c.crc)).group_by(MARKS.c.sheet)
    return {sheet: (marks, int(checks)) for sheet, marks, checked, checks in connection.execute(counts) if marks == checked}


def _read(sheet: str, marks: int, numbers: str, content: bytes) -> KeptSheet:
    return KeptSheet(sheet, marks, msgspec.json.decode(numbers, type=tuple[Span, ...]), bytes(content))


def _digest(sheet: str, marks: int, checks: int, numbers: str, content: bytes) -> bytes:
    return hashlib.sha256(msgspec.msgpack.encode((FORM, sheet, marks, checks, numbers, bytes(content)))).digest()
