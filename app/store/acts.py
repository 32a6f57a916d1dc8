"""What was done: who, from where, what in words, on which record, with what outcome. Written once, never changed.

An act that changes something stored is written in the very transaction of the change: it waits in the request's context, and the
database takes it along (see Database.awrite).
"""

from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import asdict, dataclass
from typing import Literal, TypeVar

from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from app.store.tables.acts import ActRow

Outcome = Literal["done", "refused", "failed"]
Kind = Literal["login", "device", "heat", "ruling", "entry", "event", "plan", "paper", "setup", "file"]
MOST_WORDS, MOST_NAME = 200, 120

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Act:
    """One line of the record. `kind` (a Kind) sorts lines, `about` names the record, `role` as what."""

    wall_ms: int
    device_id: str
    name: str
    role: str
    address: str
    kind: str
    words: str
    about: str
    outcome: Outcome
    number: int = 0


@dataclass(frozen=True, slots=True)
class Asked:
    """Which lines are wanted: of one device's name, of one kind, of a stretch of time; empty for all."""

    who: str = ""
    kind: str = ""
    from_wall_ms: int | None = None
    to_wall_ms: int | None = None


@dataclass(slots=True)
class Doing:
    """What a request is about to do: its line so far, whether it has changed anything, and whether the line is written."""

    act: Act
    changed: bool = False
    written: bool = False


DOING: ContextVar[Doing | None] = ContextVar("doing", default=None)


def with_its_act(work: Callable[[Session], T]) -> Callable[[Session], T]:
    """Work that takes the line of what is being done along into its transaction, once a request; elsewhere the work itself."""
    doing = DOING.get()
    if doing is None:
        return work

    def whole(session: Session) -> T:
        before = DOING.set(doing)  # the writer's thread has a context of its own
        try:
            value = work(session)
            if not doing.written:
                put_act(session, doing.act)
            return value
        finally:
            DOING.reset(before)

    return whole


def note_change(*, written: bool = False) -> None:
    """Notes that the request has changed something; `written`: its line stands already."""
    if (doing := DOING.get()) is not None:
        doing.changed, doing.written = True, doing.written or written


def put_act(session: Session, act: Act) -> None:
    """Appends a line."""
    plain = asdict(act) | {"number": None, "words": act.words[:MOST_WORDS], "name": act.name[:MOST_NAME]}
    session.add(ActRow(**plain | {"about": act.about[:MOST_WORDS]}))
    session.flush()


def acts(session: Session, asked: Asked, most: int, skip: int = 0) -> tuple[Act, ...]:
    """Lines, newest first."""
    wanted = select(ActRow).where(*_asked(asked)).order_by(col(ActRow.number).desc()).offset(skip).limit(most)
    return tuple(Act(**row.model_dump()) for row in session.exec(wanted))


def count_acts(session: Session, asked: Asked) -> int:
    """How many lines there are."""
    return session.exec(select(func.count()).select_from(ActRow).where(*_asked(asked))).one()


def last_done(session: Session, words: str) -> int | None:
    """When something of these words was last done, in Unix milliseconds; None if it never was."""
    done = select(func.max(ActRow.wall_ms)).where(ActRow.words == words, ActRow.outcome == "done")
    return session.exec(done).one()


def names_and_kinds(session: Session) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Whose lines there are, and of which kinds."""
    names = session.exec(select(ActRow.name).distinct().order_by(ActRow.name))
    kinds = session.exec(select(ActRow.kind).distinct().order_by(ActRow.kind))
    return tuple(names), tuple(kinds)


def _asked(asked: Asked) -> list[ColumnElement[bool]]:
    wanted = []
    if asked.who:
        wanted.append(col(ActRow.name) == asked.who)
    if asked.kind:
        wanted.append(col(ActRow.kind) == asked.kind)
    if asked.from_wall_ms is not None:
        wanted.append(col(ActRow.wall_ms) >= asked.from_wall_ms)
    if asked.to_wall_ms is not None:
        wanted.append(col(ActRow.wall_ms) < asked.to_wall_ms)
    return wanted
