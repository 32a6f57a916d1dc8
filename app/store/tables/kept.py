"""The table of what is kept of sheets that nobody marks any more."""

from sqlalchemy import BigInteger, Column, LargeBinary
from sqlmodel import Field, SQLModel


class KeptSheetRow(SQLModel, table=True):
    """A sheet that was still when it was kept: how many `marks` it had and the sum of their rows' own `checks`, by which a start
    tells whether it has these marks still; their `numbers` as JSON; `content` as app.live.kept_sheets reads it; `digest`, the
    SHA-256 of all that. It holds nothing that the marks do not hold: a row that is gone, or wrong, is made anew."""

    __tablename__ = "kept_sheet"
    sheet: str = Field(primary_key=True)
    marks: int
    checks: int = Field(sa_column=Column(BigInteger, nullable=False))
    numbers: str
    content: bytes = Field(sa_column=Column(LargeBinary, nullable=False))
    digest: bytes = Field(sa_column=Column(LargeBinary(32), nullable=False))
