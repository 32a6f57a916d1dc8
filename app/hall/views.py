"""What the desk's pages show: frozen values, every number already a text. Templates read these and decide nothing."""

from dataclasses import dataclass
from typing import Literal

from app.hall.hand_clock import HandClock

Asks = Literal["nothing", "countdown", "reason"]
Shape = Literal["safe", "kept", "look", "stopped", "now", "none"]


@dataclass(frozen=True, slots=True)
class State:
    """A state as a word and a shape: see parts.css. `none` has no shape."""

    shape: Shape
    words: str


@dataclass(frozen=True, slots=True)
class HeatLine:
    """A heat in the list of the day. `late` says how it stands against its plan, or is empty."""

    id: str
    event: str
    number: int
    planned: str
    state: State
    late: str
    at_hand: bool


@dataclass(frozen=True, slots=True)
class Tablet:
    """What a lane's tablet last said: reachable or not, the marks it has not handed over, its clock."""

    state: State
    outbox: str
    clock: str


@dataclass(frozen=True, slots=True)
class LaneRow:
    """A lane of the heat at hand: who stands there, what was called of them, who judges, what the sheet says now, what other
    counters say, and whether a medical stop holds."""

    id: str
    lane: int
    entry: str
    variant: str
    members: str
    division: str
    called: tuple[str, ...]
    judge: str
    tablet: Tablet
    now: str
    others: str
    score: str
    last_mark: str
    hand: HandClock | None
    medical: bool


@dataclass(frozen=True, slots=True)
class Move:
    """One thing that can be done to the heat at hand now, what it will do, and what it asks for first."""

    name: str
    label: str
    does: str
    asks: Asks


@dataclass(frozen=True, slots=True)
class Carried:
    """A GO that was carried over from another line of time: whether nobody knows how far it is off, in short and in full."""

    unsure: bool
    short: str
    words: str


@dataclass(frozen=True, slots=True)
class HeatAtHand:
    """The heat at hand. `go_ms` is its GO on the server's timeline, None before one. `clock` and `holds` are JSON for the page's
    own clock. `asks`: the question before a GO on a page that nobody has touched for a while. While a GO can still be given,
    `unchecked` names the lanes whose equipment is not checked, and `unfit` asks about entries that do not fit the event.
    `carried`: what is to be said of a GO from before this computer was started. `undeclared`: what is to be said of a heat that
    is run again before its loads are declared anew."""

    id: str
    title: str
    state: State
    state_name: str
    go_ms: int | None
    holds: str
    length_ms: int
    length: str
    run: int
    clock: str
    lanes: tuple[LaneRow, ...]
    moves: tuple[Move, ...]
    asks: str
    unchecked: str
    unfit: str
    undeclared: str
    carried: Carried | None


@dataclass(frozen=True, slots=True)
class Need:
    """Something that needs a person: how urgent (1 is now), where, what, and where to go for it."""

    urgency: int
    state: State
    where: str
    sentence: str
    link: str


@dataclass(frozen=True, slots=True)
class Day:
    """The desk: the day's heats, the heat at hand, and what needs a person."""

    competition: str
    day: str
    place: str
    heats: tuple[HeatLine, ...]
    heat: HeatAtHand | None
    next_heat: str
    needs: tuple[Need, ...]
    boot: str
