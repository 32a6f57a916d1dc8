"""The page on which the openers of a whole event are typed, all or none stored."""

from dataclasses import dataclass

from app.hall.changing import change_roster
from app.hall.forms import BadForm, Problem, Typed
from app.hall.hall import Hall
from app.hall.organising import found, needed_roster
from app.people.openers import AGAIN, Lifter, lifters_of, read_opener, store_openers, stored_opener
from app.rules.records.roster import Roster
from app.rules.values.units import Load, both_units
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.openers import Opener, OpenerKey


@dataclass(frozen=True, slots=True)
class OpenerCell:
    """One lift of a lifter in the table: the names of its two fields, and the stored opener in both units."""

    load: str
    then: str
    both: str


@dataclass(frozen=True, slots=True)
class OpenerRow:
    """One lifter's row."""

    entry: str
    name: str
    where: str
    cells: tuple[OpenerCell | None, ...]


@dataclass(frozen=True, slots=True)
class OpenersView:
    """The page: its lifts as columns, its lifters as rows by division, what was asked once already, how many are missing."""

    id: str
    name: str
    lifts: tuple[str, ...]
    groups: tuple[tuple[str, tuple[OpenerRow, ...]], ...]
    asked: tuple[tuple[str, str], ...]
    missing: int
    unit: str


def openers_typed(hall: Hall, key: str) -> dict[str, str]:
    """The form as stored. Raises NotThere."""
    roster = needed_roster(hall)
    typed = {}
    for lifter in lifters_of(roster, found(roster.events, key, "event")):
        opener = stored_opener(roster, lifter)
        if opener is not None:
            typed[f"load-{lifter.field}"] = _short(opener.load, lifter)
            typed[f"then-{lifter.field}"] = " ".join(_short(load, lifter) for load in opener.then)
    return typed


def _short(load: Load, lifter: Lifter) -> str:
    """A load as somebody would type it: the event's own unit needs no name."""
    text = load.text()
    return text.removesuffix(f" {lifter.format.unit}")


def openers_view(hall: Hall, key: str, typed: Typed, problems: tuple[Problem, ...] = ()) -> OpenersView:
    """The page beside the form's own texts. Raises NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    lifters = lifters_of(roster, event)
    tasks = tuple(dict.fromkeys(lifter.task for lifter in lifters))
    groups = []
    for division in roster.divisions:
        here = [lifter for lifter in lifters if lifter.entry.division == division.id]
        people = dict.fromkeys((lifter.entry.id, lifter.member) for lifter in here)
        rows = tuple(_row(roster, [one for one in here if (one.entry.id, one.member) == who], tasks) for who in people)
        groups += [(division.name, rows)] if rows else []
    return OpenersView(
        id=key,
        name=event.name,
        lifts=tuple(event.format.movements[_movement(event.format, task)].name for task in tasks),
        groups=tuple(groups),
        asked=tuple((f"asked-{one.field}", typed.get(one.field, "")) for one in problems if AGAIN in one.sentence),
        missing=sum(1 for lifter in lifters if stored_opener(roster, lifter) is None),
        unit=event.format.unit,
    )


def _movement(format: Format, task: str) -> str:
    found = format.tasks[task]
    return found.movement if isinstance(found, LiftTask) else ""


def _row(roster: Roster, mine: list[Lifter], tasks: tuple[str, ...]) -> OpenerRow:
    first = mine[0]
    name = next(one.name for one in roster.athletes if one.id == first.entry.members[first.member - 1])
    by_task = {lifter.task: _cell(roster, lifter) for lifter in mine}
    return OpenerRow(
        entry=first.entry.name,
        name="" if name == first.entry.name else name,
        where=_where(roster, first.event.id, first.entry.id),
        cells=tuple(by_task.get(task) for task in tasks),
    )


def _cell(roster: Roster, lifter: Lifter) -> OpenerCell:
    opener = stored_opener(roster, lifter)
    both = both_units(opener.load) if opener else ""
    return OpenerCell(f"load-{lifter.field}", f"then-{lifter.field}", both)


def _where(roster: Roster, event: str, entry: str) -> str:
    """`heat 2, lane 4`, or nothing for one who has no lane yet."""
    for heat in (one for one in roster.heats if one.event == event):
        for lane in heat.lanes:
            if lane.entry == entry:
                return f"heat {heat.number}, lane {lane.lane}"
    return ""


async def save_openers(hall: Hall, key: str, typed: Typed) -> int:
    """Stores the openers of a whole event, all or none; fields that the form does not have stay as they are.

    Returns how many that were there before are other ones now. Raises BadForm with every problem, NotThere. What looks like a
    slip is refused once; a field posted again with `asked-` and its own text is taken.
    """
    roster = needed_roster(hall)
    changed: dict[OpenerKey, Opener | None] = {}
    problems: list[Problem] = []
    others = 0
    for lifter in lifters_of(roster, found(roster.events, key, "event")):
        fields = (f"load-{lifter.field}", f"then-{lifter.field}")
        if fields[0] not in typed:
            continue
        sure = [field for field in fields if typed.get(f"asked-{field}") == typed.get(field, "") != ""]
        try:
            opener = read_opener(lifter, typed[fields[0]], typed.get(fields[1], ""), fields, sure)
        except BadForm as wrong:
            problems += wrong.problems
            continue
        before = stored_opener(roster, lifter)
        if opener != before:
            changed[lifter.key] = opener
            others += before is not None
    if problems:
        raise BadForm(problems)
    if changed:
        await change_roster(hall, lambda session: store_openers(session, changed))
    return others
