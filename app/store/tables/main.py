"""The tables. Ids are short random texts made by the commands, so that two halls never make the same one.

The marks table is append-only: triggers made by the migrations refuse UPDATE and DELETE on it.
"""

from sqlalchemy import JSON, BigInteger, CheckConstraint, Column, ForeignKey, LargeBinary, String, UniqueConstraint
from sqlmodel import Field, SQLModel


class CompetitionRow(SQLModel, table=True):
    """The competition; one row. `unit` is the unit that its loads are declared in; `overall` is the JSON of
    app.rules.result.overall.OverallRule, or null; `safety` that of app.rules.workout.safety.Safety;
    `protest_minutes`, `protest_from`, `appeal_minutes`: how long protests and appeals may be filed, and from when."""

    __tablename__ = "competition"
    id: str = Field(primary_key=True)
    name: str
    place: str = ""
    day: str = ""  # ISO 8601 date, or empty
    unit: str = "kg"
    demo: bool = False
    overall: dict | None = Field(default=None, sa_column=Column(JSON(none_as_null=True), nullable=True))  # type: ignore[type-arg]
    safety: dict = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    protest_minutes: int = 30
    protest_from: str = "bell"
    appeal_minutes: int = 30


class DivisionRow(SQLModel, table=True):
    """A division; entries are ranked within it. `limits` is the JSON of app.rules.records.classes.Limits, or null."""

    __tablename__ = "division"
    id: str = Field(primary_key=True)
    position: int
    name: str
    limits: dict | None = Field(default=None, sa_column=Column(JSON(none_as_null=True), nullable=True))  # type: ignore[type-arg]


class ClubRow(SQLModel, table=True):
    """A club that athletes belong to."""

    __tablename__ = "club"
    id: str = Field(primary_key=True)
    name: str
    colour: str = ""


class JudgeRow(SQLModel, table=True):
    """A person who judges; `hours` is the JSON of the stretches of the day on which they can, empty for all day."""

    __tablename__ = "judge"
    id: str = Field(primary_key=True)
    name: str
    club_id: str | None = Field(default=None, foreign_key="club.id")
    level: str = ""
    hours: list = Field(default_factory=list, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    away: bool = False
    notes: str = ""


class AthleteRow(SQLModel, table=True):
    """A person who competes; `bodyweight` is the JSON of a load, or null for one who was not weighed."""

    __tablename__ = "athlete"
    id: str = Field(primary_key=True)
    name: str
    club_id: str | None = Field(default=None, foreign_key="club.id")
    bodyweight: dict | None = Field(default=None, sa_column=Column(JSON(none_as_null=True), nullable=True))  # type: ignore[type-arg]
    age: int | None = None
    said_like: str = ""
    sex: str = ""


class EntryRow(SQLModel, table=True):
    """What is ranked in a division: one athlete, a pair or a team. `team`: the named team whom its points count for too."""

    __tablename__ = "entry"
    id: str = Field(primary_key=True)
    division_id: str = Field(foreign_key="division.id", index=True)
    position: int
    name: str
    team: str = ""


class MemberRow(SQLModel, table=True):
    """One athlete's place in an entry: 1 is member A."""

    __tablename__ = "member"
    entry_id: str = Field(primary_key=True, foreign_key="entry.id")
    number: int = Field(primary_key=True)
    athlete_id: str = Field(foreign_key="athlete.id", index=True)


class EventRow(SQLModel, table=True):
    """One scored test; `format` is the JSON of app.rules.workout.formats.Format, `variants` names a variant of it by
    division id, `divisions` the ids of those that it is for."""

    __tablename__ = "event"
    id: str = Field(primary_key=True)
    position: int
    name: str
    format: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    variants: dict = Field(default_factory=dict, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    divisions: list = Field(default_factory=list, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]


class HeatRow(SQLModel, table=True):
    """A heat of an event; `planned` is its planned time of day, HH:MM, or empty."""

    __tablename__ = "heat"
    __table_args__ = (UniqueConstraint("event_id", "number"),)
    id: str = Field(primary_key=True)
    event_id: str = Field(foreign_key="event.id", index=True)
    number: int
    planned: str = ""


class AssignmentRow(SQLModel, table=True):
    """One entry on one lane in one heat; `variant` is what it chose against its division's, or empty. `judge` is the lane judge's
    name as shown, `judge_id` who it is where a judge of the roster was chosen."""

    __tablename__ = "assignment"
    __table_args__ = (UniqueConstraint("heat_id", "lane"), UniqueConstraint("heat_id", "entry_id"))
    id: str = Field(primary_key=True)
    heat_id: str = Field(foreign_key="heat.id", index=True)
    lane: int
    entry_id: str = Field(foreign_key="entry.id", index=True)
    judge: str = ""
    variant: str = ""
    judge_id: str | None = Field(default=None, foreign_key="judge.id", index=True)


class RunRow(SQLModel, table=True):
    """One GO of a heat: its instant on the server's monotonic timeline and on the wall, so that it survives either being lost.

    `state` is set, stopped (aborted) or closed (over and left behind by hand). `holds`: when its clock stood, as JSON.
    """

    __tablename__ = "run"
    heat_id: str = Field(primary_key=True, foreign_key="heat.id")
    number: int = Field(primary_key=True)
    go_server_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    go_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    boot: str
    state: str = "set"
    why: str = ""
    holds: list = Field(default_factory=list, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]


class DeviceRow(SQLModel, table=True):
    """A paired browser: the desk, a lane's tablet, a lifter's phone. Only the hash of its token is kept. `address`, `browser` and
    `seen_wall_ms` say from where it was last heard of, what kind it is, and when.

    `sheet` says which counter of its lane a tablet is: lane (the judge), second, third, shadow. `ended` says how a pairing came
    to its end, `before` is the JSON of the pairings of before that it speaks for, `entries` that of the ids of those for whom it
    stands: see app.store.devices.
    """

    __tablename__ = "device"
    id: str = Field(primary_key=True)
    role: str  # of app.rules.records.seats
    lane: int | None = None
    name: str = ""
    token_hash: str = Field(index=True, unique=True)
    paired_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    revoked_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    sheet: str = "lane"
    address: str = ""
    browser: str = ""
    seen_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    ended: str = ""
    before: list = Field(default_factory=list, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    entries: list = Field(default_factory=list, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]


class PairingRow(SQLModel, table=True):
    """An invitation to pair: a single-use token (in a QR code) and a short code, both kept as hashes.

    `sure`: whoever takes it is let in at once. Otherwise it is used by asking: `word` is what the browser shows until the desk
    answers, `asked_hash` is of the token that will be its session, `gives_up` the device that it was before. `entries` and `name`
    are those of the device that it makes.
    """

    __tablename__ = "pairing"
    id: str = Field(primary_key=True)
    role: str
    lane: int | None = None
    token_hash: str = Field(index=True, unique=True)
    code_hash: str = Field(index=True)
    expires_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    used_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    sheet: str = "lane"
    sure: bool = False
    word: str = ""
    asked_hash: str = ""
    address: str = ""
    browser: str = ""
    gives_up: str = ""
    answered_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    entries: list = Field(default_factory=list, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    name: str = ""


class MarkRow(SQLModel, table=True):
    """One mark, as app.rules.records.marks.Mark; `body` is canonical JSON text. Never updated, never deleted.

    The key in time order is the only index by content: an index by device or by sheet touches a page for each tablet in every
    commit, and halves the marks stored in a second. What is asked by sheet or device is kept in memory, or worth one pass over
    the table. `number` to `again` are the receipt (app.rules.records.receipts), null where it is not known; the index says which
    number is next, and grows at its end alone: one page in every commit. `crc`: the row's own check (app.store.damage).
    """

    __tablename__ = "mark"
    __table_args__ = (
        CheckConstraint("length(id) = 16", name="ck_mark_id"),
        CheckConstraint("epoch >= 1 AND seq >= 1", name="ck_mark_number"),
        {"sqlite_with_rowid": False},
    )
    id: bytes = Field(sa_column=Column(LargeBinary(16), primary_key=True))
    sheet: str
    device: str
    epoch: int = Field(sa_column=Column(BigInteger, nullable=False))
    seq: int = Field(sa_column=Column(BigInteger, nullable=False))
    kind: str
    at: int = Field(sa_column=Column(BigInteger, nullable=False))
    err: int = Field(sa_column=Column(BigInteger, nullable=False))
    win: int | None = None
    body: str
    received_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    number: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True, index=True))
    seat: str | None = None
    clock: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    wall: bool | None = None
    again: bool | None = None
    crc: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))


class AsideRow(SQLModel, table=True):
    """A mark whose id another mark of other contents has already. Both are kept: which of them counts is not told by which came
    first. `print` is its fingerprint, `mark` its JSON. Never updated, never deleted."""

    __tablename__ = "aside"
    print: bytes = Field(sa_column=Column(LargeBinary(32), primary_key=True))
    id: bytes = Field(sa_column=Column(LargeBinary(16), nullable=False))
    mark: str
    received_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))


class RulingRow(SQLModel, table=True):
    """A decision of the head judge: a record, never an edit. `body` is by kind."""

    __tablename__ = "ruling"
    id: str = Field(primary_key=True)
    kind: str
    assignment_id: str | None = Field(default=None, sa_column=Column(String, ForeignKey("assignment.id"), nullable=True))
    entry_id: str | None = Field(default=None, sa_column=Column(String, ForeignKey("entry.id"), nullable=True))
    event_id: str | None = Field(default=None, sa_column=Column(String, ForeignKey("event.id"), nullable=True))
    body: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    by: str
    why: str
    made_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))


class SettingRow(SQLModel, table=True):
    """A named value of this installation: the desk's password hash and the like. Never exported."""

    __tablename__ = "setting"
    name: str = Field(primary_key=True)
    value: str
