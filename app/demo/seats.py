"""The demo's seats as a frozen view: what each is for, what to try there, and who sits there now."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.demo.floor import AWAY_MS, coached, held_by_person
from app.hall.hall import Hall
from app.hall.heats import event_of, in_day_order, newest_runs, state_of
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.platforms import heats_at_platforms, platform_at, platforms
from app.rules.records.roster import Heat, Roster
from app.rules.records.seats import Seat
from app.rules.values.words import ranges


@dataclass(frozen=True, slots=True)
class PlaceButton:
    """A lane, or a platform by its first lane, on which a seat can be taken. words: what the button says, and whether a person
    sits there; spoken: the same with the seat."""

    lane: int
    words: str
    spoken: str


@dataclass(frozen=True, slots=True)
class PlacedSeat:
    """A seat that every lane has, or every platform: the role by which it is taken, and one line on what to try there."""

    role: Seat
    name: str
    to_try: str
    places: tuple[PlaceButton, ...]


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
    lane_seats: tuple[PlacedSeat, ...]
    platform_seats: tuple[PlacedSeat, ...]
    open_seats: tuple[OpenSeat, ...]
    password: str
    away: str


COACHED = 3  # lanes of a platform whose lifters a coach of the demo has
LANE_SEATS: Sequence[tuple[Seat, str, str]] = (
    ("lane", "Judge", "Relay: tap each repetition, and take one back. Stairs and relay: check the equipment, sign the sheet."),
    ("second", "Second counter", "In the relay your count is combined with the judge's."),
    (
        "lifter",
        "Lifter",
        "Declare the next load, change it until the bar leaves the rack, and see what it takes to overtake.",
    ),
)
PLATFORM_SEATS: Sequence[tuple[Seat, str, str]] = (
    ("centre", "Centre referee", "Press when the bar leaves the rack, then good lift or no lift, and when it is racked."),
    ("left", "Left referee", "One light of three: decide without seeing the others, then watch all three come on."),
    ("coach", "Coach", "Declare for the lifters of three lanes from one phone: whoever must say a load next stands on top."),
    ("marshal", "Marshal", "Call whoever is next: the lightest load first. Write down what a lifter says."),
    ("loaders", "Loaders", "The bar drawn plate by plate, what to take off and put on. Say what is really on it."),
)
OPEN_SEATS = (
    OpenSeat("Head judge", "/review", "Decide the open protest, and see first what it would do to scores and places."),
    OpenSeat("Desk", "/desk", "Hold the heat and resume it; see what needs you; then Plan, Paper, Results, Activity log."),
    OpenSeat("Wall", "/wall", "For a big screen: every lane, the leader, the lifts; then the result, standings and podium."),
    OpenSeat("Board", "/board", "For phones and laptops: it follows every mark and turns from division to division."),
    OpenSeat("Warm-up", "/warm-up", "Who is at the bar, who is called next with which load, and in how many lifts."),
    OpenSeat("Hall clock", "/clock", "The heat clock, large, with every window drawn to scale and whose turn it is."),
    OpenSeat("Six gyms", "/demo/round", "A round: look at a film of another gym, then decide at headquarters and publish."),
    OpenSeat("Spectator", "/timetable", "On a phone: when somebody competes, with links to the board, briefs and results."),
)


def seats_view(hall: Hall, password: str) -> SeatsView:
    """The seats as they are now."""
    roster = hall.projection.roster
    lanes = sorted({lane.lane for heat in roster.heats for lane in heat.lanes}) if roster else []
    at_lanes = [(lane, str(lane)) for lane in lanes]
    at_platforms = [(of[0], f"Lanes {ranges(of)}") for of in platforms(roster)] if roster else []
    now, following = _floor(hall, roster) if roster else ("", "")
    return SeatsView(
        competition=roster.competition.name if roster else "The demo",
        now=now,
        next=following,
        lane_seats=tuple(_placed(hall, seat, at_lanes, "lane ") for seat in LANE_SEATS),
        platform_seats=tuple(_placed(hall, seat, at_platforms) for seat in PLATFORM_SEATS),
        open_seats=OPEN_SEATS,
        password=password,
        away=f"{AWAY_MS // 60_000} minutes",
    )


def _placed(hall: Hall, seat: tuple[Seat, str, str], places: Sequence[tuple[int, str]], before: str = "") -> PlacedSeat:
    """A seat with its places. before: what a place is called, where its button is only a number."""
    role, name, to_try = seat
    found = [(lane, f"{words}, taken" if _is_taken(hall, lane, role) else words) for lane, words in places]
    return PlacedSeat(role, name, to_try, tuple(PlaceButton(lane, words, f"{name}, {before}{words}") for lane, words in found))


def _is_taken(hall: Hall, lane: int, role: Seat) -> bool:
    return held_by_person(hall, lane, role) or any(coached(hall, entry) for entry in stands_for(hall, role, lane))


def stands_for(hall: Hall, role: str, lane: int | None) -> tuple[str, ...]:
    """The entries that a coach at a platform is given; none for another seat."""
    roster = hall.projection.roster
    if role != "coach" or roster is None:
        return ()
    lanes = platform_at(roster, lane)[:COACHED]
    return tuple(dict.fromkeys(one.entry for heat in heats_at_platforms(roster) for one in heat.lanes if one.lane in lanes))


def _floor(hall: Hall, roster: Roster) -> tuple[str, str]:
    """What is on the floor, and what comes next."""
    runs = newest_runs(hall.projection.runs)
    heats = [(heat, state_of(hall, roster, heat, runs.get(heat.id))) for heat in in_day_order(roster) if heat.lanes]
    now = next((_named(roster, heat) for heat, state in heats if state in ON_THE_FLOOR), "")
    return now, next((_named(roster, heat) for heat, state in heats if state is HeatState.PLANNED), "")


def _named(roster: Roster, heat: Heat) -> str:
    return f"{event_of(roster, heat).name}, heat {heat.number}"
