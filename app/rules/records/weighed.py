"""Who of a competition must be asked about a class: not weighed in, or entered where the limits do not let them in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.rules.records.classes import Limits, Person, WeighIn, open_in_class
from app.rules.records.roster import Athlete, Entry, Roster


@dataclass(frozen=True, slots=True)
class Asked:
    """What is open about an entry of a class: sentences, and the divisions whose limits let it in."""

    entry: Entry
    sentences: tuple[str, ...]
    fits: tuple[str, ...]


def asked_in_classes(roster: Roster, weighed: Mapping[str, WeighIn]) -> list[Asked]:
    """The entries of classes about which something is open, in their order. `weighed`: weigh-ins by athlete.

    A class of pairs or teams lets in an entry whose members all keep its limits.
    """
    limits = {one.id: one.limits for one in roster.divisions if one.limits is not None}
    people = {one.id: one for one in roster.athletes}
    found = []
    for entry in roster.entries:
        if entry.division in limits:
            members = [(people[member], weighed.get(member)) for member in entry.members]
            sentences = _open(limits[entry.division], members, roster.competition.day)
            if sentences:
                found.append(Asked(entry, sentences, _fits(entry, limits, members, roster.competition.day)))
    return found


Members = Sequence[tuple[Athlete, WeighIn | None]]


def _open(limits: Limits, members: Members, day: str) -> tuple[str, ...]:
    each = [(athlete, open_in_class(limits, _person(athlete, weighed), day)) for athlete, weighed in members]
    return tuple(f"{athlete.name}: {text}" if len(members) > 1 else text for athlete, texts in each for text in texts)


def _fits(entry: Entry, limits: Mapping[str, Limits], members: Members, day: str) -> tuple[str, ...]:
    """The other classes that let an entry in. Where a weigh-in is open that is asked first, whatever the list says."""
    return tuple(key for key, one in limits.items() if key != entry.division and not _open(one, members, day))


def _person(athlete: Athlete, weighed: WeighIn | None) -> Person:
    return Person(athlete.sex, athlete.age, athlete.bodyweight, weighed)
