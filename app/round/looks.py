"""Looks are given out blind: the next film that a reviewer may look at, on a sheet without the claim, sealed by a code.

Nobody chooses a film: it is the one that was asked for first, and never one of the own gym. Films' addresses come from a list at
headquarters and stand in no record, so in no book. A code shows headquarters who sent a sheet, and shows it to nobody else: it
follows from headquarters' own key. On the page of a look it is the end of the address.
"""

import hmac
import json
from base64 import b32encode
from collections.abc import Mapping
from dataclasses import dataclass
from secrets import token_hex

from pydantic import ValidationError

from app.round.headquarters import Headquarters
from app.round.kept_records import NoRound
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.rules.round import records as r
from app.rules.round.authority import Speaker
from app.rules.round.due import Said
from app.rules.round.fold import why_not
from app.rules.round.look_sheet import LookSheet, blank_sheet, seen_in
from app.rules.round.state import LineState, Look, RoundState
from app.store.refusals import NotThere

NO_FILM_WAITS = "No film on the list is waiting for this reviewer."
CODE_BYTES = 10


@dataclass(frozen=True, slots=True)
class GivenOut:
    """A look that was given out: the sheet as JSON text, and until when it may be sealed (Unix milliseconds)."""

    sheet: bytes
    until_ms: int


def add_reviewer(headquarters: Headquarters, reviewer: str, name: str, gym: int, now_ms: int) -> str:
    """Adds a reviewer, and gives the code that seals looks under that name. Raises NoRound."""
    try:
        headquarters.add([(r.Reviewer, {"reviewer": reviewer, "name": name, "gym": gym})], now_ms)
    except ValidationError as wrong:
        raise NoRound(f"{wrong.errors()[0]['loc'][0]}: {wrong.errors()[0]['msg']}.") from None
    return code_of(headquarters, reviewer)


def code_of(headquarters: Headquarters, reviewer: str) -> str:
    """A reviewer's code. It follows from headquarters' key, and is kept nowhere."""
    private = key_in(headquarters.data, HEADQUARTERS_KEY, make=False).private
    made = hmac.digest(private, f"reviewer/{headquarters.state.rules.id}/{reviewer}".encode(), "sha256")
    return b32encode(made[:CODE_BYTES]).decode()


def reviewer_of(headquarters: Headquarters, code: str) -> str:
    """Whose code it is. Raises NotThere."""
    typed, found = _as_typed(code), ""
    for reviewer in headquarters.state.reviewers:
        if hmac.compare_digest(typed, code_of(headquarters, reviewer).encode()):
            found = reviewer
    if not found:
        raise NotThere("This link is of nobody who looks at films here.")
    return found


def give_out(headquarters: Headquarters, reviewer: str, films: Mapping[r.LineKey, str], now_ms: int) -> GivenOut:
    """Gives a reviewer the next look, as a sheet in a file. Raises NoRound."""
    sheet = next_look(headquarters, reviewer, films, now_ms)
    return GivenOut(json.dumps(sheet.model_dump(mode="json"), ensure_ascii=False, indent=1).encode() + b"\n", sheet.until)


def next_look(headquarters: Headquarters, reviewer: str, films: Mapping[r.LineKey, str], now_ms: int) -> LookSheet:
    """Gives a reviewer the next look, whose time begins now. Raises NoRound."""
    state = headquarters.state
    if reviewer not in state.reviewers:
        raise NoRound("No reviewer is known by this.")
    if open_look(state, reviewer) is not None:
        raise NoRound("This reviewer has a look open. It is sealed or given back first; round --go-on takes back what ran out.")
    key = next_film(state, reviewer, films, now_ms)
    if key is None:
        raise NoRound(NO_FILM_WAITS)
    offer = {"look": token_hex(6), "entry": key[0], "event": key[1], "reviewer": reviewer}
    came: list[Said] = [] if state.lines[key].film else [(r.FilmCame, {"entry": key[0], "event": key[1]})]
    headquarters.add([*came, (r.LookOffered, offer), (r.LookTaken, {"look": offer["look"]})], now_ms)
    return sheet_of(headquarters.state, headquarters.state.looks[str(offer["look"])], films)


def next_film(state: RoundState, reviewer: str, films: Mapping[r.LineKey, str], now_ms: int) -> r.LineKey | None:
    """The line whose film a reviewer is given next: of those on the list the one that was asked for first; None for no more."""
    for key, _ in sorted(_waiting(state), key=lambda pair: pair[1].asks[-1].number):
        said = {"look": "look", "entry": key[0], "event": key[1], "reviewer": reviewer, "number": 1, "at": now_ms}
        if key in films and not why_not(state, r.LookOffered.model_validate(said)):
            return key
    return None


def open_look(state: RoundState, reviewer: str) -> Look | None:
    """The look that a reviewer has open."""
    mine = (look for look in state.looks.values() if look.offer.reviewer == reviewer)
    return next((look for look in mine if look.state in ("offered", "taken")), None)


def sheet_of(state: RoundState, look: Look, films: Mapping[r.LineKey, str]) -> LookSheet:
    """The blank sheet of a look."""
    event = state.rules.event(look.offer.event)
    assert event is not None, "a line is of an event of the round"
    film, until = films.get(look.offer.line, ""), look.taken_at + state.rules.lease_ms
    offer, print = look.offer, state.lines[look.offer.line].claim.film_print
    return blank_sheet(state.rules, event, look=offer.look, reviewer=offer.reviewer, film=film, film_print=print, until=until)


def give_back(headquarters: Headquarters, reviewer: str, now_ms: int) -> None:
    """Gives back the look that a reviewer has open, if there is one: somebody else is given it. Raises NoRound."""
    look = open_look(headquarters.state, reviewer)
    if look is not None:
        headquarters.add([(r.LookGivenBack, {"look": look.offer.look})], now_ms, by=Speaker("reviewer", reviewer))


def _waiting(state: RoundState) -> list[tuple[r.LineKey, LineState]]:
    return [(key, line) for key, line in state.lines.items() if line.state == "asked"]


def seal(headquarters: Headquarters, filled: bytes, code: str, now_ms: int) -> str:
    """Seals a look that came as a file, under its reviewer's own name, which it gives. Raises NoRound."""
    sheet = _read(filled)
    _open(headquarters, sheet, code)
    return seal_sheet(headquarters, sheet, now_ms)


def seal_sheet(headquarters: Headquarters, sheet: LookSheet, now_ms: int) -> str:
    """Seals a filled sheet of the reviewer who brings it, under their name, which it gives. Raises NoRound."""
    name = headquarters.state.reviewers[sheet.reviewer].name
    try:
        fields = seen_in(sheet)
        headquarters.add([(r.LookSealed, fields | {"by": name})], now_ms, by=Speaker("reviewer", sheet.reviewer))
    except ValidationError as wrong:
        raise NoRound(f"The look can't be sealed: {wrong.errors()[0]['msg']}.") from None
    except ValueError as wrong:
        raise NoRound(str(wrong)) from None
    return name


def _read(filled: bytes) -> LookSheet:
    try:
        return LookSheet.model_validate_json(filled)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        where = ".".join(map(str, first["loc"])) or "the file"
        raise NoRound(f"This is no sheet of a look: {where}: {first['msg']}.") from None


def _open(headquarters: Headquarters, sheet: LookSheet, code: str) -> None:
    """Raises NoRound where a sheet is of no look that was given out here, or the code is not its reviewer's."""
    look = headquarters.state.looks.get(sheet.look) if headquarters.has_round else None
    if look is None or sheet.round != headquarters.state.rules.id or look.offer.reviewer != sheet.reviewer:
        raise NoRound("This sheet is of no look that was given out here.")
    if not hmac.compare_digest(_as_typed(code), code_of(headquarters, sheet.reviewer).encode()):
        raise NoRound("This is not the code of that reviewer.")


def _as_typed(code: str) -> bytes:
    """A code as somebody typed it."""
    return "".join(code.split()).upper().encode()
