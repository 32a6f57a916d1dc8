"""The standing of a round: entries by place in their division, among all, those of one region, or those of one gym."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import overload

from app.rules.records.overall_rule import Column, Result
from app.rules.result.overall import overall
from app.rules.round.order import InOrder, division_of, is_within, key_for, placed
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


class Rows(Sequence[Row]):
    """A standing in order; a row is made when it is looked at, before anything is added to the round: few of many thousands are.

    places: each entry with its place, in order."""

    def __init__(
        self,
        state: RoundState,
        order: Sequence[InOrder],
        in_events: Mapping[str, Mapping[int, int | None]],
        totals: Mapping[int, Fraction | None],
    ) -> None:
        self._state, self._order, self._in_events, self._totals = state, order, in_events, totals

    @property
    def places(self) -> list[tuple[int, int | None]]:
        """Each entry with its place."""
        return [(entry, place) for entry, place, _ in self._order]

    def __len__(self) -> int:
        return len(self._order)

    @overload
    def __getitem__(self, at: int) -> Row: ...

    @overload
    def __getitem__(self, at: slice) -> list[Row]: ...

    def __getitem__(self, at: int | slice) -> Row | list[Row]:
        return [self._row(one) for one in self._order[at]] if isinstance(at, slice) else self._row(self._order[at])

    def __iter__(self) -> Iterator[Row]:
        return map(self._row, self._order)

    def _row(self, one: InOrder) -> Row:
        entry, place, shared = one
        lines = [(event.id, self._state.lines.get((entry, event.id))) for event in self._state.rules.events]
        cells = tuple(
            Cell(event, line.value if line else None, self._in_events[event][entry] if self._in_events else place)
            for event, line in lines
        )
        gym = next(line.claim.gym for _, line in lines if line is not None)
        return Row(entry, gym, place, shared, self._totals.get(entry), cells)


def line_state(state: RoundState, row: Row, cell: Cell) -> str:
    """The state of a cell's line now; empty for no line. It changes without the score, so no standing holds it."""
    line = state.lines.get((row.entry, cell.event))
    return line.state if line else ""


def standing(state: RoundState, division: str, region: str | None = None, gym: int | None = None) -> Rows:
    """The standing of a division as it is now, of a region or gym alone where one is named. In order; who share a place by
    number.

    A line counts with its claim until a decision or an answer says otherwise; a refused one has no score.
    """
    return state.once(("standing", division, region, gym), lambda: _standing(state, division, region, gym))


def standing_if(state: RoundState, key: LineKey, value: Score) -> list[tuple[int, int | None]]:
    """The places of a line's division as they would be with another score of that line: each entry with its own, in order."""
    division, event = division_of(state, state.lines[key].claim.division), state.rules.event(key[1])
    assert event is not None, "a line is of an event of the round"
    orders = {one: placed(order.keys) for one, order in division.orders.items() if one != event.id}
    orders[event.id] = placed(division.orders[event.id].with_another(key_for(event, key[0], value)))
    return _of_events(state, sorted(division.gyms), orders, {key: value}).places


def _standing(state: RoundState, name: str, region: str | None, gym: int | None) -> Rows:
    division = division_of(state, name)
    if region is None and gym is None:
        return _of_events(state, sorted(division.gyms), {one: placed(order.keys) for one, order in division.orders.items()}, {})
    inside = {entry for entry, of in division.gyms.items() if is_within(state, of, region, gym)}
    orders = {one: placed([key for key in order.keys if key[2] in inside]) for one, order in division.orders.items()}
    return _of_events(state, sorted(inside), orders, {})


def _of_events(
    state: RoundState, entries: Sequence[int], orders: Mapping[str, Sequence[InOrder]], instead: Mapping[LineKey, Score]
) -> Rows:
    """The standing that some places in each event make. instead: other scores than those of the lines."""
    events = state.rules.events
    if len(events) == 1:
        return Rows(state, orders[events[0].id], {}, {})
    columns = [_column(state, event, orders[event.id], instead) for event in events]
    rows = overall(state.rules.overall, entries, columns)
    order = [(row.who, row.place, row.shared, row.total) for row in rows if isinstance(row.who, int)]
    in_events = {event: {entry: place for entry, place, _ in those} for event, those in orders.items()}
    return Rows(state, [one[:3] for one in order], in_events, {who: total for who, _, _, total in order})


def _column(state: RoundState, event: EventRule, order: Sequence[InOrder], instead: Mapping[LineKey, Score]) -> Column:
    found: dict[Hashable, Result] = {}
    for entry, place, _ in order:
        key = (entry, event.id)
        found[entry] = Result(place, (instead[key] if key in instead else _value(state.lines.get(key))) if place else None)
    return Column(event.id, "score", found, event.better, event.unit)


def _value(line: LineState | None) -> Score:
    return line.value if line is not None else None
