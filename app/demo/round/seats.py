"""The seats of the demo's round as a frozen view: whose page each is, and what to try there."""

from dataclasses import dataclass, replace

from app.demo.round.cast import ENTRIES, YOUR_GYM, entries_of, number_of
from app.demo.round.filling import LEFT_MS, MINUTE, NAME, REVIEWERS
from app.demo.round.your_gym import laptop_of
from app.hall.hall import Hall
from app.round.at_hand import whatever_is_here
from app.round.entries import link_of
from app.round.headquarters import Headquarters
from app.round.looks import code_of
from app.round.next_step import next_step
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.round.times import left_words, shown_time
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.kit import slip_for
from app.rules.round.rule import EventRule
from app.rules.round.state import LineState, RoundState
from app.rules.round.told import shown_score
from app.rules.round.words import shown


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
class YourGym:
    """The gym that a visitor may be. slip: its code; word: the opening word; deadline: in words. address: where its laptop's
    pages are, empty while it does not run; may_start: this visitor may start it."""

    number: int
    name: str
    slip: str
    word: str
    deadline: str
    address: str
    may_start: bool


@dataclass(frozen=True, slots=True)
class RoundSeats:
    """The page; before the round has begun it has no seats. others: whether films wait that simulated reviewers may look at.
    yours: None where no gym waits for a visitor. minutes: until the deadline of a round that begins before it."""

    name: str
    next: str
    seats: tuple[RoundSeat, ...]
    gyms: tuple[GymSeat, ...]
    password: str
    others: bool
    yours: YourGym | None = None
    minutes: int = LEFT_MS // MINUTE


def round_seats(hall: Hall, password: str, called: str) -> RoundSeats:
    """The seats as they are now. password: the demo's, where this visitor may know it; called: by what name the visitor calls the
    demo's computer."""
    with whatever_is_here(hall) as headquarters:
        if not headquarters.has_round:
            return RoundSeats(NAME, "", (), (), password, False)
        seats = _seats(headquarters, hall.time.wall_ms(), password)
        return replace(seats, yours=_yours(hall, headquarters, bool(password), called))


def _yours(hall: Hall, headquarters: Headquarters, may_start: bool, called: str) -> YourGym | None:
    state, now = headquarters.state, hall.time.wall_ms()
    if YOUR_GYM not in state.gyms:
        return None
    rule, key, laptop = state.rules, key_in(headquarters.data, HEADQUARTERS_KEY, make=False), laptop_of(hall)
    deadline = f"{shown_time(state.deadline_ms, rule.zone)}, {left_words(state.deadline_ms - now)}"
    return YourGym(
        number=YOUR_GYM,
        name=state.gyms[YOUR_GYM].name,
        slip=slip_for(key.private, key.public, rule.id, YOUR_GYM).text(),
        word=shown(state.opening),
        deadline=deadline,
        address=laptop.address(called) if laptop and may_start else "",
        may_start=may_start,
    )


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
    gyms = tuple(_gym(state, number) for number in sorted(state.gyms))
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
        claimed, became = (shown_score(event, line.claimed), _became(event, line)) if line is not None else ("–", "")
        entries.append(EntryLine(entry, one.name, state.film_word(entry), claimed, became))
    return GymSeat(number, state.gyms[number].name, tuple(entries))


def _became(event: EventRule, line: LineState) -> str:
    """What became of a line, as its entry is told; nothing of looks before a decision."""
    if line.decision is None or line.value == line.claimed:
        return ""
    return "refused" if line.value is None else f"corrected to {shown_score(event, line.value)}"
