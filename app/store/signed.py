"""What a sign-off lets nobody change: whatever the signed result rests on, compared within the transaction of each change.

No kind of record needs a guard of its own, and none can be forgotten: what is compared is what the recount of the event is handed
and its digest is taken over (rules/records/resting.py). So a name, a lane's number and the order of entries stay as they were
signed too; planned times, judges, protests and the rest of the day may change. Marks, runs and rulings have rules of their own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlmodel import Session, col

from app.rules.records.document import CompetitionFile
from app.rules.records.in_force import signed_off
from app.rules.records.overall_rule import OverallRule
from app.rules.records.resting import parts
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.records.signed import overall_of
from app.store.gateway import count
from app.store.kinds import RULINGS
from app.store.refusals import InUse
from app.store.roster import read_roster
from app.store.tables.main import RulingRow

FIRST = "The head judge has to reopen it first, under Review, Protests and sign-off."


@dataclass(frozen=True, slots=True)
class SignedParts:
    """What stands signed: by event id its sign-off and what its result rests on. `overall` is the rule, where all events are."""

    signed: Mapping[str, Ruling]
    rests_on: Mapping[str, CompetitionFile]
    names: Mapping[str, str]
    all_of_them: bool
    overall: OverallRule | None


def signed_parts(session: Session) -> SignedParts | None:
    """What stands signed before a change; None where no event is signed off, which one look tells on most days."""
    if not count(session, RulingRow, col(RulingRow.kind) == "sign_off"):
        return None
    roster = read_roster(session)
    return None if roster is None else _signed_of(roster, RULINGS.all(session))


def refuse_change_of_signed(before: SignedParts | None, roster: Roster | None, rulings: Iterable[Ruling]) -> None:
    """Raises InUse where a change would leave an event signed off that is no longer what was signed, or the overall standing."""
    if before is None or roster is None:
        return
    after = _signed_of(roster, tuple(rulings))
    for event, ruling in before.signed.items():
        if after is None or after.signed.get(event) != ruling:
            continue  # opened again
        if after.rests_on[event] != before.rests_on[event]:
            raise InUse(
                f"{before.names[event]} is signed off, by {ruling.by}, and this would change what was signed off. {FIRST}"
            )
    if before.all_of_them and after is not None and after.all_of_them and before.overall != after.overall:
        last = max(after.signed.values(), key=lambda ruling: ruling.order)
        if overall_of(last) == (True, after.overall):
            return  # back to what was signed
        raise InUse(
            "Every event is signed off, so the overall standing is too, and this would change it. "
            "The head judge has to reopen one of the events first, under Review, Protests and sign-off."
        )


def _signed_of(roster: Roster, rulings: tuple[Ruling, ...]) -> SignedParts | None:
    found = {event.id: ruling for event in roster.events if (ruling := signed_off(rulings, event.id)) is not None}
    if not found:
        return None
    whole = parts(CompetitionFile.model_construct(**dict(roster)))
    return SignedParts(
        signed=found,
        rests_on={event: whole[event] for event in found},
        names={event.id: event.name for event in roster.events},
        all_of_them=len(found) == len(roster.events),
        overall=roster.overall,
    )
