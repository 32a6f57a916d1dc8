"""Several halls, one standing: the competition files of one event run in many places, joined into one competition.

What is one thing in two files is found by name: divisions and events; an event must run and score the same way in all. A file
that comes twice counts once; of two versions of one file (they share marks) the later counts. An entry, or an athlete by name and
club, who stands in two files is found and settled by a person; until then the hall that was taken in first counts. Nobody is
doubled.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Assignment, Competition, Entry, Event, Heat
from app.rules.result.hall_records import HallFile, own_words

TWO_PEOPLE = "two"  # the answer that two of one name are two people

FindingKind = Literal["same-file", "older-version", "lost-marks", "other-format", "unsettled", "settled"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about the files that a person must know.

    `key` names a question that a person can settle, by one of `halls` or, where `may_be_two`, by TWO_PEOPLE.
    """

    kind: FindingKind
    text: str
    key: str = ""
    halls: tuple[str, ...] = ()
    may_be_two: bool = False


@dataclass(frozen=True, slots=True)
class Joined:
    """The competition of all halls together, what was found, and by entry id the hall that it came from."""

    file: CompetitionFile
    findings: tuple[Finding, ...]
    hall_of: Mapping[str, str]


@dataclass(slots=True)
class _Joining:
    """The competition as it grows by one hall after the other."""

    settled: Mapping[str, str]
    file: CompetitionFile
    findings: list[Finding] = field(default_factory=list)
    hall_of: dict[str, str] = field(default_factory=dict)


def join_halls(competition: Competition, files: Sequence[HallFile], settled: Mapping[str, str]) -> Joined:
    """All files as one competition, in the order in which they were taken in; `settled`: answers by the key of a question.

    How the events add up overall is taken from the first file that says it.
    """
    kept, findings = newest(files)
    joining = _Joining(settled, CompetitionFile(competition=competition), findings)
    for hall in kept:
        _take(joining, hall)
    return Joined(joining.file, tuple(joining.findings), joining.hall_of)


def same_name(name: str) -> str:
    """A name for comparing: capitals, blanks and full stops do not make two of one."""
    return " ".join(name.replace(".", " ").casefold().split())


def newest(files: Sequence[HallFile]) -> tuple[list[HallFile], list[Finding]]:
    """Each file once, and of versions of one file the latest; and what was left out."""
    kept: list[HallFile] = []
    findings: list[Finding] = []
    for hall in files:
        if same := next((other for other in kept if other.digest == hall.digest), None):
            findings.append(Finding("same-file", f"{hall.name} is the same file as {same.name}. It counts once."))
        elif earlier := next((other for other in kept if _versions(other.file, hall.file)), None):
            old, new = sorted((earlier, hall), key=lambda one: (bool(one.file.marks), one.file.made_wall_ms))
            kept[kept.index(earlier)] = new
            findings += _older(old, new)
        else:
            kept.append(hall)
    return kept, findings


def _older(old: HallFile, new: HallFile) -> list[Finding]:
    findings = [Finding("older-version", f"{old.name} is an earlier version of {new.name}. Only the later one counts.")]
    if lost := len(_mark_ids(old.file) - _mark_ids(new.file)):
        words = f"{old.name} holds {lost} marks that the later {new.name} does not. Ask that hall for a file with all of them."
        findings.append(Finding("lost-marks", words))
    return findings


def _versions(one: CompetitionFile, other: CompetitionFile) -> bool:
    """Whether two files are of one hall: they share a mark, or they are of one competition and one of them has no marks yet."""
    if one.competition.id == other.competition.id and not (one.marks and other.marks):
        return True
    return not _mark_ids(one).isdisjoint(_mark_ids(other))


def _mark_ids(file: CompetitionFile) -> set[str]:
    return {mark.id for mark in file.marks}


def _take(joining: _Joining, hall: HallFile) -> None:
    """Adds one hall: its divisions, clubs and events found among those that are there, then its entries, then what they did."""
    there, own = joining.file, own_words(hall)
    divisions = {same_name(one.name): one.id for one in there.divisions}
    clubs = {same_name(one.name): one.id for one in there.clubs}
    to = {one.id: divisions.setdefault(same_name(one.name), one.id) for one in own.divisions}
    to |= {one.id: clubs.setdefault(same_name(one.name), one.id) for one in own.clubs}
    events = _events(joining, hall.name, own, to)
    to |= {one.id: events[one.id].id for one in own.events if one.id in events}
    left_out = _entries(joining, hall.name, own, to)
    there = joining.file  # what was settled for this hall has been taken out of it
    heats = _heats(there, own, events, to, left_out)
    lanes = {lane.id for heat in heats for lane in heat.lanes}
    known = {*(one.id for one in there.divisions), *(one.id for one in there.clubs), *(one.id for one in there.events)}
    entries = [one for one in own.entries if to.get(one.id, one.id) == one.id and (one.id, "") not in left_out]
    athletes = {member for entry in entries for member in entry.members}
    joining.hall_of |= {entry.id: hall.name for entry in entries}
    overall = own.overall and own.overall.model_copy(update={"named": to.get(own.overall.named or "")})
    rulings = [
        one.model_copy(update={"entry": one.entry and to.get(one.entry, one.entry), "event": one.event and to.get(one.event)})
        for one in own.rulings
        if (one.assignment is None or one.assignment in lanes) and (one.event is None or one.event in events)
    ]
    stay = {entry.id for entry in entries} | {to[one.id] for one in own.entries if one.id in to}
    joining.file = CompetitionFile(
        competition=there.competition,
        divisions=(*there.divisions, *(one for one in own.divisions if to[one.id] == one.id and one.id not in known)),
        clubs=(*there.clubs, *(one for one in own.clubs if to[one.id] == one.id and one.id not in known)),
        athletes=(
            *there.athletes,
            *(one.model_copy(update={"club": one.club and to[one.club]}) for one in own.athletes if one.id in athletes),
        ),
        entries=(*there.entries, *(one.model_copy(update={"division": to[one.division]}) for one in entries)),
        events=(*there.events, *(one for one in events.values() if one.id not in known)),
        heats=(*there.heats, *heats),
        overall=there.overall or overall or None,
        runs=(*there.runs, *(run for run in own.runs if run.heat in {heat.id for heat in heats})),
        rulings=(*there.rulings, *(one for one in rulings if one.entry is None or one.entry in stay)),
        marks=(*there.marks, *(mark for mark in own.marks if mark.sheet.partition("/")[0] in lanes)),
    )


def _heats(
    there: CompetitionFile,
    own: CompetitionFile,
    events: Mapping[str, Event],
    to: Mapping[str, str],
    left_out: set[tuple[str, str]],
) -> list[Heat]:
    """This hall's heats, numbered on from those that are there, without the lanes that do not count."""
    numbers = {event.id: sum(heat.event == event.id for heat in there.heats) for event in events.values()}
    heats = []
    for heat in own.heats:
        if heat.event in events:
            event = to[heat.event]
            numbers[event] += 1
            lanes = tuple(_moved(lane, to) for lane in heat.lanes if (lane.entry, heat.event) not in left_out)
            heats.append(Heat(id=heat.id, event=event, number=numbers[event], lanes=lanes))
    return heats


def _moved(lane: Assignment, to: Mapping[str, str]) -> Assignment:
    return lane.model_copy(update={"entry": to.get(lane.entry, lane.entry), "judge_id": None})


def _events(joining: _Joining, hall: str, own: CompetitionFile, to: Mapping[str, str]) -> dict[str, Event]:
    """This hall's events as those of the whole: one that is there by name, or a new one. One that differs is left out."""
    there = {same_name(event.name): event for event in joining.file.events}
    events: dict[str, Event] = {}
    for event in own.events:
        moved = event.model_copy(update={"variants": {to[key]: value for key, value in event.variants.items()}})
        same = there.setdefault(same_name(event.name), moved)
        if same.format != moved.format or any(same.variants.get(key, value) != value for key, value in moved.variants.items()):
            words = f"{event.name} in {hall} does not run or score as in the halls before it, so it is left out."
            joining.findings.append(Finding("other-format", f"{words} {_unlike(same, moved)}"))
        else:
            events[event.id] = same
    return events


def _unlike(one: Event, other: Event) -> str:
    """Where two formats part, in a few words."""
    before, after = one.format.model_dump(mode="json"), other.format.model_dump(mode="json")
    parts = [name for name in before if before[name] != after.get(name)]
    return f"They differ in: {', '.join(parts)}." if parts else "Its divisions do other variants."


def _entries(joining: _Joining, hall: str, own: CompetitionFile, to: dict[str, str]) -> set[tuple[str, str]]:
    """Finds this hall's entries and athletes among those that are there, and says in `to` which is which.

    Returns what of this hall is left out: (entry, event) for what it did in one event, (entry, "") for all of it.
    """
    left_out: set[tuple[str, str]] = set()
    everyone = {_who(joining.file, entry, {}): entry for entry in joining.file.entries}
    people = _people(joining.file)
    for entry in own.entries:
        twin = everyone.get(_who(own, entry, to))
        if twin is not None:
            to[entry.id] = twin.id
            left_out |= _both_did(joining, hall, own, entry, twin, to)
            continue
        doubled = next((people[who] for member in entry.members if (who := _person(own, member)) in people), None)
        if doubled is not None and not _counts_here(joining, hall, entry, doubled):
            events = {heat.event for heat in own.heats}
            left_out |= {(entry.id, ""), *((entry.id, event) for event in events)}
    return left_out


def _both_did(
    joining: _Joining, hall: str, own: CompetitionFile, entry: Entry, twin: Entry, to: Mapping[str, str]
) -> set[tuple[str, str]]:
    """An entry that stands in two halls: in an event that it did in both, one counts; where it did it in one, that one does."""
    out: set[tuple[str, str]] = set()
    for event in own.events:
        if event.id not in to:
            continue
        here, there = _did(own, entry.id, event.id), _did(joining.file, twin.id, to[event.id])
        if here is None or there is None:
            continue
        other = joining.hall_of[twin.id]
        key = f"entry/{same_name(entry.name)}/{same_name(event.name)}"
        words = f"{entry.name} did {event.name} in {other} and in {hall}."
        mine = _settle(joining, Finding("unsettled", words, key, (other, hall))) if here and there else here
        if mine:
            _leave(joining, twin.id, to[event.id])
        else:
            out.add((entry.id, event.id))
    return out


def _counts_here(joining: _Joining, hall: str, entry: Entry, other: Entry) -> bool:
    """Whether an entry counts whose athlete stands in another entry of another hall."""
    there = joining.hall_of[other.id]
    words = f"Somebody of {entry.name} in {hall} has the name and club of somebody of {other.name} in {there}."
    finding = Finding("unsettled", words, f"person/{same_name(other.name)}/{same_name(entry.name)}", (there, hall), True)
    mine = _settle(joining, finding)
    if mine and joining.settled.get(finding.key) != TWO_PEOPLE:
        for event in joining.file.events:
            _leave(joining, other.id, event.id)
        kept = tuple(one for one in joining.file.entries if one.id != other.id)
        joining.file = joining.file.model_copy(update={"entries": kept})
    return mine


def _settle(joining: _Joining, found: Finding) -> bool:
    """Whether the later hall counts, by a person's answer; without one the earlier does, and the question stands."""
    answer = joining.settled.get(found.key, "")
    if answer == TWO_PEOPLE and found.may_be_two:
        words = f"{found.text} They are two people: both count."
    elif answer in found.halls:
        words = f"{found.text} {answer} counts."
    else:
        words = f"{found.text} Until somebody settles it, {found.halls[0]} counts."
        joining.findings.append(Finding("unsettled", words, found.key, found.halls, found.may_be_two))
        return False
    joining.findings.append(Finding("settled", words, found.key, found.halls, found.may_be_two))
    return answer != found.halls[0]


def _leave(joining: _Joining, entry: str, event: str) -> None:
    """Takes what an entry did in an event out of what was joined so far."""
    file = joining.file
    gone = {lane.id for heat in file.heats if heat.event == event for lane in heat.lanes if lane.entry == entry}
    heats = tuple(
        heat.model_copy(update={"lanes": tuple(lane for lane in heat.lanes if lane.id not in gone)}) for heat in file.heats
    )
    marks = tuple(mark for mark in file.marks if mark.sheet.partition("/")[0] not in gone)
    rulings = tuple(one for one in file.rulings if one.assignment not in gone and (one.entry, one.event) != (entry, event))
    joining.file = file.model_copy(update={"heats": heats, "marks": marks, "rulings": rulings})


def _did(file: CompetitionFile, entry: str, event: str) -> bool | None:
    """Whether an entry has marks in an event; None where it stands in no heat of it."""
    lanes = {lane.id for heat in file.heats if heat.event == event for lane in heat.lanes if lane.entry == entry}
    return any(mark.sheet.partition("/")[0] in lanes for mark in file.marks) if lanes else None


def _who(file: CompetitionFile, entry: Entry, to: Mapping[str, str]) -> tuple[object, ...]:
    """What makes an entry the same in two halls: its division, its name, its members."""
    names = {athlete.id: same_name(athlete.name) for athlete in file.athletes}
    division = to.get(entry.division, entry.division)
    return (division, same_name(entry.name), tuple(names[member] for member in entry.members))


def _people(file: CompetitionFile) -> dict[tuple[str, str], Entry]:
    return {_person(file, member): entry for entry in file.entries for member in entry.members}


def _person(file: CompetitionFile, athlete: str) -> tuple[str, str]:
    """Name and club, by which an athlete is known in two files."""
    person = next(one for one in file.athletes if one.id == athlete)
    clubs = {club.id: same_name(club.name) for club in file.clubs}
    return (same_name(person.name), clubs.get(person.club or "", ""))
