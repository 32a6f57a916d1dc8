"""The tables of the plan of a day. What was published stands in the heats themselves; here is how it came about."""

from sqlalchemy import JSON, BigInteger, Column
from sqlmodel import Field, SQLModel


class DayPlanRow(SQLModel, table=True):
    """The plan of the day; one row. `rules` is the JSON of app.rules.records.day.DayRules, `draft` a plan not yet
    published, or null."""

    __tablename__ = "day_plan"
    id: str = Field(primary_key=True)
    rules: dict | None = Field(default=None, sa_column=Column(JSON(none_as_null=True), nullable=True))  # type: ignore[type-arg]
    draft: dict | None = Field(default=None, sa_column=Column(JSON(none_as_null=True), nullable=True))  # type: ignore[type-arg]


class PlanChangeRow(SQLModel, table=True):
    """A change of the published heats: in words, the heats before and after and the day's rules before, as JSON."""

    __tablename__ = "plan_change"
    number: int = Field(primary_key=True)
    made_wall_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    words: str
    before: list = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    after: list = Field(sa_column=Column(JSON, nullable=False))  # type: ignore[type-arg]
    rules_before: dict | None = Field(  # type: ignore[type-arg]
        default=None, sa_column=Column(JSON(none_as_null=True), nullable=True)
    )
    taken_back: bool = False
