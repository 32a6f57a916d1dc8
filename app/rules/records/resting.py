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
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Event, Heat
from app.rules.records.rulings import Ruling

# What is said of an athlete that a result may ask for, and how it is where nobody asks.
UNASKED: Mapping[str, object] = {"bodyweight": None, "age": None, "sex": "", "said_like": ""}
NOTHING_ASKED: frozenset[str] = frozenset()
# Records of the day that change no number: what became of a flag, a call, a protest, when a result was announced, and who may go
# on after a medical stop.
TELLS_ONLY = frozenset({"flag", "call", "protest", "announce", "medical"})


def deciding(file: CompetitionFile) -> CompetitionFile:
    """The file with what its results rest on, and nothing else. Of a file that was cut down so already, the same again."""
    asked = _asked_of_athletes(file)
    return CompetitionFile.model_construct(
        competition=_named(file.competition),
        divisions=tuple(Division(id=one.id, name=one.name) for one in file.divisions),
        clubs=tuple(Club(id=one.id, name=one.name) for one in file.clubs),
        athletes=tuple(_athlete(one, asked.get(one.id, NOTHING_ASKED)) for one in file.athletes),
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
    asked = asked_of_body(event, whole.overall)
    athletes = tuple(_athlete(one, asked) for one in whole.athletes if one.id in members)
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


def _athlete(athlete: Athlete, asked: frozenset[str]) -> Athlete:
    unsaid = {name: empty for name, empty in UNASKED.items() if name not in asked and getattr(athlete, name) != empty}
    return athlete.model_copy(update=unsaid) if unsaid else athlete


def _heat(heat: Heat) -> Heat:
    return heat.model_copy(update={"planned": "", "lanes": tuple(_lane(lane) for lane in heat.lanes)})


def _lane(lane: Assignment) -> Assignment:
    return lane.model_copy(update={"judge": "", "judge_id": None})


def _asked_of_athletes(file: CompetitionFile) -> dict[str, frozenset[str]]:
    """By athlete, what may decide in an event that they stand in."""
    asking = {event.id: asked for event in file.events if (asked := asked_of_body(event, file.overall))}
    members = {entry.id: entry.members for entry in file.entries}
    found: dict[str, frozenset[str]] = {}
    for heat in file.heats:
        for lane in heat.lanes if heat.event in asking else ():
            for member in members.get(lane.entry, ()):
                found[member] = found.get(member, NOTHING_ASKED) | asking[heat.event]
    return found


def asked_of_body(event: Event, overall: OverallRule | None) -> frozenset[str]:
    """What of its athletes an event's result rests on: the bodyweight where it may part equal scores; bodyweight, sex and age
    where overall points are made of them, for a sign-off of the event stands for its points too."""
    ties = any(step.kind == "bodyweight" for rule in event.format.scores for step in rule.ties)
    asked = {"bodyweight"} if ties else set()
    if overall is not None and overall.body_formula(event.id) is not None:
        asked |= {"bodyweight", "sex"} | ({"age"} if overall.ages is not None else set())
    return frozenset(asked)
