"""A copy of the results for any web space: what one page shows, and the files beside it. Names in full, or as initials."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.hall.club_colours import club_colours
from app.hall.hall import Hall
from app.results.apart import NO_COMPETITION, NothingThere
from app.results.competition_file import write_file
from app.results.explaining import ResultsPage, ResultTable, overall_table, plain_table, team_result_tables
from app.results.overall_csv import overall_csv
from app.results.podium import NAMES_ALONE, Looks, Podium, podiums
from app.results.recount import recount_of, recount_plain, said_plain
from app.results.results_csv import results_csv
from app.results.results_state import moment_text, stated, stated_overall
from app.results.teams_csv import teams_csv
from app.results.whole_file import whole_file
from app.rules.records.document import CompetitionFile
from app.rules.records.initials import with_initials
from app.rules.records.roster import Roster
from app.rules.result.public_file import public_of
from app.rules.result.results import results
from app.rules.result.sealing import digest_text
from app.rules.result.signed_words import Stated
from app.store.pictures import are_published, picture


@dataclass(frozen=True, slots=True)
class PublicCopy:
    """What the page of the copy shows, and its files by name; the competition file is there only where names are in full."""

    competition: str
    where: str
    made: str
    state: str
    podiums: tuple[Podium, ...]
    tables: tuple[ResultTable, ...]
    digest: str
    files: dict[str, bytes]


def public_copy(hall: Hall, now: int, *, initials: bool) -> PublicCopy:
    """The copy as of `now` (wall clock, ms). Raises NothingThere before there is a competition."""
    roster = hall.projection.roster
    if roster is None:
        raise NothingThere(NO_COMPETITION)
    file = whole_file(hall, roster, now)
    whole = public_of(file)
    shown = with_initials(file) if initials else file
    said = _said(hall, roster, named=not initials)
    tables = _tables(shown, said)
    where = " · ".join(text for text in (roster.competition.place, roster.competition.day) if text)
    page = ResultsPage(roster.competition.name, where, tables)
    digest = digest_text(whole.seal.digest) if whole.seal and not initials else ""
    shown_beside, pictures = _beside(hall, roster, page, named=not initials)
    return PublicCopy(
        page.competition,
        where,
        moment_text(hall, now),
        said.overall.text,
        podiums(page, shown_beside),
        tables,
        digest,
        _files(shown, None if initials else whole, said) | pictures,
    )


def _beside(hall: Hall, roster: Roster, page: ResultsPage, *, named: bool) -> tuple[Looks, dict[str, bytes]]:
    """What stands beside the names on the podium, and the files of it: pictures only where the competition says that they are
    published, and of those on the podium alone. With initials there is nothing that would tell who it is."""
    if not named:
        return NAMES_ALONE, {}
    kept = hall.database.read(lambda session: _pictures(session, roster))
    looks = Looks(club_colours(roster), {entry: path for entry, (path, _) in kept.items()})
    shown = {line.picture for one in podiums(page, looks) for line in one.lines}
    return looks, {path: content for path, content in kept.values() if path in shown}


def _pictures(session: Session, roster: Roster) -> dict[str, tuple[str, bytes]]:
    """By entry, where its picture stands in the copy, and its bytes."""
    if not are_published(session):
        return {}
    found = ((entry.id, picture(session, entry.id)) for entry in roster.entries)
    return {key: (f"pictures/{one[0]}.{one[1]}", one[2]) for key, one in found if one is not None}


@dataclass(frozen=True, slots=True)
class _Said:
    """How final the overall standing is, and each event by its id."""

    overall: Stated
    events: Mapping[str, Stated]


def _said(hall: Hall, roster: Roster, *, named: bool) -> _Said:
    """What was left out names entries, so a copy with initials says only how much it was."""
    overall, events = stated_overall(hall), {event.id: stated(hall, event) for event in roster.events}
    if named:
        return _Said(overall, events)
    return _Said(replace(overall, left_out=()), {key: replace(one, left_out=()) for key, one in events.items()})


def _tables(shown: CompetitionFile, said: _Said) -> tuple[ResultTable, ...]:
    found = results(shown)
    overall = recount_of(shown, found).overall
    tables = [overall_table(table, (), said.overall, links=False) for table in overall if table.columns]
    tables += team_result_tables(shown, overall, said.overall)
    for event in found:
        tables += [plain_table(event, table, {}, said.events[event.event.id]) for table in event.tables if table.rows]
    return tuple(tables)


def _files(shown: CompetitionFile, whole: CompetitionFile | None, said: _Said) -> dict[str, bytes]:
    found = results(shown)
    counted = recount_of(shown, found)
    plain = recount_plain(counted) | said_plain(said.events, said.overall)
    files = {
        "results.csv": results_csv(shown, found, said.events),
        "results.json": (json.dumps(plain, ensure_ascii=False, indent=2) + "\n").encode(),
    }
    for event in found:
        files[f"event-{event.event.id}.csv"] = results_csv(shown, [event], said.events)
    if counted.overall:
        files["overall.csv"] = overall_csv(shown, counted.overall, said.overall)
    if counted.teams:
        files["teams.csv"] = teams_csv(counted.teams, said.overall)
    if whole is not None:
        files["competition.json"] = write_file(whole)
    return files
