"""The competitions to begin from, made of the table app/library/competitions.json."""

from typing import Any, Literal, Self

from pydantic import Field, model_validator

from app.rules.records.day import Minutes
from app.rules.records.judges import Clock
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import MOST_LANES
from app.rules.values.shapes import Base, Key, Line, Name
from app.rules.values.table_rows import read_row, unlike
from app.rules.values.tables import made_of

TABLE = "competitions.json"


class ReadyDivision(Base):
    """A division: `lighter` ones do the second of two numbers in each event."""

    key: Key
    name: Name
    lighter: bool = False


class ReadyEvent(Base):
    """An event as a written workout, line by line; a word in braces stands for one of `loads`, told in both units."""

    name: Name
    text: tuple[Line, ...] = Field(min_length=1)
    loads: dict[Key, dict[Literal["kg", "lb"], Line]] = Field(default_factory=dict)


class ReadyBreak(Base):
    """A break that begins so many minutes after the first heat may."""

    name: Name
    after: Minutes
    minutes: Minutes
    least: Minutes


class Ready(Base):
    """A competition to begin from: its divisions and events, and its day, all times in minutes but `hours`."""

    key: Key
    name: Name
    summary: Line
    members: int = Field(ge=1)
    start: Clock
    hours: int = Field(ge=1, le=16)
    lanes: int = Field(ge=1, le=MOST_LANES)
    changeover: Minutes
    reset: Minutes
    rest: Minutes
    step: int = Field(ge=1, le=30)
    breaks: tuple[ReadyBreak, ...] = ()
    divisions: tuple[ReadyDivision, ...] = Field(min_length=1)
    events: tuple[ReadyEvent, ...] = Field(min_length=1)
    overall: OverallRule | None = None

    @model_validator(mode="after")
    def _told_apart(self) -> Self:
        for what, names in (("divisions", self.divisions), ("events", self.events)):
            if len({one.name.casefold() for one in names}) != len(names):
                raise ValueError(f"Two {what} have one name.")
        if len({one.key for one in self.divisions}) != len(self.divisions):
            raise ValueError("Two divisions have one key.")
        return self


class ReadyTable(Base):
    """The table: a row for each competition."""

    about: tuple[str, ...]
    competitions: tuple[Any, ...]


def ready_competitions() -> tuple[Ready, ...]:
    """Those that were handed in. Raises NotHandedIn, BadTable."""
    return made_of("competitions", read_ready)


def read_ready(plain: Any) -> tuple[Ready, ...]:
    """The competitions that a table describes. Raises BadTable with a sentence that names the row."""
    table = read_row(TABLE, ReadyTable, plain)
    rows = tuple(read_row(TABLE, Ready, row) for row in table.competitions)
    unlike(TABLE, (row.key for row in rows))
    return rows
