"""What everybody may see of a round: its heads while it goes on; once it is published the standing, each line with its proof."""

from dataclasses import dataclass

from app.round.checking import chain_head
from app.round.desk_view import Table, tables
from app.round.headquarters import Headquarters
from app.round.times import shown_time
from app.rules.round.moves import PUBLISHED, SIGNED, STAGES
from app.rules.round.words import shown


@dataclass(frozen=True, slots=True)
class PublicRound:
    """The page. heads: what was published so far, each with what it is called. tables: none before the publishing."""

    name: str
    stage: str
    deadline: str
    heads: tuple[tuple[str, str], ...]
    tables: tuple[Table, ...]
    events: tuple[tuple[str, str], ...]


def public_round(headquarters: Headquarters) -> PublicRound:
    """A round as it is published."""
    state, rule = headquarters.state, headquarters.state.rules
    last = headquarters.receipt(headquarters.receipts_given())
    heads = [("Headquarters' key", state.key), ("Opening word", shown(state.opening))]
    heads.append(("Head of the receipts", chain_head([last] if last else [])))
    if state.roll is not None:
        heads.append(("Root of the roll", state.roll.root))
    if state.draw is not None:
        heads += [("Dice", state.draw.dice), ("Seen by", ", ".join(state.draw.witnesses)), ("Seed of the draw", state.seed)]
    return PublicRound(
        name=rule.name,
        stage=STAGES[state.stage],
        deadline=shown_time(state.deadline_ms, rule.zone),
        heads=tuple((name, value) for name, value in heads if value),
        tables=tuple(tables(state)) if state.stage in (PUBLISHED, SIGNED) else (),
        events=tuple((event.id, event.name) for event in rule.events),
    )
