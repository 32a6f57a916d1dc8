"""The tables of files by their digest: a head for each that something names, and the content of those that no folder holds."""

from sqlalchemy import BigInteger, Column, LargeBinary
from sqlmodel import Field, SQLModel


class FileHeadRow(SQLModel, table=True):
    """A file that came: `digest` is the SHA-256 of its bytes."""

    __tablename__ = "file_head"
    digest: str = Field(primary_key=True)
    size: int = Field(sa_column=Column(BigInteger, nullable=False))
    arrived_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))


class FileContentRow(SQLModel, table=True):
    """The bytes of a file, where they are rows of the database (app.store.files)."""

    __tablename__ = "file_content"
    digest: str = Field(primary_key=True)
    content: bytes = Field(sa_column=Column(LargeBinary, nullable=False))
    arrived_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
