"""The table of what was done, by whom and with what outcome: append-only, like marks, by triggers that the migrations make."""

from sqlalchemy import BigInteger, Column
from sqlmodel import Field, SQLModel


class ActRow(SQLModel, table=True):
    """One thing that somebody did or tried. `number` rises with each; see app.store.acts.Act for the rest."""

    __tablename__ = "act"
    number: int | None = Field(default=None, primary_key=True)
    wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    device_id: str = ""
    name: str = ""
    role: str = ""
    address: str = ""
    kind: str
    words: str
    about: str = ""
    outcome: str
