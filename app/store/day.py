"""Writing the plan of the day: its rules, a draft, and what heats were before it changed them."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.rules.records.day import DayRules
from app.rules.records.roster import Heat
from app.store.gateway import needed
from app.store.tables.day import DayPlanRow, PlanChangeRow

ONLY = "day"


@dataclass(frozen=True, slots=True)
class PlanChange:
    """A change of published heats that can be taken back. `rules`: the day's rules before it."""

    number: int
    made_wall_ms: int
    words: str
    before: tuple[Heat, ...]
    after: tuple[Heat, ...]
    rules: DayRules | None


def _row(session: Session) -> DayPlanRow:
    return session.get(DayPlanRow, ONLY) or DayPlanRow(id=ONLY)


def day(session: Session) -> DayRules | None:
    """How the day is to be planned; None before anybody has said."""
    row = session.get(DayPlanRow, ONLY)
    return None if row is None or row.rules is None else DayRules.model_validate(row.rules)


def put_day(session: Session, rules: DayRules | None) -> None:
    """Says how the day is to be planned."""
    row = _row(session)
    row.rules = None if rules is None else rules.model_dump(mode="json")
    session.add(row)
    session.flush()


def draft(session: Session) -> dict[str, Any] | None:
    """The plan that is not published yet."""
    row = session.get(DayPlanRow, ONLY)
    return None if row is None else row.draft


def put_draft(session: Session, plan: dict[str, Any] | None) -> None:
    """Keeps a plan that is not published yet, or none."""
    row = _row(session)
    row.draft = plan
    session.add(row)
    session.flush()


def add_change(session: Session, made: PlanChange) -> None:
    """Remembers a change, so that it can be taken back. Its number is given here."""
    last = session.exec(select(func.max(col(PlanChangeRow.number)))).one() or 0
    session.add(
        PlanChangeRow(
            number=last + 1,
            made_wall_ms=made.made_wall_ms,
            words=made.words,
            before=[heat.model_dump(mode="json") for heat in made.before],
            after=[heat.model_dump(mode="json") for heat in made.after],
            rules_before=None if made.rules is None else made.rules.model_dump(mode="json"),
        )
    )
    session.flush()


def last_change(session: Session) -> PlanChange | None:
    """The newest change that was not taken back."""
    standing = select(PlanChangeRow).where(col(PlanChangeRow.taken_back).is_(False))
    row = session.exec(standing.order_by(col(PlanChangeRow.number).desc())).first()
    if row is None:
        return None
    return PlanChange(
        number=row.number,
        made_wall_ms=row.made_wall_ms,
        words=row.words,
        before=tuple(Heat.model_validate(heat) for heat in row.before),
        after=tuple(Heat.model_validate(heat) for heat in row.after),
        rules=None if row.rules_before is None else DayRules.model_validate(row.rules_before),
    )


def take_back_change(session: Session, number: int) -> None:
    """Notes that a change was taken back. Raises NotThere."""
    needed(session, PlanChangeRow, number, "change of the plan").taken_back = True
    session.flush()
