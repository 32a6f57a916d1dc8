"""The search of the desk and of the review: entries, lanes, people, heats, events and pages, by what their names begin with.

What is looked through is made once for each state of the roster; a search walks all of it. A start number is found where it
stands in an entry's name.
Whoever asks is shown what they may see: the head judge gets the pages of the review and those of everybody.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Self
from urllib.parse import quote

from app.hall.around import BESIDE, PUBLIC, REVIEW, REVIEW_BESIDE, REVIEW_PASSWORD, ROOMS
from app.hall.hall import Hall
from app.hall.heats import in_day_order, newest_runs, state_of
from app.people.found_by import found_by
from app.rules.records.judges import Judge
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.roster import Assignment, Athlete, Entry, Event, Heat, Roster
from app.rules.values.alphabet import folded

MOST_HITS = 6  # of each kind; who sees more than that types on
LEAST_INSIDE = 3  # letters that are also looked for inside a word


@dataclass(frozen=True, slots=True)
class Hit:
    """Something found: its name, a few words about it, where it is."""

    name: str
    words: str
    link: str


@dataclass(frozen=True, slots=True)
class Hits:
    """What was found of one kind."""

    kind: str
    hits: tuple[Hit, ...]


@dataclass(frozen=True, slots=True)
class _Sought:
    """Something that can be found: the text it is found by, and where it is for the desk and for the head judge."""

    text: str
    name: str
    words: str
    desk: str
    head: str
    lane: int = 0
    heat: str = ""


def search(hall: Hall, typed: str, seat: str) -> tuple[Hits, ...]:
    """What was found, kind by kind; `seat`: desk, or review for the head judge alone. Nothing for nothing typed."""
    words = folded(typed).split()
    if not words:
        return ()
    roster = hall.projection.roster
    kinds = _SOUGHT.of(roster) if roster is not None else {}
    found = {kind: _best(sought, words) for kind, sought in kinds.items()}
    if roster is not None:
        found["On lanes"] = _on_lanes(hall, roster, kinds["On lanes"], words)
    found["Pages"] = _best(PAGES, words)
    made = (Hits(kind, tuple(_hits(one, seat))) for kind, one in found.items())
    return tuple(one for one in made if one.hits)


def _hits(found: Iterable[_Sought], seat: str) -> Iterator[Hit]:
    """The best of what was found that whoever asks may see."""
    shown = 0
    for one in found:
        link = one.head if seat == "review" else one.desk
        if link and shown < MOST_HITS:
            shown += 1
            yield Hit(one.name, one.words, link)


def _rank(text: str, words: list[str]) -> int | None:
    """How well a text fits: 0 if it begins so, 1 if words of it do, 2 if they are in it; None if one is not."""
    inside = False
    for word in words:
        if f" {word}" in text:
            continue
        if len(word) < LEAST_INSIDE or word not in text:
            return None
        inside = True
    return 2 if inside else 0 if text.startswith(f" {words[0]}") else 1


def _best(sought: Iterable[_Sought], words: list[str]) -> list[_Sought]:
    ranked = [(rank, number, one) for number, one in enumerate(sought) if (rank := _rank(one.text, words)) is not None]
    return [one for _, _, one in sorted(ranked, key=lambda found: found[:2])]


def _on_lanes(hall: Hall, roster: Roster, sought: tuple[_Sought, ...], words: list[str]) -> list[_Sought]:
    """Who stands on a lane of that number in the heat at hand (`4`, `lane 4`); else where those stand who are called so."""
    lane = words[-1]
    if lane.isdigit() and words in ([lane], ["lane", lane]):
        heat = _at_hand(hall, roster)
        return [one for one in sought if one.heat == heat and str(one.lane) == lane]
    return _best(sought, words)


def _at_hand(hall: Hall, roster: Roster) -> str:
    """The heat on the floor, else the next one; empty without either."""
    runs = newest_runs(hall.projection.runs)
    states = [(heat.id, state_of(hall, roster, heat, runs.get(heat.id))) for heat in in_day_order(roster)]
    on_floor = (heat for heat, state in states if state in ON_THE_FLOOR)
    waiting = (heat for heat, state in states if state is not HeatState.OVER)
    return next(on_floor, next(waiting, ""))


class _Kept:
    """What is looked through, made once for each state of the roster."""

    def __init__(self) -> None:
        self._kept: tuple[Roster, Mapping[str, tuple[_Sought, ...]]] | None = None

    def of(self, roster: Roster) -> Mapping[str, tuple[_Sought, ...]]:
        """By kind, in the order in which kinds are shown."""
        kept = self._kept
        if kept is None or kept[0] is not roster:
            kept = self._kept = (roster, _sought(roster))
        return kept[1]


def _sought(roster: Roster) -> Mapping[str, tuple[_Sought, ...]]:
    names = _Names.of(roster)
    return {
        "Entries": tuple(names.entry(entry) for entry in roster.entries),
        "On lanes": tuple(one for entry in roster.entries for one in names.standing(entry)),
        "People": (*(one for entry in roster.entries for one in names.members(entry)), *map(_judge, roster.judges)),
        "Heats": tuple(names.heat(heat) for heat in in_day_order(roster)),
        "Events": tuple(map(_event, roster.events)),
    }


@dataclass(frozen=True, slots=True)
class _Names:
    """What is looked up for every entry."""

    divisions: Mapping[str, str]
    events: Mapping[str, str]
    athletes: Mapping[str, Athlete]
    clubs: Mapping[str, str]
    lanes: Mapping[str, list[tuple[Heat, Assignment]]]  # of each entry, as the day runs

    @classmethod
    def of(cls, roster: Roster) -> Self:
        lanes: dict[str, list[tuple[Heat, Assignment]]] = {}
        for heat in in_day_order(roster):
            for lane in heat.lanes:
                lanes.setdefault(lane.entry, []).append((heat, lane))
        divisions = {division.id: division.name for division in roster.divisions}
        events = {event.id: event.name for event in roster.events}
        athletes = {athlete.id: athlete for athlete in roster.athletes}
        return cls(divisions, events, athletes, {club.id: club.name for club in roster.clubs}, lanes)

    def entry(self, entry: Entry) -> _Sought:
        others = [one.name for one in self._of(entry) if one.name != entry.name]
        about = ", ".join([self.divisions[entry.division], *others])
        return _Sought(self._text(entry), entry.name, about, f"/desk/entries/{_in_path(entry.id)}", self._head(entry))

    def standing(self, entry: Entry) -> Iterator[_Sought]:
        text = self._text(entry)
        for heat, lane in self.lanes.get(entry.id, ()):
            about = ", ".join(part for part in (self._title(heat), heat.planned) if part)
            desk, head = f"/desk?heat={_in_path(heat.id)}#lane-{lane.lane}", f"/review/lanes/{_in_path(lane.id)}"
            name = f"Lane {lane.lane}, {entry.name}"
            yield _Sought(text, name, about, desk, head, lane.lane, heat.id)

    def members(self, entry: Entry) -> Iterator[_Sought]:
        for one in self._of(entry):
            if one.name != entry.name:
                desk = f"/desk/people#athlete-{_in_path(one.id)}"
                yield _Sought(found_by(one.name), one.name, f"In {entry.name}", desk, self._head(entry))

    def heat(self, heat: Heat) -> _Sought:
        name = f"Heat {heat.number}, {self.events[heat.event]}"
        return _Sought(found_by(name), name, heat.planned, f"/desk?heat={_in_path(heat.id)}", "/timetable")

    def _of(self, entry: Entry) -> list[Athlete]:
        return [self.athletes[member] for member in entry.members]

    def _text(self, entry: Entry) -> str:
        members = self._of(entry)
        clubs = {self.clubs.get(one.club or "", "") for one in members}
        return found_by(entry.name, *(one.name for one in members if one.name != entry.name), *sorted(clubs))

    def _title(self, heat: Heat) -> str:
        return f"{self.events[heat.event]}, heat {heat.number}"

    def _head(self, entry: Entry) -> str:
        """Where the head judge finds an entry: its first lane of the day, else its own page."""
        lanes = self.lanes.get(entry.id)
        return f"/review/lanes/{_in_path(lanes[0][1].id)}" if lanes else f"/follow/{_in_path(entry.id)}"


def _judge(judge: Judge) -> _Sought:
    return _Sought(found_by(judge.name), judge.name, "Judge", f"/desk/judges/{_in_path(judge.id)}", "/review/judges")


def _event(event: Event) -> _Sought:
    return _Sought(found_by(event.name), event.name, "", f"/desk/events/{_in_path(event.id)}", f"/results/{_in_path(event.id)}")


def _pages() -> tuple[_Sought, ...]:
    """The pages, each once; the desk may go to all, the head judge to the review's and everybody's."""
    desk = {place.link: place for place in (*(place for room in ROOMS for place in room.places), *BESIDE, REVIEW_PASSWORD)}
    head = {place.link: place for place in (*REVIEW, *REVIEW_BESIDE, *PUBLIC)} | {link: desk[link] for link in EVERYBODYS}
    return tuple(
        _Sought(found_by(place.name, place.words), place.name, "", link, link if link in head else "")
        for link, place in {**desk, **head}.items()
    )


EVERYBODYS = ("/announcer", "/board", "/clock")  # rooms of the desk's bar that are not the desk's alone


def _in_path(key: str) -> str:
    return quote(key, safe="")


PAGES = _pages()
_SOUGHT = _Kept()
