"""The competition file of a long day, made by a process of its own: it goes with all the memory that the file took.

The process is told by one line of JSON which store and whose; it answers by a line that says how long the file is, or why there
is none, and then the file. It is made by then, so what goes wrong is told before its first byte leaves.
"""

import json
import logging
import os
import sys
from asyncio.subprocess import Process
from collections.abc import AsyncIterator
from dataclasses import asdict, dataclass

from sqlmodel import Session

from app import own_process
from app.results.competition_file import make_file, write_file
from app.rules.records.document import Ledger
from app.rules.result.sealing import sealed
from app.store.database import reading
from app.store.kinds import RULINGS, RUNS
from app.store.ledger import marks_in
from app.store.refusals import NotThere
from app.store.roster import read_roster
from app.store.writer import StoreTrouble

log = logging.getLogger(__name__)

NICENESS = 10  # judging comes first
PIECE = 32 * 1024  # bytes handed on at once: they are packed on the way, half a millisecond each
NO_COMPETITION = "There is no competition yet. Name it at the desk first."


class NothingThere(NotThere):
    """Raised when there is no competition to publish; its text is the sentence to show."""


class NotMade(StoreTrouble):
    """Raised when the process came to nothing; its text is the sentence to show."""

    def __init__(self) -> None:
        super().__init__("The competition file could not be made just now. Nothing has changed: try again.")


@dataclass(frozen=True, slots=True)
class Asked:
    """What to make: the address of the store, whose it is, and the moment that the file says."""

    url: str
    id: str
    secret: str | None
    made_wall_ms: int


@dataclass(frozen=True, slots=True)
class Written:
    """A file that was made, in pieces as they are asked for. length: in bytes."""

    length: int
    pieces: AsyncIterator[bytes]


def file_in(session: Session, ledger: Ledger, made_wall_ms: int) -> bytes:
    """The competition file of a store as of one moment: everything that a result needs. Raises NothingThere."""
    roster, runs, rulings = read_roster(session), RUNS.all(session), RULINGS.all(session)
    if roster is None:
        raise NothingThere(NO_COMPETITION)
    return write_file(sealed(make_file(roster, runs, rulings, marks_in(session), made_wall_ms, ledger)))


async def made_apart(asked: Asked) -> Written:
    """The same, made by another process. Raises NothingThere; NotMade when that process came to nothing."""
    process = await own_process.begin("app.results.apart")
    assert process.stdin is not None and process.stdout is not None
    try:
        process.stdin.write(json.dumps(asdict(asked)).encode() + b"\n")
        said = json.loads(await process.stdout.readline() or b"{}")
        if "why" in said:
            raise NothingThere(said["why"])
        if "bytes" not in said:
            log.error("The process that makes the competition file ended with %s", await process.wait())
            raise NotMade
    except BaseException:
        await own_process.end(process)
        raise
    return Written(int(said["bytes"]), _handed_on(process, int(said["bytes"])))


async def _handed_on(process: Process, length: int) -> AsyncIterator[bytes]:
    """The file piece by piece; whoever asked and went away ends the process."""
    assert process.stdout is not None
    try:
        while piece := await process.stdout.read(PIECE):
            length -= len(piece)
            yield piece
        if length:  # a shorter answer than was said is no file: the browser says that it failed
            raise NotMade
    finally:
        await own_process.end(process)


def main() -> None:
    """Makes one file."""
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    asked = Asked(**json.loads(sys.stdin.buffer.readline()))
    try:
        with reading(asked.url) as session:
            made = file_in(session, Ledger(id=asked.id, secret=asked.secret), asked.made_wall_ms)
    except NothingThere as why:
        sys.stdout.buffer.write(json.dumps({"why": str(why)}).encode() + b"\n")
        return
    sys.stdout.buffer.write(json.dumps({"bytes": len(made)}).encode() + b"\n")
    sys.stdout.buffer.write(made)


if __name__ == "__main__":
    main()
