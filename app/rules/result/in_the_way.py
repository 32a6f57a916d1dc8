"""What stands in the way of an event's sign-off: whatever is not settled, each by its name.

An event is signed off when nothing stands in its way, or when each such thing is left out by name with a reason, which then
stands beside the result. Common practice, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.rules.records.document import Run, counting_run
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.result.protests import open_protests
from app.rules.result.results import NOT_JUDGED, TO_BE_RUN_AGAIN, EventResults, waits_key

MOST_TOLD = 120  # characters of a protest that are shown


@dataclass(frozen=True, slots=True)
class Obstacle:
    """One thing that is not settled: `key` is the same as long as it is the same thing, `what` says it in words."""

    key: str
    what: str


def in_the_way(
    roster: Roster, runs: Sequence[Run], rulings: Sequence[Ruling], found: EventResults, odd: Sequence[Obstacle] = ()
) -> tuple[Obstacle, ...]:
    """What stands in the way of an event's sign-off: heats not run, reruns owed, entries not judged, open protests, and `odd`:
    flags and papers that wait for somebody."""
    event, names = found.event.id, {entry.id: entry.name for entry in roster.entries}
    heats = [heat for heat in roster.heats if heat.event == event and heat.lanes]
    waiting = [heat for heat in heats if counting_run(runs, heat.id) is None]
    not_run = [Obstacle(f"heat:{heat.id}", f"Heat {heat.number} was not run") for heat in waiting]
    to_come = {lane.entry for heat in waiting for lane in heat.lanes}
    judged = {row.entry.id for table in found.tables for row in table.rows if row.score is not None}
    status = {row.entry.id: row.status for table in found.tables for row in table.rows if row.entry.id not in judged}
    reruns = [
        Obstacle(waits_key(key, is_), f"{names[key]} was to be rerun") for key, is_ in status.items() if is_ == TO_BE_RUN_AGAIN
    ]
    unjudged = [key for key, is_ in status.items() if is_ == NOT_JUDGED and key not in to_come]
    open_ones = open_protests(event, rulings, roster.protests)
    return (
        *not_run,
        *reruns,
        *(Obstacle(waits_key(key, NOT_JUDGED), f"{names[key]} was not judged") for key in unjudged),
        *(Obstacle(f"protest:{one.id}", f"Protest of {names[one.entry]}: {_shortened(one.text)}") for one in open_ones),
        *odd,
    )


def _shortened(text: str) -> str:
    """A protest's words as far as there is room for them; that it goes on is seen."""
    return text if len(text) <= MOST_TOLD else text[: MOST_TOLD - 1].rsplit(" ", 1)[0] + "…"


def not_settled(obstacles: Sequence[Obstacle], left_out: Mapping[str, str]) -> tuple[Obstacle, ...]:
    """What still forbids the sign-off: what is not left out by its key with a reason."""
    return tuple(one for one in obstacles if not left_out.get(one.key, "").strip())


def left_out_of(signed: Ruling | None) -> tuple[tuple[str, str], ...]:
    """What a sign-off left out, each with the reason."""
    if signed is None:
        return ()
    return tuple((str(one["what"]), str(one["why"])) for one in signed.body.get("left_out", ()))
