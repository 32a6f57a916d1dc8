"""Publishing: results for spreadsheets, the whole competition as a file that anybody can recount, and the way back in."""

import asyncio
from collections.abc import Sequence

from sqlmodel import Session

from app.hall.changing import change_roster
from app.hall.doing import done_to
from app.hall.hall import Hall
from app.results.apart import NO_COMPETITION, Asked, NothingThere, Written, file_in, made_apart
from app.results.competition_file import BadFile, make_file, read_file, write_file
from app.results.file_texts import check_texts
from app.results.overall_csv import overall_csv
from app.results.results_csv import results_csv
from app.results.results_state import stated, stated_overall
from app.results.teams_csv import teams_csv
from app.results.whole_file import its_ledger
from app.rules.records.document import CompetitionFile
from app.rules.result.sealing import seal_faults
from app.rules.result.start_file import start_of
from app.rules.result.teams import team_tables
from app.rules.values.words import say
from app.store.markrows import insert_new
from app.store.news import tell
from app.store.refusals import AlreadyThere, Refusal
from app.store.roster import put_everything, read_roster
from app.store.whose import take_over

SLICE = 1000  # marks acknowledged at a time
MANY = 5_000  # marks, of which a file takes some 3 MB while it is made; another process takes a second to begin


class NotEmpty(Refusal):
    """Raised when a file would be read into a server that already holds a competition; its text is the sentence to show."""


class NotAsSealed(BadFile):
    """Raised when a file is not what was sealed, with `faults`, what differs; its text is the sentence to show."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__(f"{NOT_AS_SEALED} {' '.join(faults)}")
        self.faults = tuple(faults)


NOT_AS_SEALED = "The file does not match its seal, so nothing was imported."
NO_OVERALL = "Nobody has chosen yet how the overall standing is made. Choose it at the desk, under Overall."
FOR_EVERYBODY = (
    "This is a public file: private details are left out, so a competition can't carry on from it. Recount it, or take it in "
    "under Other halls. Its own hall carries on from its whole file; another hall starts from a start file."
)
ALREADY_ONE = (
    "This server already holds a competition, and a file can only be imported into an empty server, so that nothing is mixed up. "
    "Start the server with another data folder and import the file there."
)


def csv_file(hall: Hall) -> bytes:
    """The results of every event as they stand, as CSV. Raises NothingThere."""
    roster = hall.projection.roster
    if roster is None:
        raise NothingThere(NO_COMPETITION)
    said = {event.id: stated(hall, event) for event in roster.events}
    return results_csv(roster, [hall.projection.event_results(event.id) for event in roster.events], said)


def overall_csv_file(hall: Hall) -> bytes:
    """The overall standing of every division as it stands, as CSV. Raises NothingThere."""
    roster = hall.projection.roster
    if roster is None:
        raise NothingThere(NO_COMPETITION)
    if roster.overall is None:
        raise NothingThere(NO_OVERALL)
    return overall_csv(roster, hall.projection.overall(), stated_overall(hall))


def teams_csv_file(hall: Hall) -> bytes:
    """The standings of teams as CSV."""
    roster = hall.projection.roster
    return teams_csv(team_tables(roster, hall.projection.overall()) if roster else (), stated_overall(hall))


def export_file(hall: Hall) -> bytes:
    """The competition file: everything that a result needs, as of one moment. Raises NothingThere."""
    if hall.projection.roster is None:
        raise NothingThere(NO_COMPETITION)
    ledger, now = its_ledger(hall.database), hall.time.wall_ms()
    return hall.database.read(lambda session: file_in(session, ledger, now))


async def exported(hall: Hall) -> bytes | Written:
    """The same for the desk. That of a long day is made by a process of its own, so that the server does not stay as large as
    the file made it. Raises NothingThere; NotMade."""
    if hall.projection.many < MANY:
        return await asyncio.to_thread(export_file, hall)
    ledger = await asyncio.to_thread(its_ledger, hall.database)
    return await made_apart(Asked(hall.database.url, ledger.id, ledger.secret, hall.time.wall_ms()))


def start_file(hall: Hall, *, entries: bool = True) -> bytes:
    """The file from which another hall begins. `entries`: with those entered and their heats. Raises NothingThere."""
    roster = hall.database.read(read_roster)
    if roster is None:
        raise NothingThere(NO_COMPETITION)
    return write_file(start_of(make_file(roster, (), (), (), hall.time.wall_ms()), entries=entries))


async def import_file(
    hall: Hall, data: bytes, another_hall: bool = False, even_if_changed: bool = False
) -> tuple[CompetitionFile, tuple[str, ...]]:
    """Reads a competition file into an empty server, all of it or nothing; what it says otherwise than its seal comes along.

    The server goes on as the ledger of the file. `another_hall`: another hall begins from it instead, with a ledger of its own.
    `even_if_changed`: also a file that is not what was sealed, when it is all that there is. Raises NotAsSealed without that,
    BadFile, NotEmpty.
    """
    _refuse_full(hall)
    # A large file takes seconds, and the lanes must not wait.
    file, faults = await asyncio.to_thread(read_whole, data, even_if_changed)
    await fill(hall, file, faults, another_hall)
    return file, faults


def _refuse_full(hall: Hall) -> None:
    if hall.projection.roster is not None or hall.ledger.count():
        raise NotEmpty(ALREADY_ONE)


async def fill(hall: Hall, file: CompetitionFile, faults: Sequence[str], another_hall: bool) -> None:
    """Fills an empty server with a file that was read. Raises NotEmpty."""
    _refuse_full(hall)
    done_to(import_words(file, faults))
    now = hall.time.wall_ms()
    try:
        await change_roster(hall, lambda session: _store(session, file, now, another_hall))
    except AlreadyThere as there:
        raise NotEmpty(str(there)) from None
    hall.projection.apply(file.marks)
    for start in range(0, len(file.marks), SLICE):
        # They are stored; told again, the ledger learns what it now holds of each tablet.
        await hall.ledger.append(file.marks[start : start + SLICE], now)


def import_words(file: CompetitionFile, faults: Sequence[str]) -> str:
    """What the activity log says of a file that was read in."""
    changed = f", {say('not_as_sealed', n=len(faults), first=faults[0])}" if faults else ""
    return f"{file.competition.name}{changed}"


def read_whole(data: bytes, even_if_changed: bool = False) -> tuple[CompetitionFile, tuple[str, ...]]:
    """A competition file to fill a server with, and what of it is not as it was sealed. Raises BadFile, NotAsSealed."""
    file = read_file(data)
    if file.withheld is not None:
        raise BadFile(FOR_EVERYBODY)
    check_texts(file)
    sealed_once = file.seal is not None or file.marks or file.runs or file.rulings
    faults = tuple(seal_faults(file)) if sealed_once else ()  # what nobody has judged yet may have been written by hand
    if faults and not even_if_changed:
        raise NotAsSealed(faults)
    return file, faults


def _store(session: Session, file: CompetitionFile, now_wall_ms: int, begins: bool) -> None:
    """Writes a whole file, marks and all, in one transaction."""
    take_over(session, None if begins else file.ledger)
    put_everything(session, file, file.runs, file.rulings)
    insert_new(session.connection(), [(mark, now_wall_ms) for mark in file.marks])
    tell(session, "everything")


__all__ = [
    "BadFile",
    "NotAsSealed",
    "NotEmpty",
    "NothingThere",
    "csv_file",
    "export_file",
    "exported",
    "import_file",
    "overall_csv_file",
    "start_file",
    "teams_csv_file",
]
