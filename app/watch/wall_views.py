"""The views of a wall screen: frozen values, every number already a text but for what a drawing takes its lengths from."""

from dataclasses import dataclass

from app.watch.bar_clocks import BarClockView
from app.watch.board_lifts import LiftsView


@dataclass(frozen=True, slots=True)
class PlateView:
    """A plate on one side of a bar: its weight in words, its colour's name or nothing, its size in millimetres."""

    weight: str
    colour: str
    across: int
    thick: float


@dataclass(frozen=True, slots=True)
class WallLifts:
    """A lift window of a lane: what the board shows of it, the plates of one side for what is declared (innermost first; empty
    where the lane's plates are not known or don't make it), since when an attempt is being judged (its bar is out of the rack, or
    some judges have decided and not all), and when the last judge decided the newest try, both in ms on the heat clock."""

    shown: LiftsView
    plates: tuple[PlateView, ...]
    judged_since: int | None
    decided_at: int | None


@dataclass(frozen=True, slots=True)
class WallLane:
    """A lane of the heat on the floor. `score` is empty before anything was judged there. By window: `counts` is what it holds,
    `work` the line of a list under way. `done`: how far
    its bar is drawn, of `whole` where the work has an end, else beside the longest; None where no length would be true.
    `picture`: where the entry's picture is, or nothing."""

    id: str
    lane: int
    entry: str
    division: str
    variant: str
    members: tuple[str, ...]
    club: str
    colours: tuple[str, ...]
    score: str
    counts: tuple[str, ...]
    work: tuple[str, ...]
    done: float | None
    whole: float | None
    stopped: bool
    lifts: tuple[WallLifts, ...]
    picture: str


@dataclass(frozen=True, slots=True)
class GroupView:
    """Entries of a heat that are ranked together: their division, the lanes in their order in this heat (those level with one
    another side by side), by how much the first leads the second, and how far each of the order is behind the first; empty where
    that is not known."""

    name: str
    order: tuple[tuple[str, ...], ...]
    by: str
    behind: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WallFloor:
    """The heat that is shown. `clock` and `holds` are JSON; `go_ms` is on the timeline that `boot` names; `bound_ms`:
    how far it may be off; None: nobody knows. `unit`: of the totals, where it is not a time. `lifting`: the windows in which a
    bar is lifted."""

    heat: str
    event: str
    number: int
    state: str
    go_ms: int
    boot: str
    bound_ms: int | None
    holds: str
    clock: str
    unit: str
    lifting: tuple[int, ...]
    lanes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WallRace:
    """What changes among the lanes of a heat: who leads; where they share one bar, who is called or next, in words and as a lane,
    who comes after them, and how the clock of whoever is at the bar runs."""

    groups: tuple[GroupView, ...]
    order: str
    after: str
    called: str
    attempt: BarClockView | None


@dataclass(frozen=True, slots=True)
class WallRow:
    """One line of a standing."""

    id: str
    place: str
    entry: str
    members: tuple[str, ...]
    score: str
    unit: str
    note: str
    variant: str
    colours: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WallPanel:
    """A standing. `fresh` are the rows of those who were in the heat on the floor."""

    id: str
    division: str
    title: str
    state: str
    score_name: str
    event: str
    rows: tuple[str, ...]
    fresh: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WaitingLane:
    """A lane of a heat to come: who stands there."""

    lane: int
    entry: str
    division: str
    members: tuple[str, ...]
    club: str
    colours: tuple[str, ...]
    picture: str


@dataclass(frozen=True, slots=True)
class WaitingHeat:
    """A heat to come; `planned` is empty where nobody has planned its time."""

    heat: str
    event: str
    number: int
    planned: str
    lanes: tuple[WaitingLane, ...]


@dataclass(frozen=True, slots=True)
class WallHead:
    """What all scenes share: the competition, which scene the desk has chosen (empty: each screen goes by itself), how many heats
    wait, what is on the floor beside what is shown, the names of what there is to show."""

    competition: str
    where: str
    said: str
    waiting: int
    beside: str
    panels: tuple[str, ...]
    heats: tuple[str, ...]
    podiums: tuple[str, ...]
