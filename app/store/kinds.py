"""The plain records that there are: who competes, who judges, what they compete in and lift with, and what was decided."""

from collections.abc import Callable
from typing import Any

from sqlmodel import Session, col, select

from app.rules.records.document import Run
from app.rules.records.judges import Judge
from app.rules.records.roster import Athlete, Club, Division, Event, Protest
from app.rules.records.rulings import Ruling
from app.rules.values.words import say
from app.rules.workout.openers import Opener
from app.rules.workout.plates import LanePlates, PlateSet
from app.store.gateway import BY_NAME, PLACED, Plain, Stays, count, needed
from app.store.refusals import NotThere
from app.store.tables.calling import OpenerRow
from app.store.tables.main import (
    AssignmentRow,
    AthleteRow,
    ClubRow,
    CompetitionRow,
    DivisionRow,
    EntryRow,
    EventRow,
    HeatRow,
    JudgeRow,
    MemberRow,
    RulingRow,
    RunRow,
)
from app.store.tables.plates import LanePlatesRow, PlateSetRow
from app.store.tables.protests import ProtestRow

EVENT, ENTRY, CLUB = (EventRow, "event"), (EntryRow, "entry"), (ClubRow, "club")


def used(table: Any, column: str, sentence: Callable[[str, int], str]) -> Stays:
    """A row stays while others name it in this column; `sentence` is made of its name and how many they are."""

    def stays(session: Session, row: Any) -> str:
        others = count(session, table, col(getattr(table, column)) == row.id)
        return sentence(row.name, others) if others else ""

    return stays


def _still(word: str) -> Callable[[str, int], str]:
    return lambda name, n: say(f"in_use.{word}", n=n, name=name)


def _does_a_variant(session: Session, row: DivisionRow) -> str:
    events = session.exec(select(EventRow).order_by(col(EventRow.position)))
    event = next((event for event in events if row.id in event.variants), None)
    return f"{row.name} does a variant of {event.name}. Set it to do that event as written first." if event else ""


def _is_named(session: Session, row: DivisionRow) -> str:
    events = session.exec(select(EventRow).order_by(col(EventRow.position)))
    event = next((event for event in events if row.id in event.divisions), None)
    return f"{event.name} is for {row.name}. Remove the division from that event first." if event else ""


DIVISIONS = Plain(
    what="division",
    many="divisions",
    value=Division,
    table=DivisionRow,
    listed_by=PLACED,
    stays=(
        used(
            EntryRow,
            "division_id",
            _still("division"),
        ),
        _does_a_variant,
        _is_named,
    ),
)

CLUBS = Plain(
    what="club",
    many="clubs",
    value=Club,
    table=ClubRow,
    listed_by=BY_NAME,
    stays=(
        used(
            AthleteRow,
            "club_id",
            _still("club_athletes"),
        ),
        used(
            JudgeRow,
            "club_id",
            _still("club_judges"),
        ),
    ),
)


def _is_a_member(session: Session, row: AthleteRow) -> str:
    entry = session.exec(select(EntryRow).join(MemberRow).where(MemberRow.athlete_id == row.id)).first()
    return f"{row.name} is a member of {entry.name}. Remove them from it first." if entry else ""


ATHLETES = Plain(
    what="athlete",
    many="athletes",
    value=Athlete,
    table=AthleteRow,
    listed_by=BY_NAME,
    columns={"club": "club_id"},
    names={"club": CLUB},
    stays=(_is_a_member,),
)


def _respell(session: Session, judge: Judge) -> None:
    """Lanes that chose this judge show the name as it is spelt now."""
    for lane in session.exec(select(AssignmentRow).where(AssignmentRow.judge_id == judge.id)):
        lane.judge = judge.name
    session.flush()


JUDGES = Plain(
    what="judge",
    many="judges",
    value=Judge,
    table=JudgeRow,
    listed_by=BY_NAME,
    columns={"club": "club_id"},
    names={"club": CLUB},
    follow=_respell,
    stays=(used(AssignmentRow, "judge_id", _still("judge")),),
)


def _lies_at_lanes(session: Session, row: PlateSetRow) -> str:
    lanes = [str(one.lane) for one in LANE_PLATES.all(session, LanePlatesRow.plate_set_id == row.id)]
    return say("plates.in_use", n=len(lanes), lanes=", ".join(lanes), name=row.name) if lanes else ""


PLATE_SETS = Plain(
    what="plate set",
    many="plate_sets",
    value=PlateSet,
    table=PlateSetRow,
    listed_by=PLACED,
    body="body",
    stays=(_lies_at_lanes,),
)

LANE_PLATES = Plain(
    what="lane's plates",
    many="lane_plates",
    value=LanePlates,
    table=LanePlatesRow,
    listed_by=("lane",),
    columns={"plates": "plate_set_id"},
    names={"plates": (PlateSetRow, "plate set")},
)


def _divisions_there(session: Session, event: Event) -> None:
    for division in event.divisions:
        needed(session, DivisionRow, division, "division")
    for division, variant in event.variants.items():
        name = needed(session, DivisionRow, division, "division").name
        if event.format.variant(variant) is None:
            raise NotThere(f"{name} would do a variant of {event.name} that the event does not have.")


def _breaks_ties(session: Session, row: EventRow) -> str:
    rules = [one.overall for one in session.exec(select(CompetitionRow))]
    named = any(rule is not None and rule.get("named") == row.id for rule in rules)
    return f"The overall standing breaks ties by {row.name}. Change that first." if named else ""


EVENTS = Plain(
    what="event",
    many="events",
    value=Event,
    table=EventRow,
    listed_by=PLACED,
    check=_divisions_there,
    stays=(
        used(HeatRow, "event_id", _still("event")),
        used(RulingRow, "event_id", lambda name, _: f"There is a ruling on {name}: the record stays."),
        used(ProtestRow, "event_id", lambda name, _: f"There is a protest about {name}: the record stays."),
        _breaks_ties,
    ),
)


def _member_there(session: Session, opener: Opener) -> None:
    if opener.member > count(session, MemberRow, col(MemberRow.entry_id) == opener.entry):
        name = needed(session, EntryRow, opener.entry, "entry").name
        raise NotThere(f"{name} has no member {opener.member} any more. Look at the entry again.")


OPENERS = Plain(
    what="opener",
    many="openers",
    value=Opener,
    table=OpenerRow,
    listed_by=("event_id", "task", "entry_id", "member"),
    columns={"event": "event_id", "entry": "entry_id"},
    names={"event": EVENT, "entry": ENTRY},
    loose=True,
    check=_member_there,
)

RUNS = Plain(
    what="run",
    value=Run,
    table=RunRow,
    listed_by=("heat_id", "number"),
    columns={"heat": "heat_id"},
    names={"heat": (HeatRow, "heat")},
)

RULINGS = Plain(
    what="ruling",
    value=Ruling,
    table=RulingRow,
    listed_by=("made_wall_ms", "id"),
    columns={"assignment": "assignment_id", "entry": "entry_id", "event": "event_id"},
    names={"assignment": (AssignmentRow, "lane assignment"), "entry": ENTRY, "event": EVENT},
    final="A ruling is a record and is not changed. Make another one.",
)

PROTESTS = Plain(
    what="protest",
    many="protests",
    value=Protest,
    table=ProtestRow,
    listed_by=("filed_wall_ms", "id"),
    columns={"entry": "entry_id", "event": "event_id"},
    names={"entry": ENTRY, "event": EVENT},
    final="A protest is a record and is not changed. File another one.",
)
