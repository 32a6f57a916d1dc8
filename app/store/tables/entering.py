"""Tables of what is asked before the day and at the door: the file an entry came from, who is there, what is marked.

They name athletes, entries and events by id and hold no foreign keys: who is deleted and put back finds what was known again,
and rows of somebody who is gone for good are read by nobody.
"""

from sqlalchemy import JSON, BigInteger, Column
from sqlmodel import Field, SQLModel


class ImportedRow(SQLModel, table=True):
    """The key under which an entry stands in the list that it was imported from."""

    __tablename__ = "imported"
    entry_id: str = Field(primary_key=True)
    key: str


class MarkingRow(SQLModel, table=True):
    """What is marked for an event; `markings` is the JSON of app.rules.records.markings.Markings."""

    __tablename__ = "marking"
    event_id: str = Field(primary_key=True)
    markings: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]


class MeasureRow(SQLModel, table=True):
    """An athlete's reach to the wrists, as the JSON of a length."""

    __tablename__ = "measure"
    athlete_id: str = Field(primary_key=True)
    reach: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]


class CheckinRow(SQLModel, table=True):
    """What was seen of an athlete at the door, when and by whom; never part of the competition file.

    `height` is the JSON of a length, asked only to tell a slip in the reach; of a waiver only that it was seen; `weighed` is the
    JSON of the load that the scale showed, and `weighed_let` who let a weigh-in outside its window count.
    """

    __tablename__ = "checkin"
    athlete_id: str = Field(primary_key=True)
    present_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    present_by: str = ""
    waiver_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    waiver_by: str = ""
    height: dict | None = Field(default=None, sa_column=Column(JSON(none_as_null=True), nullable=True))  # type: ignore[type-arg]
    weighed: dict | None = Field(default=None, sa_column=Column(JSON(none_as_null=True), nullable=True))  # type: ignore[type-arg]
    weighed_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
    weighed_by: str = ""
    weighed_let: str = ""
