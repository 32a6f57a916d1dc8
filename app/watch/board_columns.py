"""The columns of a standing on the board between an entry and its score. Another column is another line of `columns`."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from app.hall.lane_scores import NOTHING
from app.hall.result_words import part_text
from app.rules.count.tally import Tally
from app.rules.result.results import Row, Table
from app.rules.result.scoring import NO_LIFT, NO_TOTAL, part_name
from app.rules.workout.formats import Format


@dataclass(frozen=True, slots=True)
class Column:
    """A column: what stands at its head, and what it shows of a row, with what its lane holds while that is on the floor; empty
    before there is something to show."""

    name: str
    value: Callable[[Row, Tally | None], str]


def columns(format: Format, table: Table) -> Iterator[Column]:
    """The columns of a standing in order. A score of one part is its own explanation, so its part has none."""
    parts = table.rule.parts
    if len(parts) > 1:
        windows = [format.window_indexes(part) for part in parts]
        yield from (Column(part_name(format, part), partial(_part, n, windows[n])) for n, part in enumerate(parts))


def _part(number: int, windows: Sequence[int], row: Row, tally: Tally | None) -> str:
    """One part of a score in the unit it was made in: of whoever has a place, and of who has no total, whose lifts are shown all
    the same. While its lane is on the floor, what has not begun there is no 0."""
    made = row.score if row.place is not None or row.status in (NO_TOTAL, NO_LIFT) else None
    if made is None or number >= len(made.parts):
        return ""
    to_come = tally is not None and not any(tally.windows[index].told for index in windows)
    return NOTHING if to_come else part_text(made.parts[number])
