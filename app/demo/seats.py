"""The demo's seats as a frozen view: what each is for, what to try there, and who sits there now."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.demo.floor import AWAY_MS, held_by_person
from app.hall.hall import Hall
from app.hall.heats import event_of, in_day_order, newest_runs, state_of
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.roster import Heat, Roster
from app.rules.records.seats import Seat


@dataclass(frozen=True, slots=True)
class LaneButton:
    """A lane on which a seat can be taken; `words`: its number, and whether a person sits there."""

    lane: int
    words: str


@dataclass(frozen=True, slots=True)
class LaneSeat:
    """A seat that every lane has: the role by which it is taken, and one line on what to try there."""

    role: Seat
    name: str
    to_try: str
    lanes: tuple[LaneButton, ...]


@dataclass(frozen=True, slots=True)
class OpenSeat:
    """A seat that is only a page."""

    name: str
    link: str
    to_try: str


@dataclass(frozen=True, slots=True)
class SeatsView:
    """The page. `now`, `next`: what is on the floor and what comes after it, in words. `password`: the desk's, where it may be
    shown; `away`: after how long an empty seat is played on."""

    competition: str
    now: str
    next: str
    lane_seats: tuple[LaneSeat, ...]
    open_seats: tuple[OpenSeat, ...]
    password: str
    away: str


LANE_SEATS: Sequence[tuple[Seat, str, str]] = (
    (
        "lane",
        "Judge",
        "Lifts: press when the bar leaves the rack, then good lift or no lift. Relay: tap each repetition, and take one back.",
    ),
    (
        "second",
        "Second counter",
        "A second judge: one light of three in the lifts; in the relay your count is combined with theirs.",
    ),
    ("third", "Referee", "The third light in the lifts: decide without seeing the others, then watch all three come on."),
    (
        "lifter",
        "Lifter",
        "Declare the next load, change it until the bar leaves the rack, and see what it takes to overtake.",
    ),
    (
        "lifter",
        "Loader",
        "Press Loaders' view: the bar drawn plate by plate, what to take off and put on. Say what is really on it.",
    ),
)
OPEN_SEATS = (
    OpenSeat("Head judge", "/review", "Decide the open protest, and see first what it would do to scores and places."),
    OpenSeat("Desk", "/desk", "Hold the heat and resume it; see what needs you; then Plan, Paper, Results, Activity log."),
    OpenSeat("Wall", "/wall", "For a big screen: every lane, the leader, the lifts; then the result, standings and podium."),
    OpenSeat("Board", "/board", "For phones and laptops: it follows every mark and turns from division to division."),
    OpenSeat("Hall clock", "/clock", "The heat clock, large, with every window drawn to scale and whose turn it is."),
    OpenSeat("Spectator", "/timetable", "On a phone: when somebody competes, with links to the board, briefs and results."),
)


def seats_view(hall: Hall, password: str) -> SeatsView:
    """The seats as they are now."""
    roster = hall.projection.roster
    lanes = sorted({lane.lane for heat in roster.heats for lane in heat.lanes}) if roster else []
    now, following = _floor(hall, roster) if roster else ("", "")
    return SeatsView(
        competition=roster.competition.name if roster else "The demo",
        now=now,
        next=following,
        lane_seats=tuple(
            LaneSeat(role, name, to_try, tuple(_button(hall, lane, role) for lane in lanes)) for role, name, to_try in LANE_SEATS
        ),
        open_seats=OPEN_SEATS,
        password=password,
        away=f"{AWAY_MS // 60_000} minutes",
    )


def _button(hall: Hall, lane: int, role: Seat) -> LaneButton:
    return LaneButton(lane, f"{lane}, taken" if held_by_person(hall, lane, role) else str(lane))


def _floor(hall: Hall, roster: Roster) -> tuple[str, str]:
    """What is on the floor, and what comes next."""
    runs = newest_runs(hall.projection.runs)
    heats = [(heat, state_of(hall, roster, heat, runs.get(heat.id))) for heat in in_day_order(roster) if heat.lanes]
    now = next((_named(roster, heat) for heat, state in heats if state in ON_THE_FLOOR), "")
    return now, next((_named(roster, heat) for heat, state in heats if state is HeatState.PLANNED), "")


def _named(roster: Roster, heat: Heat) -> str:
    return f"{event_of(roster, heat).name}, heat {heat.number}"
