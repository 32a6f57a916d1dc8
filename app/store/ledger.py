"""The ledger: the set of all marks, append-only. Many tablets' marks share one transaction; each is answered after its commit."""

import asyncio
import logging
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field
from functools import partial

from sqlalchemy import Connection, func, select
from sqlmodel import Session

from app.rules.records.document import Run
from app.rules.records.marks import Mark
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.store.acts import note_change
from app.store.database import Database
from app.store.engines import savepoint
from app.store.holding import Holding
from app.store.kept.sheets import KeptSheet, kept_in
from app.store.kinds import RULINGS, RUNS
from app.store.markrows import MARKS, all_marks, each_mark, insert_new, numbered
from app.store.news import newest, tell
from app.store.roster import read_roster
from app.store.writer import StoreClosed, is_away, is_full

log = logging.getLogger(__name__)


@dataclass(slots=True)
class _Append:
    """One caller's marks on their way: in, what came of them, and who waits."""

    marks: Sequence[Mark]
    received_wall_ms: int
    waiting: "asyncio.Future[None]"
    new: list[Mark] = field(default_factory=list)
    error: BaseException | None = None


@dataclass(frozen=True, slots=True)
class Stored:
    """What a server process begins with, as of one moment. number: of the newest news then. kept: the sheets that are kept.
    marks: those of all others, read as they are asked for, while the session is open."""

    number: int
    roster: Roster | None
    runs: Sequence[Run]
    rulings: Sequence[Ruling]
    kept: Sequence[KeptSheet]
    marks: Iterable[Mark]
    held: Holding


def stored(session: Session) -> Stored:
    """Reads the whole store."""
    competition = read_roster(session), RUNS.all(session), RULINGS.all(session)
    kept = kept_in(session.connection())
    marks, held = each_mark(session.connection(), kept.others), Holding.load(session, kept)
    return Stored(newest(session), *competition, kept.sheets, marks, held)


class Ledger:
    """Appends marks and reads them. `on_new` hears of new marks, on the event loop, before their sender is answered; `on_told`
    of the number under which other processes are told of them, if there are any."""

    def __init__(self, database: Database, held: Holding | None = None) -> None:
        self.on_new: Callable[[Sequence[Mark]], None] = lambda marks: None
        self.on_told: Callable[[int], None] = lambda number: None
        self._database = database
        self._holding = held or database.read(Holding.load)
        self._waiting: deque[_Append] = deque()
        self._asked = False

    async def append(self, marks: Sequence[Mark], received_wall_ms: int) -> None:
        """Stores marks and returns after the commit.

        A receipt that has no number yet is given its number in the same transaction. Marks already stored are left as they are,
        and so is their first receipt; one that says something else under a used id is laid beside the first. Raises StoreTrouble;
        then none of these marks is acknowledged.
        """
        if not marks:
            return
        loop = asyncio.get_running_loop()
        item = _Append(marks, received_wall_ms, loop.create_future())
        self._waiting.append(item)
        if not self._asked:  # the writer takes all that wait when its turn comes: one request to it is enough
            self._asked = True
            # After the requests that are here already: they share the transaction, and the writer's thread does not fight
            # the event loop for the interpreter while it reads them. A lone mark waits for nothing.
            loop.call_soon(self._ask)
        await item.waiting
        note_change()

    def held(self, device: str) -> dict[int, int]:
        """For each epoch of a device, the number up to which every mark is stored (0 when the first is missing)."""
        return self._holding.through(device)

    def noted_elsewhere(self, marks: Sequence[Mark]) -> None:
        """Takes over what other processes have stored. On the event loop."""
        for mark in marks:
            self._holding.add(mark.device, mark.epoch, mark.seq)

    def held_anew(self, holding: Holding) -> None:
        """Begins anew with what the store holds. On the event loop."""
        self._holding = holding

    def all_marks(self) -> list[Mark]:
        """Every mark there is, by id; behind them those that say something else under a used id."""
        return self._database.read(marks_in)

    def count(self) -> int:
        """How many marks are stored, those laid aside not counted."""
        counted = select(func.count()).select_from(MARKS)
        return self._database.read(lambda session: session.connection().execute(counted).scalar_one())

    def _ask(self) -> None:
        taken: list[_Append] = []
        try:
            written = self._database.submit_plainly(
                lambda connection: self._write(connection, taken)
            )  # returns the number of the news
        except StoreClosed as closed:
            self._take(taken)
            _later(taken, partial(_fail, closed))
            return
        written.add_done_callback(lambda future: self._written(future, taken))

    def _take(self, taken: list[_Append]) -> None:
        self._asked = False  # before the taking: whoever comes after it asks anew
        while self._waiting:
            taken.append(self._waiting.popleft())

    def _write(self, connection: Connection, taken: list[_Append]) -> int:
        """On the writer's thread: all waiting appends at once; if that fails, each by itself. Returns the number of the news."""
        self._take(taken)
        try:
            with savepoint(connection):
                _insert(connection, taken)
        except Exception as error:
            if is_full(error) or is_away(error) or len(taken) == 1:
                raise
            for item in taken:
                _insert_alone(connection, item)
        new = [mark.id for item in taken if item.error is None for mark in item.new]
        return tell(connection, "marks", new) if new else 0

    def _written(self, future: "Future[int]", taken: list[_Append]) -> None:
        """On the writer's thread, after the commit or the rollback."""
        error = future.exception()
        if error is None:
            _later(taken, partial(self._answer, future.result()))
            return
        if not taken:  # it failed before their turn came: those who wait must hear of it all the same
            self._take(taken)
        _later(taken, partial(_fail, error))

    def _answer(self, number: int, items: list[_Append]) -> None:
        """On the event loop: what is held, then who listens, then who sent."""
        stored = [item for item in items if item.error is None]
        for item in stored:
            self._note(item)
        new = [mark for item in stored for mark in item.new]
        try:
            if new:
                self.on_new(new)
            if number:
                self.on_told(number)
        except Exception:  # the marks are stored: their sender must not be told otherwise
            log.exception("A listener failed on %d new marks", len(new))
        for item in items:
            _tell(item)

    def _note(self, item: _Append) -> None:
        for mark in item.marks:
            self._holding.add(mark.device, mark.epoch, mark.seq)


def _insert(connection: Connection, items: Sequence[_Append]) -> None:
    marks = iter(numbered(connection, [mark for item in items for mark in item.marks]))
    given = [(item, [next(marks) for _ in item.marks]) for item in items]
    result = insert_new(connection, [(mark, item.received_wall_ms) for item, those in given for mark in those])
    for item, those in given:
        item.new = result.new(those)


def _insert_alone(connection: Connection, item: _Append) -> None:
    try:
        with savepoint(connection):
            _insert(connection, [item])
    except Exception as error:
        if is_full(error) or is_away(error):
            raise
        item.error = error


def marks_in(session: Session) -> list[Mark]:
    """Every mark of a store, by id; behind them those that say something else under a used id."""
    return all_marks(session.connection())


def _tell(item: _Append) -> None:
    if item.waiting.done():
        return
    if item.error is not None:
        item.waiting.set_exception(item.error)
    else:
        item.waiting.set_result(None)


def _fail(error: BaseException, items: list[_Append]) -> None:
    for item in items:
        item.error = error
        _tell(item)


def _later(items: list[_Append], tell: Callable[[list[_Append]], None]) -> None:
    """Calls `tell` on the event loop of those who wait, once for each loop."""
    by_loop: dict[asyncio.AbstractEventLoop, list[_Append]] = {}
    for item in items:
        by_loop.setdefault(item.waiting.get_loop(), []).append(item)
    for loop, group in by_loop.items():
        try:
            loop.call_soon_threadsafe(tell, group)
        except RuntimeError:  # the loop is closed: nobody waits there any more
            log.info("Marks of %d requests were answered after their event loop had closed", len(group))
