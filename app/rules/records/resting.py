"""What results rest on: the only way from a competition file to a recount, and what digests are taken over.

The recount of an event (result/results.py) is handed what `parts` cuts out for that event, and nothing else; the event's digest
(result/sealing.py) is taken over that very part. So nothing can change a result and keep its digest: what is not in the part
can't be read. There is no list of what matters that could be forgotten: a field that is not carried over here is absent from the
recount, and the first result that needs it is wrong in every test. A view that records what is read was decided against: what a
recount did not happen to look at this time it might look at next time.
"""

from collections.abc import Iterable, Mapping, Sequence

from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark, for_everybody
from app.rules.records.numbers import Doubles, find_doubles
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Event, Heat
from app.rules.records.rulings import Ruling

# Records of the day that change no number: what became of a flag, a call, a protest, and who may go on after a medical stop.
TELLS_ONLY = frozenset({"flag", "call", "protest", "medical"})


def deciding(file: CompetitionFile) -> CompetitionFile:
    """The file with what its results rest on, and nothing else. Of a file that was cut down so already, the same again."""
    weighed = _weighed(file)
    return CompetitionFile.model_construct(
        competition=_named(file.competition),
        divisions=file.divisions,
        clubs=tuple(Club(id=one.id, name=one.name) for one in file.clubs),
        athletes=tuple(_athlete(one, one.id in weighed) for one in file.athletes),
        entries=file.entries,
        events=file.events,
        heats=tuple(_heat(heat) for heat in file.heats),
        overall=file.overall,
        runs=tuple(run.model_copy(update={"why": ""}) for run in file.runs),
        rulings=_rulings(file.rulings),
        marks=tuple(for_everybody(mark) for mark in file.marks),
    )


def parts(file: CompetitionFile) -> dict[str, CompetitionFile]:
    """By event id, what that event's result rests on, as a competition of that event alone."""
    whole = deciding(file)
    event_of = {lane.id: heat.event for heat in whole.heats for lane in heat.lanes}
    marks: dict[str, list[Mark]] = {}
    for mark in whole.marks:
        marks.setdefault(event_of.get(mark.sheet.partition("/")[0], ""), []).append(mark)
    about = events_of_rulings(whole, whole.rulings)
    for one in find_doubles(whole.marks):
        touched = {event: marks[event] for mark in one.marks.values() if (event := event_of.get(mark.sheet.partition("/")[0]))}
        for its in touched.values():
            its += [mark for mark in one.marks.values() if all(mark is not there for there in its)]
        about |= _of_doubles(one, whole.rulings, frozenset(touched))
    return {event.id: _part(whole, event, marks.get(event.id, ()), about) for event in whole.events}


def _of_doubles(one: Doubles, rulings: Sequence[Ruling], events: frozenset[str]) -> dict[str, frozenset[str]]:
    """The rulings on which of these marks counts, and those that took one back: they bear on every event of the marks."""
    by_id = {ruling.id: ruling for ruling in rulings}
    found = {ruling.id: _taken_back(ruling, by_id) for ruling in rulings}
    return {key: events for key, about in found.items() if about and about.kind == "number" and about.body["print"] in one.marks}


def _part(whole: CompetitionFile, event: Event, marks: Iterable[Mark], about: Mapping[str, frozenset[str]]) -> CompetitionFile:
    heats = tuple(heat for heat in whole.heats if heat.event == event.id)
    standing = {lane.entry for heat in heats for lane in heat.lanes}
    entries = tuple(entry for entry in whole.entries if entry.id in standing)
    members = {member for entry in entries for member in entry.members}
    athletes = tuple(_athlete(one, asks_bodyweight(event)) for one in whole.athletes if one.id in members)
    divisions = {entry.division for entry in entries} | {*event.variants, *event.divisions}
    clubs, its_heats = {one.club for one in athletes}, {heat.id for heat in heats}
    return CompetitionFile.model_construct(
        competition=whole.competition,
        divisions=tuple(one for one in whole.divisions if one.id in divisions),
        clubs=tuple(one for one in whole.clubs if one.id in clubs),
        athletes=athletes,
        entries=entries,
        events=(event,),
        heats=heats,
        runs=tuple(run for run in whole.runs if run.heat in its_heats),
        rulings=tuple(ruling for ruling in whole.rulings if event.id in about[ruling.id]),
        marks=tuple(marks),
    )


def events_of_rulings(file: CompetitionFile, rulings: Sequence[Ruling]) -> dict[str, frozenset[str]]:
    """By ruling id, the events that it bears on: those of what it names; of an entry alone, all that it stands in.

    One that takes another back bears on what that one does.
    """
    lanes = {lane.id: heat.event for heat in file.heats for lane in heat.lanes}
    entered: dict[str, set[str]] = {}
    for heat in file.heats:
        for lane in heat.lanes:
            entered.setdefault(lane.entry, set()).add(heat.event)
    by_id = {ruling.id: ruling for ruling in rulings}
    found = {}
    for ruling in rulings:
        about = _taken_back(ruling, by_id)
        named = named_events(about, lanes) if about else set()
        found[ruling.id] = frozenset(named or (entered.get(about.entry or "", set()) if about else set()))
    return found


def named_events(ruling: Ruling, lanes: Mapping[str, str]) -> set[str]:
    """The events of all that a ruling names itself; `lanes`: the event of each lane assignment."""
    named = {ruling.event} if ruling.event else set()
    return named | {lanes[lane] for lane in named_lanes(ruling) if lane in lanes}


def named_lanes(ruling: Ruling) -> list[str]:
    """The lane assignments that a ruling names: its own, the one of a rerun, the one of a sheet."""
    sheet = str(ruling.body.get("sheet", "")).partition("/")[0]
    return [lane for lane in (ruling.assignment, ruling.body.get("again"), sheet) if lane]


def _taken_back(ruling: Ruling, by_id: Mapping[str, Ruling]) -> Ruling | None:
    """What a ruling is about in the end: itself, or what is taken back by the last of a row of undoings."""
    seen: set[str] = set()
    about: Ruling | None = ruling
    while about is not None and about.kind == "undo" and about.id not in seen:
        seen.add(about.id)
        about = by_id.get(str(about.body["ruling"]))
    return None if about is None or about.kind == "undo" else about


def _rulings(rulings: Sequence[Ruling]) -> tuple[Ruling, ...]:
    """The rulings that a number may rest on, with those that took one of them back."""
    by_id = {ruling.id: ruling for ruling in rulings}
    return tuple(one for one in rulings if (about := _taken_back(one, by_id)) is not None and about.kind not in TELLS_ONLY)


def _named(competition: Competition) -> Competition:
    kept = {name: getattr(competition, name) for name in ("id", "name", "place", "day", "unit", "demo")}
    return Competition.model_construct(**kept)


def _athlete(athlete: Athlete, weighed: bool) -> Athlete:
    kept = athlete.bodyweight if weighed else None
    same = athlete.age is None and not athlete.said_like and athlete.bodyweight == kept
    return athlete if same else athlete.model_copy(update={"age": None, "said_like": "", "bodyweight": kept})


def _heat(heat: Heat) -> Heat:
    return heat.model_copy(update={"planned": "", "lanes": tuple(_lane(lane) for lane in heat.lanes)})


def _lane(lane: Assignment) -> Assignment:
    return lane.model_copy(update={"judge": "", "judge_id": None})


def _weighed(file: CompetitionFile) -> set[str]:
    """The athletes whose bodyweight may decide: those who stand in an event that parts equal scores by it."""
    asking = {event.id for event in file.events if asks_bodyweight(event)}
    standing = {lane.entry for heat in file.heats if heat.event in asking for lane in heat.lanes}
    return {member for entry in file.entries if entry.id in standing for member in entry.members}


def asks_bodyweight(event: Event) -> bool:
    """Whether bodyweight may part equal scores in an event."""
    return any(step.kind == "bodyweight" for rule in event.format.scores for step in rule.ties)
