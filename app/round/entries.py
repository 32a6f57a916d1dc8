"""An entry's own link: what it claims without a gym's laptop, what became of its lines, and its appeals.

The link names entry and division and ends in a code that follows from headquarters' own key, so it is kept nowhere. The gym is
that of the number.
"""

import hmac
from base64 import b32encode
from dataclasses import dataclass
from fractions import Fraction

from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.round.at_hand import as_known, take_together
from app.round.film_list import NOT_AN_ADDRESS, is_address, keep_some
from app.round.headquarters import Headquarters
from app.round.kept_records import Act, NoRound, Took
from app.round.kits import kit_here
from app.round.looks import CODE_BYTES
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.rules.round import records as r
from app.rules.round.authority import Speaker
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.look_guide import film_checks
from app.rules.round.rule import EventRule, PartRule
from app.rules.round.told import NotTold, read_number, shown_parts, shown_score
from app.store.refusals import NotThere

ANSWERS: dict[str, type[r.Kept]] = {"accepted": r.Accepted, "declined": r.Declined}
CHECK = "check-"  # begins the field by which something is ticked off of a film
NO_FILM = "There is no address of your film yet. If a look is asked for and none comes in its time, the line is refused."


@dataclass(frozen=True, slots=True)
class Claimant:
    """Whose link it is."""

    entry: int
    division: str

    @property
    def gym(self) -> int:
        """The gym that the number is of."""
        return self.entry // MOST_OF_A_GYM


@dataclass(frozen=True, slots=True)
class Draft:
    """A claim as it is typed. says: what it comes to, in words; lacks: what it lacks, as sentences; line: which it is."""

    fields: dict[str, object]
    film: str
    says: str
    lacks: tuple[str, ...]
    line: r.LineKey


def link_of(headquarters: Headquarters, entry: int, division: str) -> str:
    """The own link of an entry. Raises NoRound for a gym or division that the round has not."""
    state, who = headquarters.state, Claimant(entry, division)
    if who.gym not in state.gyms or state.rules.division(division) is None or not entry % MOST_OF_A_GYM:
        raise NoRound("No gym has an entry of this number, or the round has no such division.")
    line = state.line_of(entry)
    if line is not None and line.claim.division != division:
        raise NoRound("This entry stands in another division.")
    return f"/claim/{entry}.{division}.{_code(headquarters, who)}"


def claimant_of(headquarters: Headquarters, token: str) -> Claimant:
    """Whose link it is. Raises NotThere."""
    entry, _, rest = token.partition(".")
    division, _, code = rest.rpartition(".")
    if entry.isascii() and entry.isdecimal() and len(entry) < 10:
        who = Claimant(int(entry), division)
        if hmac.compare_digest(code.encode(), _code(headquarters, who).encode()):
            return who
    raise NotThere("This link is of no entry of a round here.")


def _code(headquarters: Headquarters, who: Claimant) -> str:
    private = key_in(headquarters.data, HEADQUARTERS_KEY, make=False).private
    said = f"entry/{headquarters.state.rules.id}/{who.entry}/{who.division}"
    return b32encode(hmac.digest(private, said.encode(), "sha256")[:CODE_BYTES]).decode()


def draft(headquarters: Headquarters, who: Claimant, typed: Typed) -> Draft:
    """What a typed claim says and lacks, before it goes. Raises BadForm, NoRound."""
    event = headquarters.state.rules.event(typed.get("event", ""))
    if event is None:
        raise NoRound("The round has no such event.")
    read = Reading(typed)
    parts = [_number(read, f"count-{number}", part) for number, part in enumerate(event.parts)]
    film = read.raw("film")
    if film and not film.startswith(("https://", "http://")):
        read.wrong("film", "The film's address begins with https://.")
    elif not is_address(film):
        read.wrong("film", NOT_AN_ADDRESS)
    read.done()
    asked = film_checks(headquarters.state.rules, event, kit_here(headquarters.data))
    done = tuple(key for key, _ in asked if typed.get(f"{CHECK}{key}"))
    lacks = [] if film else [NO_FILM]
    lacks += [f"Not ticked off: {words}" for key, words in asked if key not in done]
    fields = {"entry": who.entry, "event": event.id, "division": who.division, "gym": who.gym, "film_checks": done}
    said = fields | {"parts": tuple(parts), "film": bool(film)}
    return Draft(said, film, _says(event, parts), tuple(lacks), (who.entry, event.id))


def _number(read: Reading, field: str, part: PartRule) -> Fraction:
    if not read.raw(field):
        read.wrong(field, f"{part.name} has no number.")
        return part.none
    try:
        return read_number(part, read.raw(field))
    except NotTold as wrong:
        read.wrong(field, str(wrong))
        return part.none


def _says(event: EventRule, parts: list[Fraction]) -> str:
    """What a claim comes to, number by number."""
    return f"{event.name}: {shown_parts(event, parts)}. Score: {shown_score(event, event.score(parts))}"


def claim_in(hall: Hall, token: str, typed: Typed) -> tuple[Draft, Act]:
    """What is claimed by a link, and what takes it. Raises NotThere, BadForm, NoRound."""
    headquarters = as_known(hall)
    made = draft(headquarters, claimant_of(headquarters, token), typed)
    return made, headquarters.claims(made.fields, hall.time.wall_ms())


def take_claim(hall: Hall, made: Draft, act: Act) -> Took | None:
    """Takes a claim together with what others send; its receipt. One sent before is replaced, and both are kept. Raises
    NoRound."""
    took = take_together(hall, act)
    if made.film:
        try:
            keep_some(hall.settings.data, {made.line: made.film})
        except NoRound as wrong:
            number = f" Its receipt is {took.number}." if took else ""
            raise NoRound(f"Your claim is taken.{number} Where its film is could not be kept: {wrong} Send it again.") from None
    return took


def answer(headquarters: Headquarters, who: Claimant, typed: Typed, now_ms: int) -> None:
    """Says whether an entry that was invited comes. Raises BadForm, NoRound."""
    headquarters.add([(answer_kind(typed), {"entry": who.entry})], now_ms, by=Speaker("entry", entry=who.entry))


def answer_kind(typed: Typed) -> type[r.Kept]:
    """The record of a typed answer to an invitation. Raises BadForm."""
    kind = ANSWERS.get(typed.get("answer", ""))
    if kind is None:
        raise refuse("answer", "An invitation is accepted or declined.")
    return kind


def appeal(headquarters: Headquarters, who: Claimant, typed: Typed, now_ms: int) -> None:
    """Files an appeal against the decision on a line. Raises BadForm, NoRound."""
    read = Reading(typed)
    why = read.name("why", "Why the decision is wrong", 300)
    read.done()
    said = {"entry": who.entry, "event": typed.get("event", ""), "why": why}
    headquarters.add([(r.Appeal, said)], now_ms, by=Speaker("entry", entry=who.entry))
