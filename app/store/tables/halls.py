"""The table of other halls' competition files, kept as they came so that a join can be made anew from them at any time."""

from sqlalchemy import BigInteger, Column, LargeBinary
from sqlmodel import Field, SQLModel


class HallFileRow(SQLModel, table=True):
    """A hall's competition file: `digest` is the SHA-256 of its bytes, `name` is what people call the hall, each once.

    One that was put aside stays, with when that was, so that it can be taken up again.
    """

    __tablename__ = "hall_file"
    digest: str = Field(primary_key=True)
    name: str
    content: bytes = Field(sa_column=Column(LargeBinary, nullable=False))
    taken_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    aside_wall_ms: int | None = Field(default=None, sa_column=Column(BigInteger, nullable=True))
