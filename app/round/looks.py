"""Looks are given out blind: the next film that a reviewer may look at, on a sheet without the claim, sealed by a code.

Nobody chooses a film: it is the one that was asked for first, and never one of the own gym. Films' addresses come from a list at
headquarters and stand in no record, so in no book. A code shows headquarters who sent a sheet, and shows it to nobody else: it
follows from headquarters' own key.
"""

import csv
import hmac
import io
import json
from base64 import b32encode
from collections.abc import Mapping
from dataclasses import dataclass
from secrets import token_hex

from pydantic import ValidationError

from app.round.headquarters import Headquarters, NoRound
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.rules.round import records as r
from app.rules.round.due import Said
from app.rules.round.fold import why_not
from app.rules.round.look_sheet import LookSheet, blank_sheet, seen_in
from app.rules.round.state import LineState, Look, RoundState

NO_FILM_WAITS = "No film on the list is waiting for this reviewer."
CODE_BYTES = 10


@dataclass(frozen=True, slots=True)
class GivenOut:
    """A look that was given out: the sheet as JSON text, and until when it may be sealed (Unix milliseconds)."""

    sheet: bytes
    until_ms: int


def films_in(text: str) -> dict[r.LineKey, str]:
    """Films' addresses from a list as CSV: entry, event id, address. A first line of headings is passed over. Raises NoRound."""
    found: dict[r.LineKey, str] = {}
    for number, row in enumerate(csv.reader(io.StringIO(text)), start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells) or (number == 1 and not cells[0].isdecimal()):
            continue
        if len(cells) != 3 or not cells[0].isdecimal() or not cells[2]:
            raise NoRound(f"Line {number} of the films needs an entry's number, an event and an address.")
        found[int(cells[0]), cells[1]] = cells[2]
    return found


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


def give_out(headquarters: Headquarters, reviewer: str, films: Mapping[r.LineKey, str], now_ms: int) -> GivenOut:
    """Gives a reviewer the next look, whose time begins now. Raises NoRound."""
    state = headquarters.state
    if reviewer not in state.reviewers:
        raise NoRound("No reviewer is known by this.")
    if any(look.offer.reviewer == reviewer and look.state in ("offered", "taken") for look in state.looks.values()):
        raise NoRound("This reviewer has a look open. It is sealed or given back first; round --go-on takes back what ran out.")
    look, until = token_hex(6), now_ms + state.rules.lease_ms
    for key, line in sorted(_waiting(state), key=lambda pair: pair[1].asks[-1].number):
        offer = {"look": look, "entry": key[0], "event": key[1], "reviewer": reviewer}
        record = r.LookOffered.model_validate(offer | {"number": 1, "at": now_ms})
        if key not in films or why_not(state, record):
            continue
        event = state.rules.event(key[1])
        assert event is not None, "a line is of an event of the round"
        came: list[Said] = [] if line.film else [(r.FilmCame, {"entry": key[0], "event": key[1]})]
        headquarters.add([*came, (r.LookOffered, offer), (r.LookTaken, {"look": look})], now_ms)
        sheet = blank_sheet(state.rules, event, look, reviewer, films[key], until)
        return GivenOut(json.dumps(sheet.model_dump(mode="json"), ensure_ascii=False, indent=1).encode() + b"\n", until)
    raise NoRound(NO_FILM_WAITS)


def _waiting(state: RoundState) -> list[tuple[r.LineKey, LineState]]:
    return [(key, line) for key, line in state.lines.items() if line.state == "asked"]


def seal(headquarters: Headquarters, filled: bytes, code: str, now_ms: int) -> str:
    """Seals a look under its reviewer's own name, which it gives. Raises NoRound."""
    sheet = _read(filled)
    look = _open(headquarters, sheet, code)
    name = headquarters.state.reviewers[look.offer.reviewer].name
    try:
        fields = seen_in(sheet)
        headquarters.add([(r.LookSealed, fields | {"by": name})], now_ms)
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


def _open(headquarters: Headquarters, sheet: LookSheet, code: str) -> Look:
    """The look that a sheet is of. Raises NoRound where it is none given out here, or the code is not its reviewer's."""
    look = headquarters.state.looks.get(sheet.look) if headquarters.has_round else None
    if look is None or sheet.round != headquarters.state.rules.id or look.offer.reviewer != sheet.reviewer:
        raise NoRound("This sheet is of no look that was given out here.")
    typed = "".join(code.split()).upper()
    if not hmac.compare_digest(typed.encode(), code_of(headquarters, sheet.reviewer).encode()):
        raise NoRound("This is not the code of that reviewer.")
    return look
