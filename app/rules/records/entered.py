"""Who does which event: the divisions that it is for, the entries that fit it, and who stands there and should not.

An event that names its divisions is for those. One that names none is for every division whose entries usually have as many
members as the event asks for: so a pair that lacks a name is no single athlete. Where no division is so, it is for those in which
any entry has as many. Of its divisions those entries take part that have as many; what becomes of the others is asked before GO.
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from app.rules.records.roster import Division, Entry, Event, Roster


@dataclass(frozen=True, slots=True)
class Entered:
    """Who does an event. fit: the entries that take part, by division and in their order. unfit: those of its divisions that have
    more or fewer members, and those on its lanes. placed: the entries on its lanes, by id; strays: of these, whose division is
    none that the event names. out: the entries that have withdrawn from it, by id."""

    event: Event
    divisions: tuple[Division, ...]
    fit: tuple[Entry, ...]
    unfit: tuple[Entry, ...]
    placed: frozenset[str]
    strays: tuple[Entry, ...]
    out: frozenset[str]

    @property
    def missing(self) -> tuple[Entry, ...]:
        """The entries that take part, stand in no heat yet, and have not withdrawn."""
        return tuple(entry for entry in self.fit if entry.id not in self.placed | self.out)

    def is_for(self, division: str) -> bool:
        """Whether entries of a division may be put on its lanes. While no entry fits it, any may."""
        return not self.divisions or division in {one.id for one in self.divisions}

    @property
    def taking_part(self) -> tuple[Entry, ...]:
        """Those that fit, and those that somebody has put on a lane though they have more or fewer members."""
        return (*self.fit, *(entry for entry in self.unfit if entry.id in self.placed))


def entered(roster: Roster, event: Event) -> Entered:
    """Who does an event, by the entries as they are now."""
    by_division: dict[str, list[Entry]] = {division.id: [] for division in roster.divisions}
    for entry in roster.entries:
        by_division[entry.division].append(entry)
    entries = [entry for group in by_division.values() for entry in group]
    fit = [entry for entry in entries if fits(event, entry)]
    its = set(event.divisions) or _divisions_of_size(event, by_division) or {entry.division for entry in fit}
    placed = frozenset(lane.entry for heat in roster.heats if heat.event == event.id for lane in heat.lanes)
    asked = [one for one in entries if not fits(event, one) and event.admits(one.division)]
    return Entered(
        event=event,
        divisions=named_divisions(roster, its),
        fit=tuple(entry for entry in fit if entry.division in its),
        unfit=tuple(entry for entry in asked if entry.division in its or entry.id in placed),
        placed=placed,
        strays=tuple(entry for entry in entries if entry.id in placed and not event.admits(entry.division)),
        out=frozenset(entry.id for entry in entries if roster.day is not None and roster.day.is_out(entry.id, event.id)),
    )


def fits(event: Event, entry: Entry) -> bool:
    """Whether an entry has as many members as an event asks for."""
    return len(entry.members) == event.format.members


def usual_size(entries: Sequence[Entry]) -> int:
    """How many members most of these entries have; of two that are as many the larger: a name is sooner lacking than too many."""
    sizes = Counter(len(entry.members) for entry in entries)
    return max(sizes, key=lambda size: (sizes[size], size), default=0)


def _divisions_of_size(event: Event, by_division: Mapping[str, Sequence[Entry]]) -> set[str]:
    return {division for division, entries in by_division.items() if usual_size(entries) == event.format.members}


def named_divisions(roster: Roster, ids: Collection[str]) -> tuple[Division, ...]:
    """Divisions by their ids, in their order."""
    return tuple(division for division in roster.divisions if division.id in ids)
