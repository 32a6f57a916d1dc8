"""Files by digest as rows of a database that several computers share."""

import time
from collections.abc import Callable, Iterator
from hashlib import sha256
from typing import Any, TypeVar

from sqlalchemy import CursorResult, delete, func
from sqlmodel import Session, col, select

from app.store.files.verbs import NotAsStored
from app.store.tables.files import FileContentRow, FileHeadRow

T = TypeVar("T")
Do = Callable[[Callable[[Session], T]], T]


class InDatabase:
    """Files in a database. `read` and `do` run work there, in a snapshot and in a transaction of its own."""

    def __init__(self, read: Do[Any], do: Do[Any]) -> None:
        self.read, self.do = read, do

    def put(self, content: bytes) -> str:
        """Keeps a file unless it is there; its digest."""
        row = FileContentRow(digest=sha256(content).hexdigest(), content=content, arrived_wall_ms=int(time.time() * 1000))
        digest = row.digest
        self.do(lambda session: session.merge(row))  # one that is there counts as put now
        return digest

    def get(self, digest: str) -> bytes:
        """A file, proven by its digest. Raises NotAsStored."""
        content: bytes | None = self.read(lambda session: session.exec(_of(FileContentRow.content, digest)).first())
        if content is None or sha256(content).hexdigest() != digest:
            raise NotAsStored(digest)
        return content

    def has(self, digest: str) -> bool:
        """Whether a file is there."""
        return self.size(digest) is not None

    def size(self, digest: str) -> int | None:
        """How many bytes a file has; None for one that is not there."""
        found: int | None = self.read(lambda session: session.exec(_of(func.length(FileContentRow.content), digest)).first())
        return found

    def digests(self) -> Iterator[str]:
        """The digests of all files, in order."""
        asked = select(col(FileContentRow.digest)).order_by(FileContentRow.digest)
        found: list[str] = self.read(lambda session: list(session.exec(asked)))
        return iter(found)

    def delete_unreferenced(self, before_wall_s: float) -> int:
        """Deletes what no head names and was put before a time (Unix seconds); how many files that were."""
        old = col(FileContentRow.arrived_wall_ms) < before_wall_s * 1000
        gone = delete(FileContentRow).where(old, col(FileContentRow.digest).not_in(select(FileHeadRow.digest)))
        done: CursorResult[Any] = self.do(lambda session: session.execute(gone))
        return done.rowcount


def _of(what: Any, digest: str) -> Any:
    return select(what).where(FileContentRow.digest == digest)
