"""News: what one server process tells the others, recorded in the very transaction of the change and told with its commit.

Numbers follow the order of the commits, so whoever has read through number n has missed nothing before it: every writer's
transaction has its turn alone (engines.TAKE_TURN), and takes its numbers within it. On SQLite there is nobody to tell.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, select
from sqlmodel import Session, col, func

from app.rules.records.marks import Mark
from app.store.engines import is_sqlite
from app.store.markrows import marks_of_ids
from app.store.tables.news import NewsRow

# marks: a list of ids. records: the roster, runs or rulings. gone: [device, sentence]. renamed: [device, name].
# vouched: [device], which may write for others than before. everything: too much to name; all is to be read again.
Kind = Literal["marks", "records", "gone", "renamed", "vouched", "everything"]

KEPT_MS = 3_600_000  # who was deaf for longer reads everything again
TOLD = "news "  # how the notice of a change begins; other notices are words, see app/store/line.py

TELL = f"""
WITH told AS (
  INSERT INTO news (origin, kind, body, made_wall_ms)
  VALUES (current_setting('application_name'), %s, %s, (extract(epoch FROM clock_timestamp()) * 1000)::bigint)
  RETURNING number, origin
)
SELECT number, pg_notify('lane_ledger_' || current_schema(), '{TOLD}' || number || ' ' || origin) FROM told
"""


@dataclass(frozen=True, slots=True)
class News:
    """One change as the other processes read it; `marks` are those of a `marks`."""

    number: int
    origin: str
    kind: Kind
    body: Any
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Since:
    """What came after a number. `complete`: nothing was missed; else everything has to be read again."""

    news: tuple[News, ...]
    complete: bool


def tell(within: Session | Connection, kind: Kind, body: Any = None) -> int:
    """Records news beside the change that it is of, and has them told when it is committed. Returns their number; 0 on SQLite."""
    connection = within.connection() if isinstance(within, Session) else within
    if is_sqlite(connection):
        return 0
    return int(connection.exec_driver_sql(TELL, (kind, json.dumps(body))).scalar_one())


def newest(session: Session) -> int:
    """The number of the newest news; 0 before there were any."""
    return session.connection().execute(select(func.max(col(NewsRow.number)))).scalar_one() or 0


def since(session: Session, number: int, known: frozenset[int] = frozenset()) -> Since:
    """All news after a number but those `known`, in their order, with the marks that they are of."""
    connection = session.connection()
    rows = connection.execute(select(NewsRow).where(col(NewsRow.number) > number).order_by(col(NewsRow.number))).all()
    span: Any = connection.execute(select(func.min(col(NewsRow.number)), func.max(col(NewsRow.number)))).one()
    complete = number == 0 if span[1] is None else span[0] - 1 <= number <= span[1]
    found = [News(row.number, row.origin, row.kind, json.loads(row.body)) for row in rows if row.number not in known]
    marks = marks_of_ids(connection, [key for one in found if one.kind == "marks" for key in one.body])
    return Since(tuple(_with_marks(one, marks) for one in found), complete)


def forget_old(session: Session, now_wall_ms: int) -> None:
    """Removes news that every process has long taken over. The newest stays: its number says how far they go."""
    old = "DELETE FROM news WHERE made_wall_ms < %s AND number < (SELECT max(number) FROM news)"
    session.connection().exec_driver_sql(old, (now_wall_ms - KEPT_MS,))


def _with_marks(one: News, marks: Mapping[str, Sequence[Mark]]) -> News:
    if one.kind != "marks":
        return one
    return News(one.number, one.origin, one.kind, one.body, tuple(mark for key in dict.fromkeys(one.body) for mark in marks[key]))
