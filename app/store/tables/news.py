"""Tables that server processes share on PostgreSQL; on SQLite, where one process has everything, they stay empty."""

from sqlalchemy import BigInteger, Column
from sqlmodel import Field, SQLModel


class NewsRow(SQLModel, table=True):
    """One change that the other processes must take over. `number` follows the order of the commits, because the transaction of a
    writer has its turn alone; `origin` names the process; `body` is by kind, see app/store/news.py."""

    __tablename__ = "news"
    number: int | None = Field(default=None, sa_column=Column(BigInteger, primary_key=True, autoincrement=True))
    origin: str
    kind: str
    body: str
    made_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))


class GuessRow(SQLModel, table=True):
    """One guess at a code or a password that is wrong or still being looked at. `pot` says of which count, `who` by whom."""

    __tablename__ = "guess"
    id: str = Field(primary_key=True)
    pot: str
    who: str
    at_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
