"""The views of the public board: frozen values, every number already a text."""

from dataclasses import dataclass

from app.watch.board_floor import FloorView
from app.watch.shown import Beside

MOST_PART_COLUMNS = 4  # more do not fit beside an entry's name on a wall


@dataclass(frozen=True, slots=True)
class PartView:
    """One part of a score as shown: `Skips 310`, `Squats 405 lb`."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class RowView:
    """One entry in a standing. `place` is ready to read: `1`, `=2`, or empty. `live`: it is on the floor now. `variant`: what it
    did, where that is not what its division does. `link`: where its score is explained, if there is something to explain.
    `colours`: its clubs'."""

    id: str
    place: str
    spoken_place: str
    entry: str
    members: tuple[str, ...]
    score: str
    unit: str
    parts: tuple[PartView, ...]
    note: str
    live: bool
    variant: str = ""
    link: str = ""
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PanelView:
    """The standing of one division in one score of one event, or overall.

    first: shown when the page opens. turns: it takes its turn when the board turns by itself. part_columns: `columns` when the
    parts fit beside one another on a wall, else `lines`. size: `few` when its lines have room to be larger.
    """

    id: str
    tab: str
    title: str
    division: str
    state: str
    first: bool
    turns: bool
    score_name: str
    part_names: tuple[str, ...]
    part_columns: str
    size: str
    rows: tuple[RowView, ...]


@dataclass(frozen=True, slots=True)
class BoardView:
    """The whole board. `lane` names the floor that it keeps to; None for the whole hall. `beside`: what it does not show."""

    competition: str
    where: str
    panels: tuple[PanelView, ...]
    floor: FloorView | None
    next_heat: str
    lane: int | None
    beside: Beside

    @property
    def query(self) -> str:
        """What names its floor in the addresses of other screens."""
        return self.beside.only.query if self.beside.only else ""


def part_columns(parts: int) -> str:
    """How the parts of a panel's rows are laid out: beside one another if that can be done on a wall."""
    return "columns" if parts <= MOST_PART_COLUMNS else "lines"
