"""Heads: the row of each file that something in the store names by its digest. Rows are only added."""

from dataclasses import asdict, dataclass

from sqlmodel import Session, col, select

from app.store.tables.files import FileHeadRow


@dataclass(frozen=True, slots=True)
class Head:
    """A file that came: the SHA-256 of its bytes, how many those are, when (Unix milliseconds)."""

    digest: str
    size: int
    arrived_wall_ms: int


def put_head(session: Session, head: Head) -> None:
    """Writes down that a file came, unless that is written."""
    if session.get(FileHeadRow, head.digest) is None:
        session.add(FileHeadRow(**asdict(head)))
        session.flush()


def heads(session: Session) -> list[Head]:
    """The heads of all files, in the order of their digests."""
    return [Head(**row.model_dump()) for row in session.exec(select(FileHeadRow).order_by(FileHeadRow.digest))]


def digests_named(session: Session) -> frozenset[str]:
    """The digests of all files that have a head."""
    return frozenset(session.exec(select(col(FileHeadRow.digest))))


def head_beginning(session: Session, told: str) -> str | None:
    """The digest of the file that came whose digest begins with these digits; None for none."""
    return session.exec(select(FileHeadRow.digest).where(col(FileHeadRow.digest).startswith(told))).first()
