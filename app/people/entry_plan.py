"""What importing a list would do: which entries are new, changed, left alone, or not in the list; nothing is stored here.

An entry is known again by its id in the list if it has one, else by its division and name. An athlete is known again as a member
of the entry with that name, else as the one athlete of that name and club. A club that is missing is no other club: of a
name that stands with one club and without any there is one athlete, and the preview says so; of one that stands with several
clubs whoever has none is another athlete: in whichever order the rows come.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from app.hall.changing import new_id
from app.hall.forms import Problem
from app.people.entry_openers import opener_listed
from app.people.entry_rows import Listed, ListedMember, Reader
from app.rules.records.markings import BodyMeasure
from app.rules.records.roster import Athlete, Club, Division, Entry, Roster
from app.rules.values.lengths import Length, both_lengths
from app.rules.values.units import both_units
from app.rules.workout.openers import Opener, OpenerKey


@dataclass(frozen=True, slots=True)
class Known:
    """What is known beside the roster: by entry the id or number under which it was imported before, by athlete the height, and
    what columns of earlier lists were said to mean."""

    keys: Mapping[str, str] = field(default_factory=dict)
    heights: Mapping[str, Length] = field(default_factory=dict)
    columns: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Change:
    """One entry as it would be. `kind`: added, changed, same. `words`: what changes, for the person who looks."""

    kind: str
    rows: tuple[int, ...]
    division: str
    name: str
    members: tuple[str, ...]
    words: tuple[str, ...] = ()


@dataclass(slots=True)
class Plan:
    """All that an import would do, and the records it would store. `bad`: the rows with a problem. `one_person`: by athlete,
    that rows with and without a club are taken for one."""

    changes: list[Change] = field(default_factory=list)
    missing: list[Entry] = field(default_factory=list)
    divisions: list[Division] = field(default_factory=list)
    clubs: list[Club] = field(default_factory=list)
    entries: dict[str, Entry] = field(default_factory=dict)
    athletes: dict[str, Athlete] = field(default_factory=dict)
    leaving: list[Athlete] = field(default_factory=list)
    heights: dict[str, Length] = field(default_factory=dict)
    measures: dict[str, BodyMeasure] = field(default_factory=dict)
    openers: dict[OpenerKey, Opener] = field(default_factory=dict)
    bad: set[int] = field(default_factory=set)
    keys: dict[str, str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    one_person: dict[str, str] = field(default_factory=dict)

    def of_kind(self, kind: str) -> list[Change]:
        """The changes of a kind."""
        return [change for change in self.changes if change.kind == kind]

    @property
    def empty(self) -> bool:
        """Whether importing would change nothing."""
        told = self.heights or self.measures or self.openers
        return not (self.entries or self.athletes or self.keys or self.divisions or told)


class Planner:
    """Compares a list with what is stored, entry by entry."""

    def __init__(self, roster: Roster, known: Known, make_divisions: bool, reader: Reader) -> None:
        keys = known.keys
        self.roster, self.stored_keys, self.make_divisions, self.reader = roster, keys, make_divisions, reader
        self.heights, self.reaches = known.heights, {one.athlete: one for one in roster.measures}
        self.events = {event.id: event for event in roster.events}
        self.openers = {opener.key: opener for opener in roster.openers}
        self.plan = Plan()
        self.divisions = {one.name.casefold(): one for one in roster.divisions}
        self.clubs = {one.name.casefold(): one for one in roster.clubs}
        self.stored = {one.id: one for one in roster.athletes}
        self.athletes = dict(self.stored)
        self.named: dict[str, list[str]] = {}
        for one in roster.athletes:
            self.named.setdefault(one.name.casefold(), []).append(one.id)
        self.division_names = {one.id: one.name for one in roster.divisions}
        self.club_names = {one.id: one.name for one in roster.clubs}
        self.by_key = {key: entry for entry, key in keys.items()}
        self.by_name = {(one.division, one.name.casefold()): one for one in roster.entries}
        self.by_id = {one.id: one for one in roster.entries}
        self.met: dict[str, Listed] = {}
        self.clubs_of: dict[str, set[str]] = {}
        for one in roster.athletes:
            if one.club is not None:
                self.clubs_of.setdefault(one.name.casefold(), set()).add(self.club_names[one.club].casefold())
        for listed in reader.listed:
            for member in listed.members:
                if member.club:
                    self.clubs_of.setdefault(member.name.casefold(), set()).add(member.club.casefold())

    def run(self) -> Plan:
        """The plan for a list without problems."""
        for one in self.reader.listed:
            division = self._division(one)
            if division is not None:
                self._entry(one, division)
        self.plan.missing = [entry for entry in self.roster.entries if entry.id not in self.met]
        self._check_names()
        after = {**self.by_id, **self.plan.entries}
        still = {member for entry in after.values() for member in entry.members}
        before = {member for entry in self.roster.entries for member in entry.members}
        self.plan.leaving = [one for one in self.roster.athletes if one.id in before - still]
        return self.plan

    def _division(self, one: Listed) -> Division | None:
        known = self.divisions.get(one.division.casefold())
        if known is None and self.make_divisions:
            known = Division(id=new_id(), name=one.division)
            self.divisions[one.division.casefold()] = known
            self.division_names[known.id] = known.name
            self.plan.divisions.append(known)
        if known is None:
            names = ", ".join(division.name for division in self.roster.divisions) or "none yet"
            self._wrong(one, f"There is no division {one.division}. The divisions are: {names}.")
        return known

    def _wrong(self, one: Listed, sentence: str) -> None:
        self.plan.problems.append(Problem("text", f"Row {one.rows[0]}: {sentence}"))
        self.plan.bad.add(one.rows[0])

    def _known(self, one: Listed, division: Division) -> Entry | None:
        """The stored entry that a listed one is. One that was imported under another id is another one."""
        by_key = self.by_id.get(self.by_key.get(one.known_by, "")) if one.known_by else None
        if by_key is not None:
            return by_key
        names = dict.fromkeys((one.name, one.plain_name, one.numbered))
        found = (self.by_name.get((division.id, name.casefold())) for name in names)
        by_name = next((entry for entry in found if entry is not None), None)
        other = self.stored_keys.get(by_name.id, "") if by_name is not None else ""
        return by_name if not (one.known_by and other) else None

    def _entry(self, one: Listed, division: Division) -> None:
        before = self._known(one, division)
        if before is not None and before.id in self.met:
            self._wrong(one, f"It is the same entry as row {self.met[before.id].rows[0]}, by id or name.")
            return
        members = tuple(self._member(member, before, one) for member in one.members)
        team = one.team if one.team is not None else before.team if before else ""
        key = before.id if before else new_id()
        entry = Entry(id=key, division=division.id, name=one.name, members=members, team=team)
        self.met[entry.id] = one
        if one.known_by and self.stored_keys.get(entry.id) != one.known_by:
            self.plan.keys[entry.id] = one.known_by
        if entry != before:
            self.plan.entries[entry.id] = entry
        names = tuple(self.athletes[member].name for member in members)
        told = [words for member, listed in zip(members, one.members, strict=True) for words in self._facts(member, listed)]
        told += self._openers(entry, one)
        words = (*self._words(before, entry), *told) if before else ()
        kind = "added" if before is None else "changed" if words else "same"
        self.plan.changes.append(Change(kind, one.rows, division.name, one.name, names, words))

    def _member(self, listed: ListedMember, entry: Entry | None, one: Listed) -> str:
        """The athlete that a listed member is, with what the list says of them; made if nobody is."""
        club = self._club(listed.club)
        known = self._same_person(listed, club, entry)
        if known is None:
            made = Athlete(
                id=new_id(),
                name=listed.name,
                club=club,
                bodyweight=listed.weight,
                age=listed.age,
                sex=listed.sex or "",
                said_like=listed.said or "",
            )
            self.athletes[made.id] = self.plan.athletes[made.id] = made
            self.named.setdefault(listed.name.casefold(), []).append(made.id)
            return made.id
        said = {"name": listed.name}
        more = {"club": club} if listed.club else {}
        weighed = {"bodyweight": listed.weight} if listed.weight is not None else {}
        aged = {"age": listed.age} if listed.age is not None else {}
        sexed = {"sex": listed.sex} if listed.sex is not None else {}
        spoken = {"said_like": listed.said} if listed.said is not None else {}
        after = known.model_copy(update={**said, **more, **weighed, **aged, **sexed, **spoken})
        if after != known:
            earlier = self.plan.athletes.get(known.id)
            if earlier is not None and earlier != after and replace_club(earlier, after.club) != after:
                self._wrong(
                    one,
                    f"{listed.name} is in another row with a different club, spelling, age, sex, bodyweight or way to say it.",
                )
            self.athletes[known.id] = self.plan.athletes[known.id] = after
        return known.id

    def _same_person(self, listed: ListedMember, club: str | None, entry: Entry | None) -> Athlete | None:
        name = listed.name.casefold()
        own = [self.athletes[member] for member in entry.members] if entry else []
        for athlete in own:
            if athlete.name.casefold() == name:
                return athlete
        same = [self.athletes[key] for key in self.named.get(name, ())]
        with_club = [one for one in same if one.club == club]
        if listed.club is None and len(self.clubs_of.get(name, ())) > 1:
            return with_club[0] if with_club else None  # whose it is, nothing tells
        if listed.club is None or (not with_club and len(self.clubs_of[name]) == 1):
            found = same[0] if len(same) == 1 else None
            if found is not None and (found.club is None) != (listed.club is None):
                of = listed.club or self._club_name(found.club)
                words = f"{listed.name} is named with a club, {of}, and without one: taken for one athlete."
                self.plan.one_person[found.id] = words
            return found
        return with_club[0] if with_club else None

    def _club(self, name: str | None) -> str | None:
        if not name:
            return None
        known = self.clubs.get(name.casefold())
        if known is None:
            known = Club(id=new_id(), name=name)
            self.clubs[name.casefold()] = known
            self.club_names[known.id] = name
            self.plan.clubs.append(known)
        return known.id

    def _facts(self, athlete: str, listed: ListedMember) -> Iterator[str]:
        """A member's height and reach, where they are others than are stored, one sentence each."""
        name = listed.name
        if listed.height is not None and self.heights.get(athlete) != listed.height:
            self.plan.heights[athlete] = listed.height
            yield f"{name}, height {both_lengths(listed.height.mm, 'cm')}"
        measure = None if listed.reach is None else BodyMeasure(athlete=athlete, reach=listed.reach)
        if measure is not None and self.reaches.get(athlete) != measure:
            self.plan.measures[athlete] = measure
            yield f"{name}, wrists at {both_lengths(measure.reach.mm, 'cm')}"

    def _openers(self, entry: Entry, one: Listed) -> Iterator[str]:
        """The openers that the list says, where they are others than are stored, one sentence each."""
        for number, member in enumerate(one.members, 1):
            row = one.rows[number - 1] if len(one.rows) == len(one.members) else one.rows[0]
            for listed in member.openers:
                cell = self.reader.cell(row, listed.place, listed.text)
                event = self.events[listed.lift.partition("/")[0]]
                opener = opener_listed(event, entry, number, listed, cell, self.openers)
                if opener is not None and self.openers.get(opener.key) != opener:
                    self.plan.openers[opener.key] = opener
                    yield f"{member.name} opens with {both_units(opener.load)} in {event.name}"

    def _words(self, before: Entry, after: Entry) -> Iterator[str]:
        """What changes of an entry, one sentence each."""
        if before.name != after.name:
            yield f"Name: {before.name} becomes {after.name}."
        if before.division != after.division:
            yield f"Division: {self.division_names[before.division]} becomes {self.division_names[after.division]}."
        if before.team != after.team:
            yield f"Team for points: {after.team or 'none'}."
        gone = [self.stored[member].name for member in before.members if member not in after.members]
        come = [self.athletes[member].name for member in after.members if member not in before.members]
        if gone:
            yield f"Leaves: {', '.join(gone)}."
        if come:
            yield f"Joins: {', '.join(come)}."
        if not gone and not come and before.members != after.members:
            yield f"Order: {', '.join(self.athletes[member].name for member in after.members)}."
        for member in after.members:
            if member in before.members:
                yield from self._athlete_words(self.stored[member], self.athletes[member])

    def _athlete_words(self, before: Athlete, after: Athlete) -> Iterator[str]:
        if before.name != after.name:
            yield f"{before.name} is now spelt {after.name}."
        if before.club != after.club:
            yield f"{after.name}: club {self._club_name(before.club)} becomes {self._club_name(after.club)}."
        if before.age != after.age:
            yield f"{after.name}: age {after.age}."
        if before.sex != after.sex:
            yield f"{after.name}: among the {after.sex}."
        if before.said_like != after.said_like:
            yield f"{after.name}: said like {after.said_like}."
        if before.bodyweight != after.bodyweight and after.bodyweight is not None:
            was = before.bodyweight.text() if before.bodyweight else "none"
            yield f"{after.name}: bodyweight {was} becomes {after.bodyweight.text()}."

    def _club_name(self, club: str | None) -> str:
        return self.club_names.get(club or "", "none")

    def _check_names(self) -> None:
        """No two entries of a division with one name, counting those that the list does not name."""
        names: dict[tuple[str, str], Entry] = {}
        for entry in {**self.by_id, **self.plan.entries}.values():
            other = names.setdefault((entry.division, entry.name.casefold()), entry)
            if other is not entry:
                one = self.met.get(entry.id) or self.met.get(other.id)
                if one is not None:
                    self._wrong(
                        one, f"There is already another entry called {entry.name} in {self.division_names[entry.division]}."
                    )


def replace_club(athlete: Athlete, club: str | None) -> Athlete:
    """An athlete whose club was not said yet, with this one; another as they are."""
    return athlete.model_copy(update={"club": club}) if athlete.club is None else athlete


def plan_of(roster: Roster, known: Known, reader: Reader, make_divisions: bool) -> Plan:
    """What importing a list would do to a roster; its problems are those of the rows, then those of the comparison."""
    plan = Planner(roster, known, make_divisions, reader).run()
    plan.problems, plan.bad = [*reader.problems, *plan.problems], reader.bad | plan.bad
    return plan
