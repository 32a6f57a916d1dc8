"""The tables of plates: sets under a name, and which set each lane has."""

from sqlalchemy import JSON, Column
from sqlmodel import Field, SQLModel


class PlateSetRow(SQLModel, table=True):
    """A set of bars, collars and plates; `body` is the JSON of app.rules.workout.plates.PlateSet without its id and name."""

    __tablename__ = "plate_set"
    id: str = Field(primary_key=True)
    position: int
    name: str
    body: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]


class LanePlatesRow(SQLModel, table=True):
    """The set that a lane has."""

    __tablename__ = "lane_plates"
    lane: int = Field(primary_key=True)
    plate_set_id: str = Field(foreign_key="plate_set.id", index=True)
