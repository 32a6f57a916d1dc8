"""What storing a changed event would do to results that stand already: everything recomputed, and the differences in words."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import has_marks
from app.hall.organising import needed_roster
from app.hall.result_words import place_text
from app.rules.count.sheets import counting_tallies
from app.rules.records.roster import Event, Roster
from app.rules.result.results import EventResults, Row, Table, event_results
from app.rules.result.scoring import score_words

NOBODY = "–"


@dataclass(frozen=True, slots=True)
class Change:
    """One line of a standing that would be another one."""

    entry: str
    standing: str
    score_before: str
    score_after: str
    place_before: str
    place_after: str


@dataclass(frozen=True, slots=True)
class Recount:
    """What changes: the lines that differ, how many stay, and what the lanes notice."""

    changes: tuple[Change, ...]
    same: int
    running: bool

    @property
    def to_be_shown(self) -> bool:
        """Whether somebody should see it before it is done."""
        return bool(self.changes) or self.running


def recount_of(hall: Hall, event: Event) -> Recount | None:
    """What storing the event would do, or None if it has no marks or is judged just as before."""
    roster = needed_roster(hall)
    before = next((one for one in roster.events if one.id == event.id), None)
    if before is None or before.format == event.format or not has_marks(hall, event.id):
        return None
    old = _lines(hall.projection.event_results(event.id))
    new = _lines(_recounted(hall, roster, event))
    changes = [_change(key, old.get(key), new.get(key)) for key in {**old, **new}]
    real = tuple(one for one in changes if (one.score_before, one.place_before) != (one.score_after, one.place_after))
    return Recount(real, len(changes) - len(real), _running(hall, roster, event.id))


def _recounted(hall: Hall, roster: Roster, event: Event) -> EventResults:
    changed = roster.model_copy(update={"events": tuple(event if one.id == event.id else one for one in roster.events)})
    heats = [heat for heat in roster.heats if heat.event == event.id]
    marks = [mark for heat in heats for lane in heat.lanes for mark in hall.projection.assignment_marks(lane.id)]
    tallies = counting_tallies(changed, hall.projection.runs, marks, hall.projection.rulings)
    return event_results(changed, event.id, tallies, hall.projection.rulings, hall.projection.runs)


Line = tuple[Table, Row]
Key = tuple[str, str, str]  # score, division, entry


def _lines(results: EventResults) -> Mapping[Key, Line]:
    return {(table.rule.id, table.division, row.entry.id): (table, row) for table in results.tables for row in table.rows}


def _change(key: Key, before: Line | None, after: Line | None) -> Change:
    table, row = after or before  # type: ignore[misc]  # every key comes from one of the two
    score = f", {table.rule.name}" if table.rule.name != "Score" else ""
    return Change(
        entry=row.entry.name,
        standing=f"{table.division_name}{score}",
        score_before=_score(before),
        score_after=_score(after),
        place_before=_place(before),
        place_after=_place(after),
    )


def _score(line: Line | None) -> str:
    if line is None:
        return NOBODY
    row = line[1]
    return score_words(row.score) if row.score else row.status


def _place(line: Line | None) -> str:
    return (place_text(line[1]) if line else "") or NOBODY


def _running(hall: Hall, roster: Roster, event: str) -> bool:
    """Whether a heat of the event has had its GO and is not closed: its lanes would see the change at once."""
    heats = {heat.id for heat in roster.heats if heat.event == event}
    return any(run.heat in heats and run.state == "set" for run in hall.projection.runs)
