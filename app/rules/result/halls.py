"""Several halls, one standing: the competition files of one event run in many places, joined into one competition.

What is one thing in two files is found by name: divisions and events; an event must run and score the same way in all. A file
that comes twice counts once; of two versions of one hall's file the later counts (versions.py). An entry, or an athlete by name
and club, who stands in two files is found and settled by a person; until then the hall that was taken in first counts. Nobody is
doubled. Everything is found by what it is known by, so twice as many halls take twice as long.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from app.rules.records.document import CompetitionFile, Run
from app.rules.records.marks import Mark
from app.rules.records.overall_rule import OverallRule
from app.rules.records.references import awaited_marks
from app.rules.records.resting import deciding
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Entry, Event, Heat
from app.rules.records.rulings import Ruling
from app.rules.result.hall_records import HallFile, own_words
from app.rules.result.versions import Finding, newest
from app.rules.values.texts import same_name

TWO_PEOPLE = "two"  # the answer that two of one name are two people

Who = tuple[object, ...]
OwnWords = Callable[[HallFile], CompetitionFile]


@dataclass(frozen=True, slots=True)
class Joined:
    """The competition of all halls together, what was found, by entry id the hall that it came from, and by event id the halls
    that ran it, each with the event's id in its own file."""

    file: CompetitionFile
    findings: tuple[Finding, ...]
    hall_of: Mapping[str, str]
    ran: Mapping[str, Sequence[tuple[HallFile, str]]]


@dataclass(slots=True)
class _Joining:
    """The competition as it grows by one hall after the other; records by id, in order, and by what else they are found by.

    lanes: the lane assignments of an entry in an event, while they count. marks: by lane assignment. numbers: of heats, by event.
    asked: pairs of files of which it is asked whether they are one hall's; what they differ in is not asked as well.
    """

    settled: Mapping[str, str]
    findings: list[Finding] = field(default_factory=list)
    hall_of: dict[str, str] = field(default_factory=dict)
    divisions: dict[str, Division] = field(default_factory=dict)
    clubs: dict[str, Club] = field(default_factory=dict)
    events: dict[str, Event] = field(default_factory=dict)
    athletes: list[Athlete] = field(default_factory=list)
    entries: dict[str, Entry] = field(default_factory=dict)
    heats: list[Heat] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)
    rulings: dict[str, Ruling] = field(default_factory=dict)
    marks: dict[str, list[Mark]] = field(default_factory=lambda: defaultdict(list))
    overall: OverallRule | None = None
    everyone: dict[Who, Entry] = field(default_factory=dict)
    people: dict[tuple[str, str], Entry] = field(default_factory=dict)
    lanes: dict[tuple[str, str], set[str]] = field(default_factory=lambda: defaultdict(set))
    numbers: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    asked: set[frozenset[str]] = field(default_factory=set)
    gone: set[str] = field(default_factory=set)  # lane assignments that don't count

    def file(self, competition: Competition) -> CompetitionFile:
        """The competition as it stands, as a public file, without commitments to what stayed in the halls."""
        marks = tuple(mark for those in self.marks.values() for mark in those)
        whole = CompetitionFile(
            competition=competition,
            divisions=tuple(self.divisions.values()),
            clubs=tuple(self.clubs.values()),
            athletes=tuple(self.athletes),
            entries=tuple(self.entries.values()),
            events=tuple(self.events.values()),
            heats=tuple(_without(heat, self.gone) for heat in self.heats),
            overall=self.overall,
            runs=tuple(self.runs),
            rulings=tuple(self.rulings.values()),
            marks=marks,
            withheld={},
        )
        # Cut down again as a whole: a bodyweight that parted a tie of an event that was left out decides nothing any more.
        return deciding(whole).model_copy(update={"withheld": {}, "awaited": awaited_marks(marks, self.rulings.values())})


@dataclass(slots=True)
class _Hall:
    """One hall's file as it is taken in: its name, its records under ids of its own, and what each is in the whole (`to`).

    left_out: (entry, event) for what an entry did there that does not count, (entry, "") for all of it.
    """

    name: str
    own: CompetitionFile
    to: dict[str, str] = field(default_factory=dict)
    events: dict[str, Event] = field(default_factory=dict)
    left_out: set[tuple[str, str]] = field(default_factory=set)
    names: dict[str, str] = field(default_factory=dict)
    persons: dict[str, tuple[str, str]] = field(default_factory=dict)
    lanes: dict[tuple[str, str], set[str]] = field(default_factory=lambda: defaultdict(set))
    marked: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        clubs = {club.id: same_name(club.name) for club in self.own.clubs}
        self.names = {one.id: same_name(one.name) for one in self.own.athletes}
        self.persons = {one.id: (self.names[one.id], clubs.get(one.club or "", "")) for one in self.own.athletes}
        self.marked = {_lane_of(mark) for mark in self.own.marks}
        for heat in self.own.heats:
            for lane in heat.lanes:
                self.lanes[lane.entry, heat.event].add(lane.id)

    def who(self, entry: Entry) -> Who:
        """What makes an entry the same in two halls: its division, its name, its members."""
        division = self.to.get(entry.division, entry.division)
        return (division, same_name(entry.name), tuple(self.names[member] for member in entry.members))

    def did(self, entry: str, event: str) -> bool | None:
        """Whether an entry has marks in an event; None where it stands in no heat of it."""
        lanes = self.lanes.get((entry, event))
        return not lanes.isdisjoint(self.marked) if lanes else None


def join_halls(
    competition: Competition, files: Sequence[HallFile], settled: Mapping[str, str], told: OwnWords = own_words
) -> Joined:
    """All files as one competition, in the order in which they were taken in; `settled`: answers by the key of a question.
    Whoever keeps what `own_words` makes of a file may give another way to it.

    How the events add up overall is taken from the first file that says it.
    """
    kept, findings = newest(files, settled)
    joining = _Joining(settled, findings)
    joining.asked = {frozenset(found.halls) for found in findings if found.versions and found.kind == "unsettled"}
    ran: dict[str, list[tuple[HallFile, str]]] = defaultdict(list)
    for hall in kept:
        taken = _Hall(hall.name, told(hall))
        _take(joining, taken)
        for event, own in zip(hall.file.events, taken.own.events, strict=True):
            if own.id in taken.events:
                ran[taken.to[own.id]].append((hall, event.id))
    return Joined(joining.file(competition), tuple(joining.findings), joining.hall_of, ran)


def _take(joining: _Joining, hall: _Hall) -> None:
    """Adds one hall: its divisions, clubs and events found among those that are there, then its entries, then what they did."""
    _found_by_name(hall, joining.divisions, hall.own.divisions)
    _found_by_name(hall, joining.clubs, hall.own.clubs)
    _events(joining, hall)
    _entries(joining, hall)
    lanes = _heats(joining, hall)
    _add_entries(joining, hall)
    _rulings(joining, hall, lanes)
    if joining.overall is None and hall.own.overall is not None:
        joining.overall = hall.own.overall.moved(hall.to.get)


def _found_by_name(hall: _Hall, there: dict[str, Division] | dict[str, Club], own: Sequence[Division] | Sequence[Club]) -> None:
    """Says which of the records that are there each of this hall's is, by its name, and adds those that are new."""
    known = {same_name(one.name): one.id for one in there.values()}
    for one in own:
        hall.to[one.id] = known.setdefault(same_name(one.name), one.id)
        if hall.to[one.id] == one.id:
            there[one.id] = one  # type: ignore[assignment]


def _events(joining: _Joining, hall: _Hall) -> None:
    """This hall's events as those of the whole: one that is there by name, or a new one. One that differs is left out."""
    there = {same_name(event.name): event for event in joining.events.values()}
    for event in hall.own.events:
        variants = {hall.to[key]: value for key, value in event.variants.items()}
        moved = event.model_copy(update={"variants": variants, "divisions": tuple(hall.to[key] for key in event.divisions)})
        same = there.setdefault(same_name(event.name), moved)
        if same.format != moved.format or any(same.variants.get(key, value) != value for key, value in moved.variants.items()):
            words = f"{event.name} in {hall.name} does not run or score as in the earlier halls, so it is left out."
            joining.findings.append(Finding("other-format", f"{words} {_unlike(same, moved)}"))
        else:
            there[same_name(event.name)] = joining.events[same.id] = hall.events[event.id] = _for_both(same, moved)
            hall.to[event.id] = same.id


def _for_both(one: Event, other: Event) -> Event:
    """An event for the divisions of both halls; where one of them names none, for all."""
    if not one.divisions or not other.divisions:
        return one.model_copy(update={"divisions": ()})
    return one.model_copy(update={"divisions": tuple(dict.fromkeys((*one.divisions, *other.divisions)))})


def _unlike(one: Event, other: Event) -> str:
    """Where two formats part, in a few words."""
    before, after = one.format.model_dump(mode="json"), other.format.model_dump(mode="json")
    parts = [name for name in before if before[name] != after.get(name)]
    return f"They differ in: {', '.join(parts)}." if parts else "Its divisions do other variants."


def _entries(joining: _Joining, hall: _Hall) -> None:
    """Finds this hall's entries and athletes among those that are there, and says which is which and what is left out."""
    for entry in hall.own.entries:
        twin = joining.everyone.get(hall.who(entry))
        if twin is not None:
            hall.to[entry.id] = twin.id
            _both_did(joining, hall, entry, twin)
            continue
        known = (joining.people.get(hall.persons[member]) for member in entry.members)
        doubled = next((one for one in known if one is not None), None)
        if doubled is not None and not _counts_here(joining, hall, entry, doubled):
            hall.left_out |= {(entry.id, ""), *((entry.id, event.id) for event in hall.own.events)}


def _both_did(joining: _Joining, hall: _Hall, entry: Entry, twin: Entry) -> None:
    """An entry that stands in two halls: in an event that it did in both, one counts; where it did it in one, that one does."""
    for event in hall.own.events:
        if event.id not in hall.events:
            continue
        here, there = hall.did(entry.id, event.id), _did(joining, twin.id, hall.to[event.id])
        if here is None or there is None:
            continue
        other = joining.hall_of[twin.id]
        key = f"entry/{same_name(entry.name)}/{same_name(event.name)}"
        words = f"{entry.name} did {event.name} in {other} and in {hall.name}."
        mine = _settle(joining, Finding("unsettled", words, key, (other, hall.name))) if here and there else here
        if mine:
            _leave(joining, twin.id, hall.to[event.id])
        else:
            hall.left_out.add((entry.id, event.id))


def _counts_here(joining: _Joining, hall: _Hall, entry: Entry, other: Entry) -> bool:
    """Whether an entry counts whose athlete stands in another entry of another hall."""
    there = joining.hall_of[other.id]
    words = f"Somebody in {entry.name} in {hall.name} has the same name and club as somebody in {other.name} in {there}."
    finding = Finding("unsettled", words, f"person/{same_name(other.name)}/{same_name(entry.name)}", (there, hall.name), True)
    mine = _settle(joining, finding)
    if mine and joining.settled.get(finding.key) != TWO_PEOPLE:
        for event in joining.events:
            _leave(joining, other.id, event)
        joining.entries.pop(other.id, None)
        joining.everyone = {who: one for who, one in joining.everyone.items() if one is not other}
        joining.people = {who: one for who, one in joining.people.items() if one is not other}
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
        if frozenset(found.halls) not in joining.asked:
            joining.findings.append(Finding("unsettled", words, found.key, found.halls, found.may_be_two))
        return False
    joining.findings.append(Finding("settled", words, found.key, found.halls, found.may_be_two))
    return answer != found.halls[0]


def _leave(joining: _Joining, entry: str, event: str) -> None:
    """Takes what an entry did in an event out of what was joined so far."""
    lanes = joining.lanes.pop((entry, event), set())
    joining.gone |= lanes
    for lane in lanes:
        joining.marks.pop(lane, None)
    about = [one.id for one in joining.rulings.values() if one.assignment in lanes or (one.entry, one.event) == (entry, event)]
    for key in about:
        del joining.rulings[key]


def _did(joining: _Joining, entry: str, event: str) -> bool | None:
    """Whether an entry has marks in an event among what was joined; None where it stands in no heat of it."""
    lanes = joining.lanes.get((entry, event))
    return any(lane in joining.marks for lane in lanes) if lanes else None


def _heats(joining: _Joining, hall: _Hall) -> set[str]:
    """Adds this hall's heats, numbered on from those that are there, their runs and marks, without the lanes that don't count.

    Returns the lane assignments that do.
    """
    lanes, heats = set[str](), set[str]()
    for heat in hall.own.heats:
        if heat.event not in hall.events:
            continue
        event = hall.to[heat.event]
        joining.numbers[event] += 1
        kept = tuple(_moved(lane, hall.to) for lane in heat.lanes if (lane.entry, heat.event) not in hall.left_out)
        joining.heats.append(Heat(id=heat.id, event=event, number=joining.numbers[event], lanes=kept))
        heats.add(heat.id)
        for lane in kept:
            lanes.add(lane.id)
            joining.lanes[lane.entry, event].add(lane.id)
    joining.runs += [run for run in hall.own.runs if run.heat in heats]
    for mark in hall.own.marks:
        if (lane_id := _lane_of(mark)) in lanes:
            joining.marks[lane_id].append(mark)
    return lanes


def _moved(lane: Assignment, to: Mapping[str, str]) -> Assignment:
    return lane.model_copy(update={"entry": to.get(lane.entry, lane.entry), "judge_id": None})


def _without(heat: Heat, gone: set[str]) -> Heat:
    if gone.isdisjoint(lane.id for lane in heat.lanes):
        return heat
    return heat.model_copy(update={"lanes": tuple(lane for lane in heat.lanes if lane.id not in gone)})


def _add_entries(joining: _Joining, hall: _Hall) -> None:
    """Adds the entries that are new, with their athletes."""
    for entry in hall.own.entries:
        if hall.to.get(entry.id, entry.id) != entry.id or (entry.id, "") in hall.left_out:
            continue
        who = hall.who(entry)
        added = entry.model_copy(update={"division": hall.to[entry.division]})
        joining.entries[entry.id] = joining.everyone[who] = added
        joining.people |= {hall.persons[member]: added for member in entry.members}
        joining.hall_of[entry.id] = hall.name
    members = {member for entry in hall.own.entries if entry.id in joining.entries for member in entry.members}
    joining.athletes += [
        one.model_copy(update={"club": one.club and hall.to[one.club]}) for one in hall.own.athletes if one.id in members
    ]


def _rulings(joining: _Joining, hall: _Hall, lanes: set[str]) -> None:
    """Adds the rulings on what counts of this hall; `lanes`: of its lane assignments those that do."""
    for one in hall.own.rulings:
        entry = one.entry and hall.to.get(one.entry, one.entry)
        on_lane = one.assignment is None or one.assignment in lanes
        on_event = one.event is None or one.event in hall.events
        if on_lane and on_event and (entry is None or entry in joining.entries):
            event = one.event and hall.to.get(one.event)
            joining.rulings[one.id] = one.model_copy(update={"entry": entry, "event": event})


def _lane_of(mark: Mark) -> str:
    return mark.sheet.partition("/")[0]
