"""The table of the pictures of entries, which are no part of the roster: no file holds them, and no tablet gets them."""

from sqlalchemy import Column, LargeBinary
from sqlmodel import Field, SQLModel


class EntryPictureRow(SQLModel, table=True):
    """An entry's picture: `digest` is the SHA-256 of `content`, `kind` jpeg or png. It goes with its entry, and with whoever
    leaves that; nothing else names it."""

    __tablename__ = "entry_picture"
    entry_id: str = Field(primary_key=True)
    digest: str
    kind: str
    content: bytes = Field(sa_column=Column(LargeBinary, nullable=False))
