"""Writing and reading other halls' competition files."""

from dataclasses import dataclass

from sqlalchemy import select as columns_of
from sqlmodel import Session, col, select

from app.store.refusals import AlreadyThere, NotThere
from app.store.tables.halls import HallFileRow

GONE = "That file is no longer here."


@dataclass(frozen=True, slots=True)
class HallContent:
    """A hall's file as it came; times are Unix time in milliseconds, `aside_wall_ms` is None while it counts."""

    digest: str
    name: str
    content: bytes
    taken_wall_ms: int
    aside_wall_ms: int | None = None


def put_hall_file(session: Session, file: HallContent) -> None:
    """Stores a file. Raises AlreadyThere when it is there, or when another hall has its name."""
    if (there := session.get(HallFileRow, file.digest)) is not None:
        aside = " It was put aside: bring it back." if there.aside_wall_ms is not None else ""
        raise AlreadyThere(f"This file is here already, as {there.name}.{aside}")
    if session.exec(select(HallFileRow).where(HallFileRow.name == file.name)).first() is not None:
        raise AlreadyThere(f"A file named {file.name} is here already. Give this one another name.")
    session.add(HallFileRow(**{name: getattr(file, name) for name in HallContent.__slots__}))


def set_aside(session: Session, digest: str, wall_ms: int | None) -> str:
    """Puts a file aside at a time, or (None) takes it up again; its name. Raises NotThere."""
    row = session.get(HallFileRow, digest)
    if row is None:
        raise NotThere(GONE)
    row.aside_wall_ms = wall_ms
    session.add(row)
    return row.name


@dataclass(frozen=True, slots=True)
class HallSaid:
    """What people said of a hall's file, without what is in it: its digest and name, whether it is put aside."""

    digest: str
    name: str
    aside: bool


def halls_said(session: Session) -> tuple[HallSaid, ...]:
    """All files, in the order in which they were taken in."""
    columns = map(col, (HallFileRow.digest, HallFileRow.name, HallFileRow.aside_wall_ms))
    rows = session.connection().execute(columns_of(*columns).order_by(col(HallFileRow.taken_wall_ms), col(HallFileRow.digest)))
    return tuple(HallSaid(row.digest, row.name, row.aside_wall_ms is not None) for row in rows)


def hall_content(session: Session, digest: str) -> bytes:
    """What is in a file. Raises NotThere."""
    row = session.get(HallFileRow, digest)
    if row is None:
        raise NotThere(GONE)
    return row.content
