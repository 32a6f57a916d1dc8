"""What lists and forms of the desk show: lines in their order, choices, the way back from a deletion."""

from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.rules.values.alphabet import in_order


@dataclass(frozen=True, slots=True)
class Undo:
    """What was just done, and the form that undoes it."""

    sentence: str
    action: str
    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One item of a list to choose from."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a list that can be opened, moved and deleted. `words` says what there is to know of it; `lifts`: an event in
    which loads are declared; `lacks_sizes`: one with a wall line that nobody can measure by yet; `unfit`: one with entries that
    do not fit it."""

    id: str
    name: str
    words: str
    first: bool = False
    last: bool = False
    club: str = ""
    weight: str = ""
    colour: str = ""
    lifts: bool = False
    lacks_sizes: bool = False
    unfit: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Lines under a heading."""

    name: str
    lines: tuple[Line, ...]


def lines_in_order(items: list[tuple[str, str, str]]) -> tuple[Line, ...]:
    """Lines that know which is first and which is last."""
    return tuple(Line(*item, first=n == 0, last=n == len(items) - 1) for n, item in enumerate(items))


def division_choices(hall: Hall) -> tuple[Choice, ...]:
    """The divisions to choose from."""
    return tuple(Choice(division.id, division.name) for division in needed_roster(hall).divisions)


def club_names(hall: Hall) -> tuple[str, ...]:
    """The clubs' names, to be offered while typing."""
    return tuple(club.name for club in in_order(needed_roster(hall).clubs))


def event_choices(hall: Hall) -> tuple[Choice, ...]:
    """The events to choose from."""
    return tuple(Choice(event.id, event.name) for event in needed_roster(hall).events)
