"""The database: one object owns the engines, the writer thread and the schema's version."""

import asyncio
import logging
import secrets
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session

from app.store.acts import note_change, with_its_act
from app.store.damage import Damaged, damaged_in
from app.store.engines import reader_engine, sqlite_file, writer_engine
from app.store.files.folder import Folder, StoreFolder, files_of
from app.store.files.heads import heads
from app.store.files.in_database import InDatabase
from app.store.files.moving import has_rows, move_out
from app.store.files.verbs import Files
from app.store.full_disk import Ballast, SharedIndex
from app.store.schema import bring_to_head
from app.store.whose import give_an_id, ledger_of, make_private, make_private_folder
from app.store.writer import OnConnection, Steps, StoreAway, StoreTrouble, Writer, is_away

T = TypeVar("T")
log = logging.getLogger(__name__)

GONE = (
    "The file that everything is kept in was removed or replaced on the desk's machine, so nothing more is acknowledged. Do not "
    "stop the server: make a backup at the desk first, then restore it into a new folder."
)


@contextmanager
def reading(url: str) -> Iterator[Session]:
    """One snapshot of a store that another process has open, and that is left as it is."""
    readers = reader_engine(url)
    try:
        with Session(readers, expire_on_commit=False) as session:
            yield session
    finally:
        readers.dispose()


class Database:
    """Opens the store at `url`, walks its schema up to the newest, and starts the writer. `ledger` is the store's own id.

    Raises BadStoreUrl, StoreTooNew. Work handed to `write` runs in a savepoint of a transaction that it shares with other work;
    what it raises rolls back itself only. StoreFull, or StoreAway when the database server can't be reached, is raised to all who
    share the transaction.
    """

    def __init__(self, url: str) -> None:
        self.url = url
        self.file = sqlite_file(url)
        self.ballast: Ballast | None = None
        if self.file is not None:
            make_private_folder(self.file.parent)
            make_private(self.file)
            self.ballast = Ballast(self.file.with_name(self.file.name + ".ballast"))
            self.ballast.take()
        self.origin = f"lane-ledger-{secrets.token_hex(4)}"
        self._write_engine = writer_engine(url, self.origin)
        try:
            bring_to_head(self._write_engine)
        except BaseException:
            self._write_engine.dispose()
            raise
        self._readers = reader_engine(url)
        self._index: SharedIndex | None = None
        if self.file is not None:
            self._move_files_out(self.file)
            self._index = SharedIndex(self.file)
            stands = self.file.stat()
            self._identity = stands.st_dev, stands.st_ino
        self._writer = Writer(self._write_engine, self._make_room, self._refuse_if_gone)
        self.files = self._files_of_the_store()
        self.damaged: tuple[Damaged, ...] = ()
        self.lacking: tuple[str, ...] = ()
        self.ledger = self.read(ledger_of) or self._named()

    def _named(self) -> str:
        self.write(give_an_id)
        return self.read(ledger_of)

    def _move_files_out(self, store: Path) -> None:
        """Moves what an older version kept as rows into the folder. What can't be moved is read where it is."""
        if self.read(has_rows):
            try:
                move_out(self._write_engine, Folder(files_of(store)))
            except (OSError, SQLAlchemyError) as wrong:
                log.warning("Files could not be moved out of the store: %s", wrong)

    def _files_of_the_store(self) -> Files:
        rows = InDatabase(self.read, lambda work: self._writer.submit(work, news=False).result())
        if self.file is None or self.ballast is None:
            return rows
        return StoreFolder(files_of(self.file), rows, self.ballast.release)

    @property
    def trouble(self) -> str:
        """Why nothing can be stored, as a sentence; empty while all is well."""
        return GONE if self.gone else self._writer.trouble

    def look_for_damage(self) -> None:
        """Looks at every mark's own check; what is not as it was written is in `damaged` then. In `lacking` are the digests of
        files that came and are not in their folder, or have another size. Not on the event loop."""
        self.damaged = self.read(lambda session: damaged_in(session.connection()))
        there = self.read(heads) if self.file is not None else ()
        self.lacking = tuple(one.digest for one in there if self.files.size(one.digest) != one.size)

    @property
    def gone(self) -> bool:
        """Whether the file was removed or replaced, so that what it held goes with the last program that has it open."""
        if self.file is None:
            return False
        try:
            there = self.file.stat()
        except OSError:
            return True
        return (there.st_dev, there.st_ino) != self._identity

    def _refuse_if_gone(self) -> None:
        if self.gone:
            raise StoreTrouble(GONE)

    @property
    def commits(self) -> int:
        """Transactions committed by this process with anything that can't be made anew from the rest."""
        return self._writer.commits

    @property
    def short_of_space(self) -> bool:
        """Whether the disk ran full and the desk must free space. Once there is ample again, the ballast is taken back."""
        if self.ballast is None:
            return False
        self.ballast.take()
        return not self.ballast.aboard

    def read(self, work: Callable[[Session], T]) -> T:
        """Runs `work` on a connection of its own, in one snapshot; it never waits for the writer. Raises StoreAway."""
        try:
            with Session(self._readers, expire_on_commit=False) as session:
                return work(session)
        except SQLAlchemyError as error:
            if is_away(error):
                raise StoreAway from error
            raise

    def write(self, work: Callable[[Session], T]) -> T:
        """Runs `work` on the writer and returns after the commit. Not from inside other work, and not on the event loop."""
        if self._writer.on_writer_thread():
            raise RuntimeError("Work on the writer can't wait for the writer: use the session at hand.")
        return self._writer.submit(work).result()

    async def aread(self, work: Callable[[Session], T]) -> T:
        """`read` in a thread, for work that takes longer than a moment."""
        return await asyncio.to_thread(self.read, work)

    async def awrite(self, work: Callable[[Session], T]) -> T:
        """Runs `work` on the writer and returns after the commit. The line of what a request does is written along with it."""
        value = await asyncio.wrap_future(self._writer.submit(with_its_act(work)))
        note_change(written=True)
        return value

    async def awrite_quietly(self, work: Callable[[Session], T]) -> T:
        """The same for what nobody did on purpose, and which leaves no line: a guess that is counted, a device that was seen."""
        return await asyncio.wrap_future(self._writer.submit(work))

    async def awrite_made_anew(self, work: Callable[[Session], T]) -> T:
        """The same for what can be made anew from the rest of the store, and is no news for a backup."""
        return await asyncio.wrap_future(self._writer.submit(work, news=False))

    def submit(self, work: Callable[[Session], T]) -> "Future[T]":
        """Queues work for the next transaction; the future is resolved, on the writer's thread, after its commit."""
        return self._writer.submit(work)

    def submit_plainly(self, work: OnConnection[T]) -> "Future[T]":
        """The same for work that needs no session."""
        return self._writer.submit_plainly(work)

    def submit_steps(self, steps: Steps[T]) -> "Future[T]":
        """Queues long work in steps on the writer's raw connection; see Writer.submit_steps."""
        return self._writer.submit_steps(steps)

    def close(self) -> None:
        """Finishes queued work and closes all connections."""
        self._writer.close()
        self._readers.dispose()
        if self.ballast is not None:
            self._shrink_log()
        self._write_engine.dispose()
        if self._index is not None:
            self._index.close()

    def _make_room(self) -> None:
        if self.ballast is not None:
            self.ballast.release()
            self._shrink_log()

    def _shrink_log(self) -> None:
        """Copies the write-ahead log into the database and empties it. If that fails, the log stays, and is whole."""
        raw = self._write_engine.raw_connection()
        try:
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
        except Exception:
            raw.invalidate()
        else:
            raw.close()
