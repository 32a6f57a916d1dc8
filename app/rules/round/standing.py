"""The standing of a round: entries by place in their division, among all, those of one region, or those of one gym."""

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from app.rules.records.overall_rule import Column, Result
from app.rules.result.overall import overall
from app.rules.result.standings import Candidate, Placed, Standing, rank
from app.rules.round.records import LineKey
from app.rules.round.rule import EventRule
from app.rules.round.scale import Score
from app.rules.round.state import LineState, RoundState


@dataclass(frozen=True, slots=True)
class Cell:
    """What an entry has in one event: its score (None: refused, or no line), its place there."""

    event: str
    value: Fraction | None
    place: int | None


@dataclass(frozen=True, slots=True)
class Row:
    """An entry in a standing. `place` is None for one without a place; total: of several events, what they add up to."""

    entry: int
    gym: int
    place: int | None
    shared: bool
    total: Fraction | None
    cells: tuple[Cell, ...]


def line_state(state: RoundState, row: Row, cell: Cell) -> str:
    """The state of a cell's line now; empty for no line. It changes without the score, so no standing holds it."""
    line = state.lines.get((row.entry, cell.event))
    return line.state if line else ""


def standing(state: RoundState, division: str, region: str | None = None, gym: int | None = None) -> list[Row]:
    """The standing of a division as it is now, of a region or gym alone where one is named. In order; who share a place by
    number.

    A line counts with its claim until a decision or an answer says otherwise; a refused one has no score.
    """
    return state.once(("standing", division, region, gym), lambda: _standing(state, _chosen(state, division, region, gym)))


def standing_if(state: RoundState, key: LineKey, value: Score) -> list[Row]:
    """The standing of a line's division as it would be with another score of that line."""
    lines = _chosen(state, state.lines[key].claim.division, None, None)
    lines[key[0]][key[1]] = replace(state.lines[key], value=value)
    return _standing(state, lines)


def _chosen(state: RoundState, division: str, region: str | None, gym: int | None) -> dict[int, dict[str, LineState]]:
    """The lines of a standing, by entry and event, entries in order of their numbers."""
    found: dict[int, dict[str, LineState]] = defaultdict(dict)
    divisions = state.once("divisions", lambda: _by_division(state))
    for (entry, event), line in divisions.get(division, ()):
        if gym in (None, line.claim.gym) and region in (None, state.gyms[line.claim.gym].region):
            found[entry][event] = line
    return dict(sorted(found.items()))


def _by_division(state: RoundState) -> dict[str, list[tuple[LineKey, LineState]]]:
    found: dict[str, list[tuple[LineKey, LineState]]] = defaultdict(list)
    for key, line in state.lines.items():
        found[line.claim.division].append((key, line))
    return found


def _standing(state: RoundState, lines: dict[int, dict[str, LineState]]) -> list[Row]:
    events = state.rules.events
    places = [_places(event, lines) for event in events]
    order: list[tuple[Hashable, int | None, bool, Fraction | None]]
    if len(events) == 1:
        order = [(one.who, one.place, one.shared, None) for one in places[0].values()]
    else:
        columns = [_column(event, lines, found) for event, found in zip(events, places, strict=True)]
        rows = overall(state.rules.overall, list(lines), columns)
        order = [(row.who, row.place, row.shared, row.total) for row in rows]
    return [
        Row(who, _gym(lines[who]), place, shared, total, _cells(who, events, lines[who], places))
        for who, place, shared, total in order
        if isinstance(who, int)
    ]


def _places(event: EventRule, lines: dict[int, dict[str, LineState]]) -> dict[int, Placed]:
    """The places of an event, by entry, in order."""
    values = {entry: own[event.id].value if event.id in own else None for entry, own in lines.items()}
    # As whole numbers of which so many make one: fractions are compared ten times as slowly.
    scale = lcm(*{value.denominator for value in values.values() if value is not None})
    candidates = []
    for entry, value in values.items():
        if value is None:
            out = Standing.DISQUALIFIED if event.id in lines[entry] else Standing.DID_NOT_START
            candidates.append(Candidate(entry, out, ()))
        else:
            candidates.append(Candidate(entry, Standing.RANKED, (event.better_first(value, scale),)))
    return {one.who: one for one in rank(candidates) if isinstance(one.who, int)}


def _column(event: EventRule, lines: dict[int, dict[str, LineState]], places: dict[int, Placed]) -> Column:
    found: dict[Hashable, Result] = {}
    for who, placed in places.items():
        found[who] = Result(placed.place, lines[who][event.id].value if placed.place else None)
    return Column(event.id, "score", found, event.better, event.unit)


def _cells(
    who: int, events: Sequence[EventRule], own: dict[str, LineState], places: Sequence[dict[int, Placed]]
) -> tuple[Cell, ...]:
    found = []
    for event, placed in zip(events, places, strict=True):
        line = own.get(event.id)
        found.append(Cell(event.id, line.value if line else None, placed[who].place))
    return tuple(found)


def _gym(own: dict[str, LineState]) -> int:
    return next(iter(own.values())).claim.gym
