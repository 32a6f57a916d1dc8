"""The results sheet of an event, to be printed and signed: its standings, and the digest by which its file can be known."""

from dataclasses import dataclass

from app.hall.hall import Hall
from app.results.explaining import NothingHere, ResultTable, plain_table
from app.results.results_state import stated
from app.results.whole_file import whole_file
from app.rules.result.sealing import digest_text, seal_of
from app.rules.workout.cautions import RHABDO


@dataclass(frozen=True, slots=True)
class ResultsSheet:
    """What is printed: which event of what, how final and what was left out, the standings, the digests of the event and of the
    whole file in groups, and what athletes must know."""

    competition: str
    where: str
    event: str
    state: str
    notes: tuple[str, ...]
    tables: tuple[ResultTable, ...]
    digest: str
    whole: str
    caution: str


def results_sheet(hall: Hall, event_id: str) -> ResultsSheet:
    """The sheet of one event as it stands. Raises NothingHere."""
    roster = hall.projection.roster
    event = next((event for event in roster.events if event.id == event_id), None) if roster else None
    if roster is None or event is None:
        raise NothingHere("There is no such event here. Start from all results.")
    seal = seal_of(whole_file(hall, roster, 0))
    found, said = hall.projection.event_results(event_id), stated(hall, event)
    return ResultsSheet(
        competition=roster.competition.name,
        where=" · ".join(text for text in (roster.competition.place, roster.competition.day) if text),
        event=event.name,
        state=said.text,
        notes=said.notes,
        tables=tuple(plain_table(found, table, {}) for table in found.tables if table.rows),
        digest=digest_text(seal.events[event.id]),
        whole=digest_text(seal.digest),
        caution=RHABDO,
    )
