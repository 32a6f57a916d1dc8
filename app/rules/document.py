"""The competition as one value, and the competition file: everything that a result needs, in one JSON document."""

import re
from collections.abc import Sequence
from typing import Annotated, Any, Literal, Self, cast

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema, model_validator

from app.rules.formats import Format
from app.rules.holding import LONGEST_MS, MOST_HOLDS, Hold, check_holds
from app.rules.marks import BODY, ID, KINDS, SHEET, VALUE, BadMark, Mark, mark_plain, parse_mark
from app.rules.overall import OverallRule
from app.rules.shapes import Base, ExactLoad, Id, Key, Line, Name, Said
from app.rules.units import LoadUnit

Day = Annotated[str, Field(pattern=r"^([0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01]))?$")]
TimeOfDay = Annotated[str, Field(pattern=r"^(([01][0-9]|2[0-3]):[0-5][0-9])?$")]
Millis = Annotated[int, Field(ge=-(2**53) + 1, le=2**53 - 1)]
MOST_LANES = 60


class Competition(Base):
    """The competition; `unit` is the unit in which its loads are declared unless an event says otherwise."""

    id: Id
    name: Name
    place: Said = Field(default="", max_length=200)
    day: Day = ""
    unit: LoadUnit = "kg"
    demo: bool = False


class Division(Base):
    """A group of entries ranked together. Divisions stand in the order shown."""

    id: Id
    name: Name


class Club(Base):
    """A club that athletes belong to."""

    id: Id
    name: Name


class Athlete(Base):
    """A person who competes."""

    id: Id
    name: Name
    club: Id | None = None
    bodyweight: ExactLoad | None = None


class Entry(Base):
    """What is ranked in a division; `members` are athlete ids in order, A first."""

    id: Id
    division: Id
    name: Name
    members: tuple[Id, ...] = ()


class Event(Base):
    """One scored test. Events stand in the order run. `variants` names, by division, the variant of the format that it does."""

    id: Id
    name: Name
    format: Format
    variants: dict[Id, Key] = Field(default_factory=dict)


class Assignment(Base):
    """One entry on one lane in one heat, with the lane judge's name if known, and the variant it chose against its division's."""

    id: Id
    lane: int = Field(ge=1, le=MOST_LANES)
    entry: Id
    judge: Said = Field(default="", max_length=120)
    variant: Key | Literal[""] = ""


class Heat(Base):
    """A heat of an event and who stands on which lane; `planned` is HH:MM or empty."""

    id: Id
    event: Id
    number: int = Field(ge=1, le=9999)
    planned: TimeOfDay = ""
    lanes: tuple[Assignment, ...] = ()


class Run(Base):
    """One GO of a heat. The newest run that was not stopped is the one that counts. `holds`: when its clock stood, in order."""

    heat: Id
    number: int = Field(ge=1, le=9999)
    go_server_ms: Millis = 0
    go_wall_ms: Millis = 0
    boot: str = Field(default="", max_length=80)
    state: Literal["set", "stopped", "closed"] = "set"
    why: Said = Field(default="", max_length=500)
    holds: tuple[Hold, ...] = Field(default=(), max_length=MOST_HOLDS)

    @model_validator(mode="after")
    def _holds_in_order(self) -> Self:
        check_holds(self.holds)
        return self


STATUSES = ("", "did_not_finish", "did_not_start", "withdrawn", "disqualified")


class Ruling(Base):
    """A decision of the head judge, applied after the marks are scored: on an entry, or on what it did in one lane assignment.

    `body` is by kind. status: {"status": one of STATUSES}, "" lifts an earlier one; without an event it holds in all. penalty:
    {"amount": a plain number as text}, in the unit of the event's score. shift: {"ms": a whole number, "run": of which run}, on a
    lane assignment: what its judge marked by a clock started by hand was so much later; the newest holds, one by 0 takes it back.
    """

    id: Id
    kind: Literal["status", "penalty", "shift"]
    assignment: Id | None = None
    entry: Id | None = None
    event: Id | None = None
    body: dict[str, Any] = Field(default_factory=dict)
    by: Name
    why: Line
    made_wall_ms: Millis = 0

    @model_validator(mode="after")
    def _says(self) -> Self:
        if self.kind == "status" and (set(self.body) != {"status"} or self.body["status"] not in STATUSES):
            raise ValueError(f"A status ruling says its status: one of {', '.join(STATUSES[1:])}, or empty to lift one.")
        amount = self.body.get("amount")
        plain = set(self.body) == {"amount"} and isinstance(amount, str) and VALUE.fullmatch(amount)
        if self.kind == "penalty" and not plain:
            raise ValueError("A penalty says its amount as text, such as “5” or “2.5”.")
        if self.kind == "shift" and not (set(self.body) == {"ms", "run"} and _is_shift(**self.body)):
            raise ValueError("A shift of a lane's clock says by how many milliseconds, and in which run: whole numbers.")
        if self.kind == "shift" and self.assignment is None:
            raise ValueError("A shift of a clock names its lane assignment.")
        named = self.assignment or (self.entry and (self.event or self.kind == "status"))
        if not named:
            raise ValueError("A ruling names a lane assignment or an entry, and a penalty on an entry its event too.")
        return self


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

    @model_validator(mode="after")
    def _references(self) -> Self:
        divisions = _ids("division", self.divisions)
        clubs = _ids("club", self.clubs)
        athletes = _ids("athlete", self.athletes)
        entries = _ids("entry", self.entries)
        events = _ids("event", self.events)
        for event in self.events:
            for division, key in event.variants.items():
                _known("Event", event.name, "division", division, divisions)
                if event.format.variant(key) is None:
                    raise ValueError(f"Event {event.name} gives a division the variant {key}, which it does not have.")
        if self.overall is not None:
            _known("The overall standing", "", "event", self.overall.named, events)
        _ids("heat", self.heats)
        _ids("lane assignment", [lane for heat in self.heats for lane in heat.lanes])
        for athlete in self.athletes:
            _known("Athlete", athlete.name, "club", athlete.club, clubs)
        for entry in self.entries:
            _known("Entry", entry.name, "division", entry.division, divisions)
            for member in entry.members:
                _known("Entry", entry.name, "athlete", member, athletes)
        for heat in self.heats:
            _known("Heat", str(heat.number), "event", heat.event, events)
            lanes = [lane.lane for lane in heat.lanes]
            if len(set(lanes)) != len(lanes):
                raise ValueError(f"Heat {heat.number} has two entries on one lane.")
            if len({lane.entry for lane in heat.lanes}) != len(lanes):
                raise ValueError(f"Heat {heat.number} has one entry on two lanes.")
            for lane in heat.lanes:
                _known("Heat", str(heat.number), "entry", lane.entry, entries)
        return self


def _is_shift(ms: object, run: object) -> bool:
    whole = type(ms) is int and type(run) is int  # true is no number here
    return whole and abs(cast(int, ms)) <= LONGEST_MS and 1 <= cast(int, run) <= 9999


def _mark(value: object) -> object:
    if isinstance(value, Mark):
        return value
    try:
        return parse_mark(value)
    except BadMark as wrong:
        raise ValueError(str(wrong)) from None


# Named groups are written in one way in Python and in another in JavaScript, so the published pattern has plain ones.
MARK_SCHEMA: dict[str, Any] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["id", "sheet", "device", "epoch", "seq", "kind", "at", "err", "body"],
    "properties": {
        "id": {"type": "string", "pattern": f"^{ID.pattern}$"},
        "sheet": {"type": "string", "pattern": "^" + re.sub(r"\?P<\w+>", "", SHEET.pattern) + "$"},
        "device": {"type": "string", "pattern": "^[A-Za-z0-9_-]{1,40}$"},
        "epoch": {"type": "integer", "minimum": 1},
        "seq": {"type": "integer", "minimum": 1},
        "kind": {"enum": list(KINDS)},
        "at": {"type": "integer", "description": "milliseconds on the heat clock, 0 is GO"},
        "err": {"type": "integer", "minimum": 0, "description": "bound on the error of `at`, in milliseconds"},
        "win": {"type": ["integer", "null"], "minimum": 0},
        "body": {"type": "object", "properties": {name: {} for fields in BODY.values() for name in fields}},
    },
}

LedgerMark = Annotated[Mark, BeforeValidator(_mark), PlainSerializer(mark_plain), WithJsonSchema(MARK_SCHEMA)]


class CompetitionFile(Roster):
    """The competition file: a roster with its runs, rulings and all marks. Its standings can be computed by anybody."""

    file: Literal["lane-ledger-competition"] = "lane-ledger-competition"
    version: Literal[1] = 1
    made_wall_ms: Millis = 0
    runs: tuple[Run, ...] = ()
    rulings: tuple[Ruling, ...] = ()
    marks: tuple[LedgerMark, ...] = ()

    @model_validator(mode="after")
    def _runs_known(self) -> Self:
        heats = {heat.id for heat in self.heats}
        for run in self.runs:
            _known("Run", str(run.number), "heat", run.heat, heats)
        if len({(run.heat, run.number) for run in self.runs}) != len(self.runs):
            raise ValueError("A heat has two runs of one number.")
        return self


def counting_run(runs: Sequence[Run], heat: str) -> Run | None:
    """The run of a heat that counts: the newest that was not stopped."""
    standing = [run for run in runs if run.heat == heat and run.state != "stopped"]
    return max(standing, key=lambda run: run.number, default=None)


def counting_number(runs: Sequence[Run], heat: str) -> int:
    """The number of the run whose sheets count.

    Without a standing run it is the next one: a lane that started by hand while the desk was gone stands there.
    """
    counting = counting_run(runs, heat)
    if counting is not None:
        return counting.number
    return max((run.number for run in runs if run.heat == heat), default=0) + 1


def _ids(what: str, items: Any) -> set[str]:
    ids = [item.id for item in items]
    if len(set(ids)) != len(ids):
        raise ValueError(f"Two of the {what} records have one id.")
    return set(ids)


def _known(what: str, name: str, field: str, reference: str | None, known: set[str]) -> None:
    if reference is not None and reference not in known:
        article = "an" if field[0] in "aeiou" else "a"
        raise ValueError(f"{what} {name} refers to {article} {field} that is not there.")
