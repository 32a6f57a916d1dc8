"""The tables of a round's headquarters: numbered records and receipts. Rows are only added."""

from sqlalchemy import Column, LargeBinary
from sqlmodel import Field, SQLModel


class RoundRecordRow(SQLModel, table=True):
    """A record of the round: `text` is its line of canonical JSON (app.rules.round.codec)."""

    __tablename__ = "round_record"
    number: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    text: str


class RoundReceiptRow(SQLModel, table=True):
    """A receipt as it was signed; each names the digest of the one before it."""

    __tablename__ = "round_receipt"
    number: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    content: bytes = Field(sa_column=Column(LargeBinary, nullable=False))
