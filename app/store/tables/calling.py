"""The table of openers, which nothing else hangs on.

It refers to nothing on purpose: an entry or an event that was deleted and is put back finds its openers again. What belongs to
nobody any more is left out when the roster is read.
"""

from sqlalchemy import JSON, Column
from sqlmodel import Field, SQLModel


class OpenerRow(SQLModel, table=True):
    """What a lifter means to begin with: `load` is the JSON of a load, `then` a list of such, what is to follow."""

    __tablename__ = "opener"
    event_id: str = Field(primary_key=True)
    task: str = Field(primary_key=True)
    entry_id: str = Field(primary_key=True)
    member: int = Field(primary_key=True)
    load: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    then: list = Field(default_factory=list, sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
