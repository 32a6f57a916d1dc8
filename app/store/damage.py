"""The check that each mark's row carries, and the rows that are not as they were written.

A database finds a page that makes no sense; that a digit in it became another, it does not see. A mark from before the check was
kept has none, and nothing is said of it. The check is no signature: whoever may write to the file can make another.
"""

import sqlite3
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import msgspec
from sqlalchemy import Connection, select

from app.store.tables.main import MarkRow

MARKS = MarkRow.__table__  # type: ignore[attr-defined]
CHECKED = tuple(column.name for column in MARKS.c if column.name != "crc")  # the columns that the check is over, in this order
ROWS_AT_ONCE = 2_000

_encode = msgspec.msgpack.Encoder().encode


@dataclass(frozen=True, slots=True, order=True)
class Damaged:
    """A mark whose row is not as it was written: its tablet's id, life and number, as they stand there now."""

    device: str
    epoch: int
    seq: int


def check_of(values: Iterable[Any]) -> int:
    """The check of a row, whose values come as in CHECKED: CRC-32, 0 to 4,294,967,295. It finds every flip of up to 32 bits in a
    row together."""
    return check_of_plain([_plain(value) for value in values])


def check_of_plain(row: Sequence[Any]) -> int:
    """The same of a row that says truth as 0 or 1 and bytes as bytes."""
    return zlib.crc32(_encode(row))


def _plain(value: Any) -> Any:
    """What a database gives back for a value, whichever it is: truth as 0 or 1, bytes as bytes."""
    if isinstance(value, bool):
        return int(value)
    return bytes(value) if isinstance(value, memoryview) else value


def damaged_in(connection: Connection) -> tuple[Damaged, ...]:
    """Looks at every mark of a store, in one pass."""
    asked = select(*(MARKS.c[name] for name in CHECKED), MARKS.c.crc).where(MARKS.c.crc.is_not(None))
    return _found(connection.execution_options(yield_per=ROWS_AT_ONCE).execute(asked))


def damaged_in_file(store: sqlite3.Connection) -> tuple[Damaged, ...]:
    """Looks at every mark of a backup that was opened; of one from before the check was kept nothing is found."""
    if "crc" not in {row[1] for row in store.execute("PRAGMA table_info(mark)")}:
        return ()
    return _found(store.execute(f"SELECT {', '.join(CHECKED)}, crc FROM mark WHERE crc IS NOT NULL"))


def _found(rows: Iterable[Sequence[Any]]) -> tuple[Damaged, ...]:
    device, epoch, seq = (CHECKED.index(name) for name in ("device", "epoch", "seq"))
    wrong = ((row[device], row[epoch], row[seq]) for row in rows if check_of(row[:-1]) != row[-1])
    return tuple(sorted(Damaged(str(one), int(life), int(number)) for one, life, number in wrong))
