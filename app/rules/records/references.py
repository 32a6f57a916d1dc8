"""What the records of a competition name: each must be there, and what belongs to one event names nothing of another."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from app.rules.records.document import CompetitionFile, Run
from app.rules.records.in_force import standing
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.numbers import Doubles, find_doubles
from app.rules.records.resting import named_events, named_lanes
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.values.units import shown

LINKS = ("mark", "declared", "begun")  # fields of a mark's body that name another mark


@dataclass(slots=True)
class Known:
    """What may be named, by id. lanes: with the event of each; numbers: the runs of each assignment; sheets: of each mark.

    prints: of the marks that share a number or an id, with the lane of each.
    """

    entries: set[str]
    events: set[str]
    heats: set[str]
    protests: set[str]
    lanes: dict[str, str]
    rulings: set[str]
    numbers: dict[str, set[int]]
    sheets: dict[str, str]
    awaited: set[str] = field(default_factory=set)
    prints: dict[str, str] = field(default_factory=dict)


def known_of(
    roster: Roster, runs: Iterable[Run], rulings: Iterable[Ruling], marks: Iterable[Mark], awaited: Iterable[str] = ()
) -> Known:
    """What a competition's records may name."""
    marks, rulings = list(marks), list(rulings)
    sheets = {mark.id: mark.sheet for mark in marks}
    doubles = find_doubles(marks) if any(ruling.kind == "number" for ruling in rulings) else ()
    return Known(
        entries={one.id for one in roster.entries},
        events={one.id for one in roster.events},
        heats={one.id for one in roster.heats},
        protests={one.id for one in roster.protests},
        lanes={lane.id: heat.event for heat in roster.heats for lane in heat.lanes},
        rulings={one.id for one in rulings},
        numbers=_numbers(roster, runs, sheets.values()),
        sheets=sheets,
        awaited=set(awaited),
        prints=prints_of(doubles),
    )


def prints_of(doubles: Iterable[Doubles]) -> dict[str, str]:
    """The prints of marks that share a number or an id, with the lane assignment of each."""
    return {key: sheet_key(mark.sheet).assignment for one in doubles for key, mark in one.marks.items()}


def _numbers(roster: Roster, runs: Iterable[Run], sheets: Iterable[str]) -> dict[str, set[int]]:
    """The runs of each lane assignment: those of its heat, the one after them (a lane may start by hand), those with marks."""
    of_heat: dict[str, set[int]] = {}
    for run in runs:
        of_heat.setdefault(run.heat, set()).add(run.number)
    found = {}
    for heat in roster.heats:
        there = of_heat.get(heat.id, set())
        for lane in heat.lanes:
            found[lane.id] = there | {max(there, default=0) + 1}
    for sheet in set(sheets):
        key = sheet_key(sheet)
        found.setdefault(key.assignment, set()).add(key.run)
    return found


def ruling_fault(ruling: Ruling, known: Known) -> str:
    """What a ruling names that is not there, or is of another event, as a sentence; or nothing."""
    return next(_ruling_faults(ruling, known), "")


def _ruling_faults(ruling: Ruling, known: Known) -> Iterator[str]:
    body = ruling.body
    for what, reference, there in (
        ("assignment", ruling.assignment, known.lanes.keys()),
        ("entry", ruling.entry, known.entries),
        ("event", ruling.event, known.events),
        ("lane assignment", body.get("again"), known.lanes.keys()),
        ("ruling", body.get("ruling") if ruling.kind == "undo" else None, known.rulings),
        ("protest", body.get("protest") if ruling.kind == "protest" else None, known.protests),
    ):
        if reference is not None and reference not in there:
            yield f"there is no {what} “{reference}”."
    yield from _sheet_faults(ruling, known)
    yield from _mark_faults(ruling, known)
    for heat in body["runs"] if isinstance(body.get("runs"), dict) else ():
        if heat not in known.heats:
            yield f"there is no heat “{shown(heat)}”."
    if len(named_events(ruling, known.lanes)) > 1:
        yield "it names what belongs to two events, and a ruling is on one."


def _sheet_faults(ruling: Ruling, known: Known) -> Iterator[str]:
    for lane in named_lanes(ruling):
        if lane not in known.lanes:
            yield f"there is no lane assignment “{lane}”."
    its, run = ruling.assignment or "", ruling.body.get("run")
    if "sheet" in ruling.body:
        key = sheet_key(ruling.body["sheet"])
        its, run = key.assignment, key.run
    if run is not None and its in known.lanes and run not in known.numbers[its]:
        yield f"lane assignment “{its}” has no run {run}."


def _mark_faults(ruling: Ruling, known: Known) -> Iterator[str]:
    lanes = named_events(ruling, known.lanes)
    if ruling.kind == "number" and known.prints.get(ruling.body["print"]) != ruling.assignment:
        yield "it names none of the marks of its lane that share a number with another."
    for key in marks_of_ruling(ruling):
        if key not in known.sheets and key not in known.awaited:
            yield f"there is no mark “{key}”."
        elif lanes and ruling.kind in ("lift", "reps") and _event_of(key, known) not in {"", *lanes}:
            yield f"mark “{key}” is of another event."


def _event_of(mark: str, known: Known) -> str:
    """The event that a mark was made in; empty for one that has not come."""
    return known.lanes.get(known.sheets.get(mark, "").partition("/")[0], "")


def marks_of_ruling(ruling: Ruling) -> list[str]:
    """The marks that a ruling names."""
    one, several = ruling.body.get("mark"), ruling.body.get("marks")
    return ([one] if isinstance(one, str) else []) + [*(several if isinstance(several, list | tuple) else ())]


def mark_fault(mark: Mark, known: Known) -> str:
    """What a mark names that is not there, as a sentence; or nothing."""
    lane = mark.sheet.partition("/")[0]
    if lane not in known.lanes:
        return f"it is on a sheet of the lane assignment “{lane}”, which there is not."
    for name in LINKS:
        if (key := mark.body.get(name)) is not None and key not in known.sheets and key not in known.awaited:
            return f"it names the mark “{key}”, which is neither there nor said to be awaited."
    return ""


def awaited_marks(marks: Sequence[Mark], rulings: Iterable[Ruling]) -> tuple[str, ...]:
    """The marks that others name and that are not there: of a tablet that has not sent them yet, or again after a restore."""
    there = {mark.id for mark in marks}
    named = {mark.body[name] for mark in marks for name in LINKS if name in mark.body}
    named |= {key for ruling in rulings for key in marks_of_ruling(ruling)}
    return tuple(sorted(named - there))


def reference_faults(file: CompetitionFile) -> Iterator[tuple[str, str]]:
    """What the file's runs, rulings and marks name that is not there: the place of the record, and a sentence.

    A file of version 1 could not say which marks were awaited, so there a mark may name one that is not there; its public file
    left protests out and kept their rulings; and a lane that only a ruling named that was taken back could be removed.
    """
    known = known_of(file, file.runs, file.rulings, file.marks, file.awaited)
    passed_over: set[str] = set()
    if file.version == 1:
        known.awaited |= set(awaited_marks(file.marks, file.rulings))
        known.protests |= {str(ruling.body["protest"]) for ruling in file.rulings if ruling.kind == "protest"}
        passed_over = {ruling.id for ruling in file.rulings} - {ruling.id for ruling in standing(file.rulings)}
    for number, ruling in enumerate(file.rulings):
        if ruling.id not in passed_over and (fault := ruling_fault(ruling, known)):
            yield f"/rulings/{number}", f"ruling “{ruling.id}” ({ruling.kind}): {fault}"
    for number, mark in enumerate(file.marks):
        if fault := mark_fault(mark, known):
            yield f"/marks/{number}", f"mark “{mark.id}” ({mark.kind}): {fault}"
