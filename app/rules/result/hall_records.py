"""One hall's competition file made ready to stand beside others: ids that no other hall has, and only what results rest on.

A sign-off holds for its own hall, so it is carried out here: what came after it stays behind, so do the marks of an entry that it
left out as not judged, and the heats that it was made of are closed. It need not be said again.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any

from app.rules.count.sheet_clock import SheetClocks
from app.rules.records.document import CompetitionFile
from app.rules.records.in_force import in_force, signed_off
from app.rules.records.marks import Mark
from app.rules.records.numbers import find_doubles
from app.rules.records.resting import deciding
from app.rules.records.roster import Assignment, Event
from app.rules.records.rulings import Ruling
from app.rules.result.results import ruled_in, waits_keys

SHORT = 16  # hex digits of an id that is made anew
NAMES_A_MARK = frozenset({"mark", "declared", "begun"})  # what in a mark's body is another mark's id
NO_EFFECT = frozenset({"sign_off", "undo", "flag", "call", "protest", "announce", "number"})


@dataclass(frozen=True, slots=True)
class HallFile:
    """One hall's competition file: its name for people, the digest of what it says (64 hex digits), what it holds."""

    name: str
    digest: str
    file: CompetitionFile


def own_words(hall: HallFile) -> CompetitionFile:
    """What the file's results rest on, with every id made anew from its own digest, signed results as they were signed, rulings
    told event by event. What is private stays behind: the whole is for everybody."""
    file = deciding(hall.file)
    left_out = _left_out(file)

    def new(key: str) -> str:
        return sha256(f"{hall.digest}/{key}".encode()).hexdigest()[:SHORT]

    def lane(one: Assignment) -> Assignment:
        return one.model_copy(update={"id": new(one.id), "entry": new(one.entry), "judge_id": None})

    heats = tuple(
        heat.model_copy(
            update={"id": new(heat.id), "event": new(heat.event), "planned": "", "lanes": tuple(lane(one) for one in heat.lanes)}
        )
        for heat in file.heats
    )
    return CompetitionFile(
        competition=file.competition,
        divisions=tuple(one.model_copy(update={"id": new(one.id)}) for one in file.divisions),
        clubs=tuple(one.model_copy(update={"id": new(one.id)}) for one in file.clubs),
        athletes=tuple(one.model_copy(update={"id": new(one.id), "club": one.club and new(one.club)}) for one in file.athletes),
        entries=tuple(
            one.model_copy(update={"id": new(one.id), "division": new(one.division), "members": tuple(map(new, one.members))})
            for one in file.entries
        ),
        events=tuple(
            one.model_copy(
                update={
                    "id": new(one.id),
                    "variants": {new(key): value for key, value in one.variants.items()},
                    "divisions": tuple(map(new, one.divisions)),
                }
            )
            for one in file.events
        ),
        heats=heats,
        overall=file.overall and file.overall.moved(new),
        runs=tuple(run.model_copy(update={"heat": new(run.heat)}) for run in _runs(file)),
        rulings=tuple(_renamed(one, new) for event in file.events for one in _rulings(file, event, left_out)),
        withheld={},
        marks=tuple(_marked(mark, new) for mark in _marks(file, left_out)),
    )


def _signed(file: CompetitionFile) -> dict[str, Ruling]:
    """The sign-offs that hold, by event."""
    found = {event.id: signed_off(file.rulings, event.id) for event in file.events}
    return {event: ruling for event, ruling in found.items() if ruling is not None}


def _runs(file: CompetitionFile) -> Iterator[Any]:
    """The runs that results rest on: of a signed event those that there were when it was signed, none of which goes on."""
    signed, event_of = _signed(file), {heat.id: heat.event for heat in file.heats}
    for run in file.runs:
        by = signed.get(event_of[run.heat])
        number = run.number if by is None else by.body["runs"].get(run.heat, 0)
        if run.number <= number:
            yield run if by is None or run.number < number else run.model_copy(update={"state": "closed"})


def _marks(file: CompetitionFile, left_out: Collection[str]) -> Iterator[Mark]:
    """The marks that results rest on: of one number one, of a signed event those that it was signed with; of whom that left out
    as not judged none but those that were another's work."""
    clocks = SheetClocks(file, file.runs, file.rulings, find_doubles(file.marks))
    lanes = {lane.id for heat in file.heats for lane in heat.lanes}
    moves = (one for event in file.events for one in in_force(file.rulings, event.id) if one.kind == "move")
    elsewhere = {_judged_on(str(one.body["sheet"])) for one in moves if one.assignment not in left_out}
    for mark in file.marks:
        lane = mark.sheet.partition("/")[0]
        if lane in lanes and (lane not in left_out or _judged_on(mark.sheet) in elsewhere) and clocks.counts(mark):
            yield mark


def _left_out(file: CompetitionFile) -> set[str]:
    """The lane assignments of entries that a sign-off left out as not judged, or as to be rerun."""
    keys = {event.id: ruled_in(file.rulings, event.id)[1] or frozenset() for event in file.events}
    return {lane.id for heat in file.heats for lane in heat.lanes if not keys[heat.event].isdisjoint(waits_keys(lane.entry))}


def _judged_on(sheet: str) -> str:
    """The lane assignment and run of a sheet, whoever's it is."""
    return sheet.rpartition("/")[0]


def _rulings(file: CompetitionFile, event: Event, left_out: Collection[str]) -> Iterator[Ruling]:
    """The rulings that hold for one event; one that held for all events is said for this one. Nobody's work is that of an entry
    that was left out, and what was ruled of one of its lanes gave it no status."""
    lanes = {lane.id for heat in file.heats if heat.event == event.id for lane in heat.lanes}
    for ruling in in_force(file.rulings, event.id):
        if ruling.kind in NO_EFFECT or (ruling.kind in ("move", "status") and ruling.assignment in left_out):
            continue
        if ruling.assignment is not None:
            if ruling.assignment in lanes:
                yield ruling
        elif ruling.event in (None, event.id):
            key = ruling.id if ruling.event else f"{ruling.id}/{event.id}"
            yield ruling.model_copy(update={"event": event.id, "id": sha256(key.encode()).hexdigest()[:SHORT]})


def _renamed(ruling: Ruling, new: Any) -> Ruling:
    body = dict(ruling.body)
    if "sheet" in body:
        body["sheet"] = _sheet(body["sheet"], new)
    if "again" in body:
        body["again"] = new(body["again"])
    if "mark" in body:
        body["mark"] = _mark_id(body["mark"], new)
    if "marks" in body:
        body["marks"] = [_mark_id(one, new) for one in body["marks"]]
    named: Mapping[str, str | None] = {
        field: new(key) if (key := getattr(ruling, field)) else None for field in ("assignment", "entry", "event")
    }
    return ruling.model_copy(update={**named, "body": body})


def _marked(mark: Mark, new: Any) -> Mark:
    """The mark under this hall's ids, its own and its tablet's too: two halls that began from one file may both hold it, and its
    number is used once in each."""
    body = {name: _mark_id(value, new) if name in NAMES_A_MARK else value for name, value in mark.body.items()}
    return replace(mark, id=_mark_id(mark.id, new), sheet=_sheet(mark.sheet, new), device=new(mark.device), body=body)


def _mark_id(key: str, new: Any) -> str:
    """32 hex digits made of two short ids."""
    return str(new(key) + new(f"{key}/mark"))


def _sheet(sheet: str, new: Any) -> str:
    assignment, rest = sheet.split("/", 1)
    return f"{new(assignment)}/{rest}"
