"""The competition as a whole: read from the tables as values of the rule book, or filled into empty ones."""

from typing import Any

from sqlmodel import Session, col, select

from app.rules.records.document import Run
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Competition, Roster
from app.rules.records.rulings import Ruling
from app.store.day import day, put_day
from app.store.entering import MEASURES, markings, put_markings
from app.store.entries import entries, put_entry
from app.store.gateway import Plain, needed, put
from app.store.heats import heats, put_heat
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS, EVENTS, JUDGES, LANE_PLATES, OPENERS, PLATE_SETS, PROTESTS, RULINGS, RUNS
from app.store.refusals import AlreadyThere, NotThere
from app.store.tables.main import CompetitionRow, EventRow


def read_competition(session: Session) -> Competition | None:
    """The competition; None before anybody has named one."""
    row = session.exec(select(CompetitionRow).order_by(col(CompetitionRow.id))).first()
    return None if row is None else Competition.model_validate(row.model_dump(exclude={"overall"}))


def put_competition(session: Session, competition: Competition) -> None:
    """Names the competition, or changes what is said of it. A store holds one: raises AlreadyThere for a second."""
    other = session.exec(select(CompetitionRow).where(CompetitionRow.id != competition.id)).first()
    if other is not None:
        raise AlreadyThere(f"This data folder already holds the competition {other.name}. Use another folder for a new one.")
    there = session.get(CompetitionRow, competition.id)
    put(session, CompetitionRow(**competition.model_dump(), overall=there.overall if there else None))


def put_overall(session: Session, rule: OverallRule | None) -> None:
    """Says how the overall standing is made, or that there is none. Raises NotThere for an unknown event, or too early."""
    row = session.exec(select(CompetitionRow)).first()
    if row is None:
        raise NotThere("There is no competition yet. Name it first.")
    if rule is not None and rule.named is not None:
        needed(session, EventRow, rule.named, "event")
    row.overall = None if rule is None else rule.model_dump(mode="json")
    session.flush()


def read_overall(session: Session) -> OverallRule | None:
    """How the overall standing is made; None when nothing was chosen."""
    row = session.exec(select(CompetitionRow).order_by(col(CompetitionRow.id))).first()
    return None if row is None or row.overall is None else OverallRule.model_validate(row.overall)


def read_roster(session: Session) -> Roster | None:
    """Everything but runs, rulings and marks; None before there is a competition.

    Divisions, entries and events come in their order, heats by event and number, lanes by number, clubs, athletes
    and judges by name. Openers of who is not there any more are left out.
    """
    named = read_competition(session)
    if named is None:
        return None
    plain = {kind.many: kind.all(session) for kind in (DIVISIONS, CLUBS, ATHLETES, JUDGES, PLATE_SETS, LANE_PLATES, PROTESTS)}
    events, its_entries = EVENTS.all(session), entries(session)
    members = {entry.id: len(entry.members) for entry in its_entries}
    return Roster(
        competition=named,
        **plain,
        entries=its_entries,
        events=events,
        heats=heats(session, {event.id: place for place, event in enumerate(events)}),
        overall=read_overall(session),
        markings=markings(session),
        measures=MEASURES.all(session),
        day=day(session),
        openers=tuple(one for one in OPENERS.all(session) if one.member <= members[one.entry]),
    )


def put_everything(session: Session, whole: Roster, its_runs: tuple[Run, ...] = (), its_rulings: tuple[Ruling, ...] = ()) -> None:
    """Fills an empty store with a competition file's records, all or nothing. Raises AlreadyThere when there is a competition."""
    there = read_competition(session)
    if there is not None:
        raise AlreadyThere(f"This data folder already holds {there.name}. Import into an empty folder.")
    put_competition(session, whole.competition)
    _put_each(session, whole, DIVISIONS, CLUBS, ATHLETES)
    for entry in whole.entries:
        put_entry(session, entry)
    _put_each(session, whole, JUDGES, PLATE_SETS, LANE_PLATES, EVENTS)
    put_overall(session, whole.overall)
    put_day(session, whole.day)
    for event_id, marked in whole.markings.items():
        put_markings(session, event_id, marked)
    _put_each(session, whole, MEASURES, PROTESTS, OPENERS)
    for heat in whole.heats:
        put_heat(session, heat)
    for run in its_runs:
        RUNS.put(session, run)
    for ruling in its_rulings:
        RULINGS.put(session, ruling)


def _put_each(session: Session, whole: Roster, *kinds: Plain[Any]) -> None:
    for kind in kinds:
        for value in getattr(whole, kind.many):
            kind.put(session, value)
