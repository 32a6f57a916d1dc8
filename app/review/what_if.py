"""What a ruling would do, by really applying it: scores and places before and after."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.result_words import spoken_place, table_title
from app.live.projection import Projection
from app.rules.records.rulings import Ruling
from app.rules.result.results import EventResults, Row
from app.rules.result.scoring import score_words


@dataclass(frozen=True, slots=True)
class Stands:
    """How an entry stands in one score of an event: its title, score and place in words."""

    title: str
    score: str
    place: str


@dataclass(frozen=True, slots=True)
class Effect:
    """What would come of some rulings: how the entry would stand, whether that is another score or place than now, and whose
    place would change with it, such as `Lanterns: 2 → 3`."""

    stands: tuple[Stands, ...]
    changed: bool
    others: tuple[str, ...]

    @property
    def idle(self) -> bool:
        """Whether no score and no place of the event would be another: said before anybody rules so."""
        return not self.changed and not self.others


def stands_now(hall: Hall, event: str, entry: str) -> tuple[Stands, ...]:
    """How an entry stands in an event."""
    return _stands(hall.projection.event_results(event), entry)


def effect_of(hall: Hall, event: str, entry: str, rulings: Sequence[Ruling]) -> Effect:
    """What more rulings would do to an entry in an event, and to the others. Nothing is stored."""
    return compared(hall.projection, hall.projection.supposing((*hall.projection.rulings, *rulings)), event, entry)


def compared(before: Projection, after: Projection, event: str, entry: str) -> Effect:
    """How an entry and the others stand in one competition against another."""
    was, would = before.event_results(event), after.event_results(event)
    stands = _stands(would, entry)
    return Effect(stands, stands != _stands(was, entry), _moved(was, would, entry))


def _stands(found: EventResults, entry: str) -> tuple[Stands, ...]:
    return tuple(
        Stands(table_title(found.event, table), _score(row), _place(row))
        for table in found.tables
        for row in table.rows
        if row.entry.id == entry
    )


def _score(row: Row) -> str:
    return "no score" if row.score is None else score_words(row.score)


def _place(row: Row) -> str:
    return row.status if row.place is None and row.status else f"place {spoken_place(row.place, row.shared)}"


def _moved(was: EventResults, would: EventResults, entry: str) -> tuple[str, ...]:
    several = len({table.rule.id for table in was.tables}) > 1
    moved = []
    for table, other in zip(was.tables, would.tables, strict=False):
        places = {row.entry.id: _short(row) for row in other.rows}
        for row in table.rows:
            now, then = _short(row), places.get(row.entry.id, "–")
            if row.entry.id != entry and now != then:
                moved.append(f"{row.entry.name}: {now} → {then}" + (f" ({table.rule.name})" if several else ""))
    return tuple(moved)


def _short(row: Row) -> str:
    return "–" if row.place is None else f"={row.place}" if row.shared else str(row.place)
