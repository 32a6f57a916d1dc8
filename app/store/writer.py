"""The single writer: one thread, one connection, many requests' work in one transaction, answered after its commit.

Long work on the same connection (a backup) goes in steps, and between two steps the writer commits whatever has come in.
"""

import queue
import sqlite3
import threading
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError, InvalidRequestError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout
from sqlmodel import Session

from app.store.engines import is_sqlite, savepoint

MOST_IN_GROUP = 1_000
BREATH_S = 0.002  # between two steps of long work the writer waits so long for marks: the disk is theirs first
SQLITE_READONLY, SQLITE_IOERR, SQLITE_FULL = 8, 10, 13  # primary result codes; a file size limit shows as an I/O error
PG_DISK_FULL = "53100"
# Connection trouble; shutdown, crash, start-up; too many connections; a lock not had in time; a transaction that hung.
PG_AWAY = ("08", "57P", "53300", "55P03", "25P03")

T = TypeVar("T")
Work = Callable[[Session], T]
OnConnection = Callable[[Connection], T]
Breathe = Callable[[], None]
Steps = Callable[[Any, Breathe], T]


class StoreTrouble(RuntimeError):
    """Raised when the store could not take it, for no fault of the one who asked; its text is the sentence to show."""


class StoreFull(StoreTrouble):
    """Raised when the disk can't take more; nothing of the request was stored. Its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__("The disk of the desk's machine is full or failing: nothing was saved. Free some space and send again.")


class StoreReadOnly(StoreTrouble):
    """Raised when the store may not be written to; its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__(
            "The file that everything is kept in may not be written to: nothing was saved. Make it writable on the desk's "
            "machine, or restore the newest backup into another folder."
        )


class StoreClosed(StoreTrouble):
    """Raised when work arrives after the store was closed; its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__("The server is shutting down: nothing was saved. Send again in a moment.")


class StoreAway(StoreTrouble):
    """Raised when the database server can't be reached or lost the connection; its text is the sentence to show.

    Whether the work was stored is not known then: what is sent again under its id is stored once all the same.
    """

    def __init__(self) -> None:
        super().__init__("The database can't be reached just now, so nothing was acknowledged. Send again in a moment.")


class GroupLost(RuntimeError):
    """Raised when the database ended the transaction by itself, so that nothing in it may be acknowledged."""


@dataclass(frozen=True, slots=True)
class Job:
    """Work to be done in the next transaction, in a savepoint of its own, and where its outcome goes.

    news: a backup lacks it then; not so of what can be made anew from the rest of the store.
    """

    work: OnConnection[Any]
    future: "Future[Any]"
    news: bool = True


WAKE = Job(lambda _: None, Future())  # wakes a writer that waits for work, and is none


@dataclass(frozen=True, slots=True)
class LongJob:
    """Work in steps on the writer's own raw connection, and where its outcome goes."""

    steps: Steps[Any]
    future: "Future[Any]"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a job inside the group's transaction."""

    value: Any = None
    error: Exception | None = None


class Writer:
    """Runs work in the order it came. `commits` counts transactions with news; `when_full` is called after a rollback for want of
    space.

    `ready` is called before each commit, and raises StoreTrouble where it would keep nothing. `trouble`: the sentence of the last
    transaction, where the store did not take it.
    """

    def __init__(self, engine: Engine, when_full: Callable[[], None], ready: Callable[[], None] = lambda: None) -> None:
        self.commits = 0
        self.trouble = ""
        self._ready = ready
        self._engine = engine
        self._is_sqlite = engine.dialect.name == "sqlite"
        self._held: Connection | None = None  # on SQLite, from one turn to the next
        self._when_full = when_full
        self._jobs: queue.SimpleQueue[Job | None] = queue.SimpleQueue()
        self._long: deque[LongJob] = deque()
        self._last = False
        self._door = threading.Lock()
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="ledger-writer", daemon=True)
        self._thread.start()

    def submit(self, work: Work[T], news: bool = True) -> "Future[T]":
        """Queues work; the future is resolved after the commit, or with the error that rolled the work back."""
        return self._queued(partial(_in_session, work), news)

    def submit_plainly(self, work: OnConnection[T]) -> "Future[T]":
        """The same for work that needs no session, which takes as long as storing forty marks."""
        return self._queued(partial(_in_savepoint, work))

    def _queued(self, work: OnConnection[T], news: bool = True) -> "Future[T]":
        future: Future[T] = Future()
        with self._door:  # nothing may be queued behind the closing mark: nobody would answer it
            if self._closed:
                raise StoreClosed
            self._jobs.put(Job(work, future, news))
        return future

    def submit_steps(self, steps: Steps[T]) -> "Future[T]":
        """Queues long work: `steps(connection, breathe)` gets the writer's raw connection, outside of any transaction.

        It calls `breathe` often: what has been submitted meanwhile is committed then. `breathe` raises StoreClosed when the store
        closes, and the work must end. The future gets what `steps` returns or raises.
        """
        future: Future[T] = Future()
        with self._door:
            if self._closed:
                raise StoreClosed
            self._long.append(LongJob(steps, future))
            self._jobs.put(WAKE)
        return future

    def on_writer_thread(self) -> bool:
        """Whether the caller is already the writer, which must not wait for itself."""
        return threading.current_thread() is self._thread

    def close(self) -> None:
        """Finishes the queued work and ends the thread."""
        with self._door:
            if not self._closed:
                self._closed = True
                self._jobs.put(None)
        self._thread.join()

    def _run(self) -> None:
        while not self._last:
            self._commit(self._next_group(self._jobs.get()))
            if self._long and not self._last:
                self._do(self._long.popleft())
        self._let_go()
        for job in self._long:
            job.future.set_exception(StoreClosed())

    def _next_group(self, job: Job | None) -> list[Job]:
        """The first job and all that have queued up meanwhile: the slower the disk, the larger the group. Notes the end."""
        group: list[Job] = []
        while job is not None:
            if job is not WAKE and job.future.set_running_or_notify_cancel():
                group.append(job)
            if len(group) >= MOST_IN_GROUP:
                return group
            try:
                job = self._jobs.get_nowait()
            except queue.Empty:
                return group
        self._last = True
        return group

    def _do(self, job: LongJob) -> None:
        if not job.future.set_running_or_notify_cancel():
            return
        self._let_go()
        try:
            with self._engine.connect() as connection:
                raw: Any = connection.connection.dbapi_connection
            # Given back to the pool, which holds this one connection only: the commits in between use the very same.
            job.future.set_result(job.steps(raw, self._breathe))
        except BaseException as error:  # whoever waits must hear of it
            job.future.set_exception(error)

    def _breathe(self) -> None:
        try:
            self._commit(self._next_group(self._jobs.get(timeout=BREATH_S)))
        except queue.Empty:
            return
        if self._last:
            raise StoreClosed

    def _commit(self, group: list[Job]) -> None:
        if not group:
            return
        try:
            with self._transaction() as connection:
                outcomes = [_attempt(job, connection) for job in group]
                _refuse_if_lost(connection)
                self._ready()
        except BaseException as error:  # whatever it was, those who wait must hear of it
            self._let_go()
            self._fail(group, error)
            return
        self.commits += any(job.news for job in group)
        self.trouble = ""
        for job, outcome in zip(group, outcomes, strict=True):
            if outcome.error is not None:
                job.future.set_exception(outcome.error)
            else:
                job.future.set_result(outcome.value)

    @contextmanager
    def _transaction(self) -> Iterator[Connection]:
        if not self._is_sqlite:
            with self._engine.begin() as connection:
                yield connection
            return
        self._held = self._held or self._engine.connect()  # from the pool each time, it costs a lone mark as much again
        with self._held.begin():
            yield self._held

    def _let_go(self) -> None:
        """Gives the connection back to the pool, which looks after it."""
        if self._held is not None:
            held, self._held = self._held, None
            with suppress(SQLAlchemyError, sqlite3.Error):  # what those who wait are told is of more weight
                held.close()

    def _fail(self, group: list[Job], error: BaseException) -> None:
        full = is_full(error)
        if full:
            self._when_full()
        told = StoreFull() if full else StoreReadOnly() if is_read_only(error) else StoreAway() if is_away(error) else error
        self.trouble = str(told) if isinstance(told, StoreTrouble) else ""
        for job in group:
            job.future.set_exception(told)


def _in_session(work: Work[T], connection: Connection) -> T:
    with Session(connection, join_transaction_mode="create_savepoint", expire_on_commit=False) as session:
        value = work(session)
        session.commit()
    return value


def _in_savepoint(work: OnConnection[T], connection: Connection) -> T:
    with savepoint(connection):
        return work(connection)


def _attempt(job: Job, connection: Connection) -> Outcome:
    """Runs one job. An error that spoils the whole transaction is raised."""
    try:
        return Outcome(job.work(connection))
    except Exception as error:
        if is_full(error) or is_read_only(error) or is_away(error):
            raise
        _refuse_if_lost(connection)
        return Outcome(error=error)


def _refuse_if_lost(connection: Connection) -> None:
    """SQLite may roll back by itself (disk full, I/O error), and the driver's commit would then quietly do nothing; so would
    PostgreSQL's, if somebody had ended the transaction."""
    raw: Any = connection.connection.dbapi_connection
    if not (raw.in_transaction if is_sqlite(connection) else raw.info.transaction_status):  # 0: PQTRANS_IDLE
        raise GroupLost("The database ended the transaction by itself: nothing was saved.")


def is_full(error: BaseException | None) -> bool:
    """Whether an error means that the disk is full or fails, or came of such an error.

    After a full disk SQLite has no savepoint left to go back to, and that second error hides the first.
    """
    while error is not None:
        raw = error.orig if isinstance(error, DBAPIError) else error
        if isinstance(raw, sqlite3.Error) and (getattr(raw, "sqlite_errorcode", 0) & 0xFF) in (SQLITE_IOERR, SQLITE_FULL):
            return True
        if getattr(raw, "sqlstate", None) == PG_DISK_FULL:
            return True
        error = error.__cause__ or error.__context__
    return False


def is_read_only(error: BaseException | None) -> bool:
    """Whether an error means that the store's file, or its folder, may not be written to."""
    while error is not None:
        raw = error.orig if isinstance(error, DBAPIError) else error
        if isinstance(raw, sqlite3.Error) and (getattr(raw, "sqlite_errorcode", 0) & 0xFF) == SQLITE_READONLY:
            return True
        error = error.__cause__ or error.__context__
    return False


def is_away(error: BaseException | None) -> bool:
    """Whether an error means that the PostgreSQL server is not there, or ended the connection."""
    while error is not None:
        if isinstance(error, PoolTimeout) or (isinstance(error, InvalidRequestError) and "connection is closed" in str(error)):
            return True  # the pool found no connection that stands
        raw = error.orig if isinstance(error, DBAPIError) else error
        if type(raw).__module__.split(".")[0] == "psycopg":
            state = getattr(raw, "sqlstate", None)
            if state is None and type(raw).__name__ in ("OperationalError", "InterfaceError", "ConnectionTimeout"):
                return True
            if state is not None and state.startswith(PG_AWAY):
                return True
        error = error.__cause__ or error.__context__
    return False
