"""The table of protests. What becomes of one is a ruling: the protest itself is never changed."""

from sqlalchemy import BigInteger, Column
from sqlmodel import Field, SQLModel


class ProtestRow(SQLModel, table=True):
    """A protest as it was filed. `by` is empty for one that came by the entry's own link, `against` null but for an appeal."""

    __tablename__ = "protest"
    id: str = Field(primary_key=True)
    entry_id: str = Field(foreign_key="entry.id", index=True)
    event_id: str = Field(foreign_key="event.id", index=True)
    text: str
    by: str = ""
    via: str
    filed_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    against: str | None = None
    late_why: str = ""
