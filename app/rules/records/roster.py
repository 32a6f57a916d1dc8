"""Who competes in what, where and when: everything of a competition but its runs, rulings and marks."""

from typing import Annotated, Any, Literal, Self, get_args

from pydantic import Field, model_validator

from app.rules.records.body_formulas import Sex
from app.rules.records.classes import MOST_AGE, Limits
from app.rules.records.day import DayRules
from app.rules.records.judges import Judge
from app.rules.records.markings import BodyMeasure, Markings
from app.rules.records.overall_rule import OverallRule
from app.rules.values.shapes import Base, ExactLoad, Id, Key, Name, Said, TimeOfDay
from app.rules.values.units import LoadUnit
from app.rules.workout.formats import Format
from app.rules.workout.openers import Opener
from app.rules.workout.plates import LanePlates, PlateSet
from app.rules.workout.safety import Safety

Day = Annotated[str, Field(pattern=r"^([0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01]))?$")]
Millis = Annotated[int, Field(ge=-(2**53) + 1, le=2**53 - 1)]
MOST_LANES = 60
MOST_SAID_LIKE = 120
MOST_PROTEST_MINUTES = 7 * 24 * 60
MOST_LATE_WHY = 300


class Competition(Base):
    """The competition; `unit` is the unit in which its loads are declared unless an event says otherwise.

    `protest_minutes`: how long protests about an event may be filed, `protest_from`: from when that runs. In athletics it is half
    an hour from the announcement of the result (Technical Rules 8.2, read); files of before it was asked ran from the last bell.
    `appeal_minutes`: how long an answer may be taken to a second instance; half an hour is theirs too, from the announcement
    of the amended result or from being told of no change (the rules of 2024 in a public summary, second-hand); here from the
    answer.
    """

    id: Id
    name: Name
    place: Said = Field(default="", max_length=200)
    day: Day = ""
    unit: LoadUnit = "kg"
    demo: bool = False
    safety: Safety = Safety()
    protest_minutes: int = Field(default=30, ge=0, le=MOST_PROTEST_MINUTES)
    protest_from: Literal["bell", "announcement"] = "bell"
    appeal_minutes: int = Field(default=30, ge=0, le=MOST_PROTEST_MINUTES)


class Division(Base):
    """A group of entries ranked together. Divisions stand in the order shown. `limits`: whom it is for, where it is a class."""

    id: Id
    name: Name
    limits: Limits | None = None


ClubColour = Literal["red", "orange", "yellow", "green", "teal", "blue", "violet", "grey"]
CLUB_COLOURS: tuple[ClubColour, ...] = get_args(ClubColour)


class Club(Base):
    """A club that athletes belong to. `colour` stands beside the names of its entries, where it has one; it decides nothing."""

    id: Id
    name: Name
    colour: ClubColour | Literal[""] = ""


class Athlete(Base):
    """A person who competes. `age`: in whole years, as the list of entries says it. `said_like`: how the name is said aloud.
    `sex`: in whose classes, and by whose formula, the athlete counts; empty where nobody said."""

    id: Id
    name: Name
    club: Id | None = None
    bodyweight: ExactLoad | None = None
    age: int | None = Field(default=None, ge=1, le=MOST_AGE)
    said_like: Said = Field(default="", max_length=MOST_SAID_LIKE)
    sex: Sex = ""


class Entry(Base):
    """What is ranked in a division; `members` are athlete ids in order, A first. `team`: whom its points count for too."""

    id: Id
    division: Id
    name: Name
    members: tuple[Id, ...] = ()
    team: Said = Field(default="", max_length=120)


class Event(Base):
    """One scored test. Events stand in the order run. `variants` names, by division, the variant of the format that it does.

    divisions: whom it is for; none named: every division of its size (records/entered.py).
    """

    id: Id
    name: Name
    format: Format
    variants: dict[Id, Key] = Field(default_factory=dict)
    divisions: tuple[Id, ...] = ()

    def admits(self, division: str) -> bool:
        """Whether entries of a division may be ranked in it: one that it names, or any where it names none."""
        return not self.divisions or division in self.divisions


class Assignment(Base):
    """One entry on one lane in one heat, with the lane judge's name if known, and the variant it chose against its division's.

    `judge_id` is the judge of the roster who was chosen; a name alone is somebody who is not on it.
    """

    id: Id
    lane: int = Field(ge=1, le=MOST_LANES)
    entry: Id
    judge: Said = Field(default="", max_length=120)
    judge_id: Id | None = None
    variant: Key | Literal[""] = ""


class Heat(Base):
    """A heat of an event and who stands on which lane; `planned` is HH:MM or empty."""

    id: Id
    event: Id
    number: int = Field(ge=1, le=9999)
    planned: TimeOfDay = ""
    lanes: tuple[Assignment, ...] = ()


class Protest(Base):
    """A request that a result be looked at again, as it was filed; what becomes of it is a ruling.

    `by` is whoever brought it to the desk, empty where it came by the entry's own link. `against`: the protest whose answer it
    takes to the second instance. `late_why`: why the desk took it although its time was over.
    """

    id: Id
    entry: Id
    event: Id
    text: Annotated[Said, Field(min_length=1, max_length=1000)]
    by: Said = Field(default="", max_length=120)
    via: Literal["desk", "link"]
    filed_wall_ms: Millis = 0
    against: Id | None = None
    late_why: Said = Field(default="", max_length=MOST_LATE_WHY)


class Roster(Base):
    """Everything but runs, rulings and marks, with every reference resolved or refused."""

    competition: Competition
    divisions: tuple[Division, ...] = ()
    clubs: tuple[Club, ...] = ()
    athletes: tuple[Athlete, ...] = ()
    entries: tuple[Entry, ...] = ()
    events: tuple[Event, ...] = ()
    heats: tuple[Heat, ...] = ()
    overall: OverallRule | None = None
    markings: dict[Id, Markings] = Field(default_factory=dict)
    measures: tuple[BodyMeasure, ...] = ()
    judges: tuple[Judge, ...] = ()
    plate_sets: tuple[PlateSet, ...] = ()
    lane_plates: tuple[LanePlates, ...] = ()
    openers: tuple[Opener, ...] = ()
    day: DayRules | None = None
    protests: tuple[Protest, ...] = ()

    @model_validator(mode="after")
    def _references(self) -> Self:
        divisions = ids_of("division", self.divisions)
        clubs = ids_of("club", self.clubs)
        athletes = ids_of("athlete", self.athletes)
        entries = ids_of("entry", self.entries)
        events = ids_of("event", self.events)
        for event in self.events:
            for division, key in event.variants.items():
                check_known("Event", event.name, "division", division, divisions)
                if event.format.variant(key) is None:
                    raise ValueError(f"Event {event.name} gives a division the variant {key}, which it does not have.")
            for division in event.divisions:
                check_known("Event", event.name, "division", division, divisions)
            if len(set(event.divisions)) != len(event.divisions):
                raise ValueError(f"Event {event.name} names a division twice.")
        for key in self.markings:
            check_known("Markings", "", "event", key, events)
        for measure in self.measures:
            check_known("A measure", "", "athlete", measure.athlete, athletes)
        if len({measure.athlete for measure in self.measures}) != len(self.measures):
            raise ValueError("An athlete is measured twice.")
        if self.overall is not None:
            check_known("The overall standing", "", "event", self.overall.named, events)
        judges = ids_of("judge", self.judges)
        for judge in self.judges:
            check_known("Judge", judge.name, "club", judge.club, clubs)
        check_lane_plates(self.plate_sets, self.lane_plates)
        self._check_protests(entries, events)
        ids_of("heat", self.heats)
        ids_of("lane assignment", [lane for heat in self.heats for lane in heat.lanes])
        for athlete in self.athletes:
            check_known("Athlete", athlete.name, "club", athlete.club, clubs)
        for entry in self.entries:
            check_known("Entry", entry.name, "division", entry.division, divisions)
            for member in entry.members:
                check_known("Entry", entry.name, "athlete", member, athletes)
        for heat in self.heats:
            check_known("Heat", str(heat.number), "event", heat.event, events)
            lanes = [lane.lane for lane in heat.lanes]
            if len(set(lanes)) != len(lanes):
                raise ValueError(f"Heat {heat.number} has two entries on one lane.")
            if len({lane.entry for lane in heat.lanes}) != len(lanes):
                raise ValueError(f"Heat {heat.number} has one entry on two lanes.")
            for lane in heat.lanes:
                check_known("Heat", str(heat.number), "entry", lane.entry, entries)
                check_known("Heat", str(heat.number), "judge", lane.judge_id, judges)
        self._check_openers(events)
        return self

    def _check_protests(self, entries: set[str], events: set[str]) -> None:
        first = {one.id: (one.entry, one.event) for one in self.protests if one.against is None}
        ids_of("protest", self.protests)
        for protest in self.protests:
            check_known("A protest", "", "entry", protest.entry, entries)
            check_known("A protest", "", "event", protest.event, events)
            if protest.against is not None and first.get(protest.against) != (protest.entry, protest.event):
                raise ValueError("An appeal is against an answer to a protest of the same entry about the same event.")
        appealed = [one.against for one in self.protests if one.against is not None]
        if len(set(appealed)) != len(appealed):
            raise ValueError("An answer to a protest is appealed against twice.")

    def _check_openers(self, events: set[str]) -> None:
        members = {entry.id: len(entry.members) for entry in self.entries}
        entries = set(members)
        for opener in self.openers:
            check_known("An opener", "", "event", opener.event, events)
            check_known("An opener", "", "entry", opener.entry, entries)
            if opener.member > members[opener.entry]:
                raise ValueError("An opener belongs to a member whom its entry does not have.")
        if len({opener.key for opener in self.openers}) != len(self.openers):
            raise ValueError("One lifter has two openers in one lift.")


def ids_of(what: str, items: Any) -> set[str]:
    """The ids of some records. Raises ValueError when two have one."""
    ids = [item.id for item in items]
    if len(set(ids)) != len(ids):
        raise ValueError(f"Two of the {what} records have one id.")
    return set(ids)


def check_lane_plates(sets: tuple[PlateSet, ...], given: tuple[LanePlates, ...]) -> None:
    """Raises ValueError when a lane has two sets of plates, or one that is not there."""
    known = ids_of("plate set", sets)
    for one in given:
        check_known("Lane", str(one.lane), "plate set", one.plates, known)
    if len({one.lane for one in given}) != len(given):
        raise ValueError("A lane has two sets of plates.")


def check_known(what: str, name: str, field: str, reference: str | None, known: set[str]) -> None:
    """Raises ValueError when a record refers to something that is not there; None refers to nothing."""
    if reference is not None and reference not in known:
        article = "an" if field[0] in "aeiou" else "a"
        raise ValueError(f"{what} {name} refers to {article} {field} that is not there.")
