"""Tables of what is done beside the ledger: judges' practice, and paper sheets on their way into it."""

from sqlalchemy import JSON, BigInteger, Column
from sqlmodel import Field, SQLModel


class PracticeRow(SQLModel, table=True):
    """One practice: a set that a judge counted (`set`), or a count of everybody together (`together`). `body` is by kind."""

    __tablename__ = "practice"
    id: str = Field(primary_key=True)
    kind: str
    judge: str = ""  # the judge's id on the roster; empty for a count together
    made_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    body: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]


class KeyingRow(SQLModel, table=True):
    """A paper sheet as one person keyed it in: `typed` is what stood in the form. It counts for nothing until two agree."""

    __tablename__ = "keying"
    id: str = Field(primary_key=True)
    sheet: str = Field(index=True)
    by: str
    made_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    state: str = "waits"  # waits, stored, left
    typed: dict = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
