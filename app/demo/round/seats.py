"""The seats of the demo's round as a frozen view: whose page each is, and what to try there."""

from dataclasses import dataclass

from app.demo.round.cast import ENTRIES, entries_of, number_of
from app.demo.round.filling import NAME, REVIEWERS
from app.hall.hall import Hall
from app.round.at_hand import whatever_is_here
from app.round.entries import link_of
from app.round.headquarters import Headquarters
from app.round.looks import code_of
from app.round.next_step import next_step
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.rule import EventRule
from app.rules.round.state import LineState, RoundState
from app.rules.round.told import shown_score


@dataclass(frozen=True, slots=True)
class RoundSeat:
    """A seat: its page, and one line on what to try there."""

    name: str
    link: str
    to_try: str


@dataclass(frozen=True, slots=True)
class EntryLine:
    """An entry of a gym: its number, its film's word, what was claimed, and what became of it."""

    number: int
    name: str
    word: str
    claimed: str
    became: str


@dataclass(frozen=True, slots=True)
class GymSeat:
    """A gym: what it handed in."""

    number: int
    name: str
    entries: tuple[EntryLine, ...]


@dataclass(frozen=True, slots=True)
class RoundSeats:
    """The page; before the round has begun it has no seats. others: whether films wait that simulated reviewers may look at."""

    name: str
    next: str
    seats: tuple[RoundSeat, ...]
    gyms: tuple[GymSeat, ...]
    password: str
    others: bool


def round_seats(hall: Hall, password: str) -> RoundSeats:
    """The seats as they are now."""
    with whatever_is_here(hall) as headquarters:
        if not headquarters.has_round:
            return RoundSeats(NAME, "", (), (), password, False)
        return _seats(headquarters, hall.time.wall_ms(), password)


def _seats(headquarters: Headquarters, now_ms: int, password: str) -> RoundSeats:
    state = headquarters.state
    desk = RoundSeat(
        "Headquarters", "/desk/round", "See what comes next; decide with the effect before you; publish, hear an appeal, invite."
    )
    watching = RoundSeat("Spectator", "/round", "The heads while the round runs; once it is published, each place and its proof.")
    looking = [RoundSeat(f"Reviewer {name}", f"/look/{code_of(headquarters, key)}", _to_try(gym)) for key, name, gym in REVIEWERS]
    corrected = next(one for one in ENTRIES if any(one.high))
    link = link_of(headquarters, number_of(corrected, MOST_OF_A_GYM), corrected.division)
    own = RoundSeat(f"Athlete {corrected.name}", link, "See what headquarters made of the claim, and when in the film; appeal.")
    gyms = tuple(_gym(state, number) for number in sorted({one.gym for one in ENTRIES}))
    waiting = any(line.state == "asked" for line in state.lines.values())
    return RoundSeats(state.rules.name, next_step(state, now_ms).words, (desk, *looking, own, watching), gyms, password, waiting)


def _to_try(gym: int) -> str:
    of_gym = f" Is of gym {gym}, and is never given its films." if gym else ""
    return f"Take the next film, set GO, press for each deep squat, read the bar and the word, seal it.{of_gym}"


def _gym(state: RoundState, number: int) -> GymSeat:
    entries, event = [], state.rules.events[0]
    for one in entries_of(number):
        entry = number_of(one, MOST_OF_A_GYM)
        line = state.line_of(entry)
        assert line is not None, "the demo's gyms handed all of their lines in"
        entries.append(EntryLine(entry, one.name, state.film_word(entry), shown_score(event, line.claimed), _became(event, line)))
    return GymSeat(number, state.gyms[number].name, tuple(entries))


def _became(event: EventRule, line: LineState) -> str:
    """What became of a line, as its entry is told; nothing of looks before a decision."""
    if line.decision is None or line.value == line.claimed:
        return ""
    return "refused" if line.value is None else f"corrected to {shown_score(event, line.value)}"
