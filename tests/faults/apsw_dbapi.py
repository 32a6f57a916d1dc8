"""Just enough of a database driver over apsw for the store to run on a disk that a test makes: SQLAlchemy takes it for sqlite3.

apsw carries an SQLite of its own and lets a virtual file system be written in Python; the standard library's sqlite3 does not.
"""

import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

import apsw

paramstyle = "qmark"
threadsafety = 1
apilevel = "2.0"
sqlite_version_info = tuple(int(part) for part in apsw.sqlite_lib_version().split("."))
sqlite_version = apsw.sqlite_lib_version()
PARSE_DECLTYPES, PARSE_COLNAMES = sqlite3.PARSE_DECLTYPES, sqlite3.PARSE_COLNAMES
Error, DatabaseError, IntegrityError = sqlite3.Error, sqlite3.DatabaseError, sqlite3.IntegrityError
OperationalError, ProgrammingError, InterfaceError = sqlite3.OperationalError, sqlite3.ProgrammingError, sqlite3.InterfaceError
NotSupportedError, DataError, InternalError, Warning = (
    sqlite3.NotSupportedError,
    sqlite3.DataError,
    sqlite3.InternalError,
    sqlite3.Warning,
)
Binary = bytes


class Cursor:
    """One statement and its rows."""

    arraysize = 1

    def __init__(self, connection: "Connection") -> None:
        self._connection = connection
        self._rows: list[Any] = []
        self.description: Any = None
        self.rowcount = -1
        self.lastrowid = None

    def execute(self, sql: str, parameters: Sequence[Any] = ()) -> "Cursor":
        raw = self._connection.raw
        before = raw.total_changes()
        try:
            cursor = raw.cursor()
            cursor.exec_trace = self._begun
            self._rows = list(cursor.execute(sql, tuple(parameters)))
        except apsw.ConstraintError as wrong:
            raise IntegrityError(str(wrong)) from None
        except apsw.Error as wrong:
            error = OperationalError(str(wrong))
            error.sqlite_errorcode = getattr(wrong, "extendedresult", 1)
            raise error from None
        self.rowcount = raw.total_changes() - before
        return self

    def _begun(self, cursor: apsw.Cursor, _sql: str, _parameters: Any) -> bool:
        """The columns are known only while a statement runs; one without rows has ended when `execute` returns."""
        columns = cursor.get_description()
        self.description = [(name, kind, None, None, None, None, None) for name, kind in columns] or None
        return True

    def executemany(self, sql: str, many: Iterable[Sequence[Any]]) -> "Cursor":
        for parameters in many:
            self.execute(sql, parameters)
        return self

    def fetchone(self) -> Any:
        return self._rows.pop(0) if self._rows else None

    def fetchall(self) -> list[Any]:
        rows, self._rows = self._rows, []
        return rows

    def fetchmany(self, size: int = 1) -> list[Any]:
        rows, self._rows = self._rows[:size], self._rows[size:]
        return rows

    def close(self) -> None:
        self._rows = []


class Connection:
    """A connection through the virtual file system of a name."""

    def __init__(self, file: str, vfs: str) -> None:
        self.raw = apsw.Connection(file, vfs=vfs)
        self.isolation_level: Any = ""

    @property
    def in_transaction(self) -> bool:
        return bool(self.raw.in_transaction)

    def cursor(self) -> Cursor:
        return Cursor(self)

    def execute(self, sql: str, parameters: Sequence[Any] = ()) -> Cursor:
        return Cursor(self).execute(sql, parameters)

    def create_function(self, *_: Any, **__: Any) -> None:
        """SQLAlchemy offers a function for regular expressions, which the store does not use."""

    def commit(self) -> None:
        if self.in_transaction:
            self.execute("COMMIT")

    def rollback(self) -> None:
        if self.in_transaction:
            self.execute("ROLLBACK")

    def close(self) -> None:
        self.raw.close()
