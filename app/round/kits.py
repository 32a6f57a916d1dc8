"""Kits and slips, made of a competition at headquarters. How a gym opens them is told by its own room, gym/."""

import csv
import html
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from secrets import token_hex

import segno
from pydantic import ValidationError

from app.results.published_folder import is_new
from app.round.checking import read_checked
from app.round.headquarters import Headquarters
from app.round.kept_records import NoRound
from app.round.room_files import alone_in_room, keep_in_room
from app.round.signing import HEADQUARTERS_KEY, SigningKey, key_in
from app.rules.records.document import CompetitionFile
from app.rules.result.start_file import start_of
from app.rules.round import records as r
from app.rules.round.from_event import rule_from
from app.rules.round.kit import MOST_BYTES, BadKit, Kit, said_in, says_of, slip_for
from app.rules.round.rule import MostLooks, Rule
from app.rules.values.words import say
from app.store.rounds import KIT, ROOM

SLIPS = "slips.html"
NUMBERED = {"number": 1, "at": 0}  # what a record has besides, before it is one
OUR_KIT = "headquarters.kit"  # the kit beside the headquarters that made it


@dataclass(frozen=True, slots=True)
class GymRow:
    """A gym of the list: its number, its name, its region."""

    number: int
    name: str
    region: str = ""


def gyms_in(text: str) -> list[GymRow]:
    """The gyms of a list as CSV: number, name, region. A first line of headings is passed over. Raises BadKit."""
    found: list[GymRow] = []
    try:
        rows = list(csv.reader(io.StringIO(text)))
    except csv.Error as wrong:
        raise BadKit(f"The gyms are no list as CSV: {wrong}.") from None
    for line, row in enumerate(rows, start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells) or (line == 1 and not cells[0].isdecimal()):
            continue
        if len(cells) < 2 or not cells[0].isdecimal() or not cells[1]:
            raise BadKit(f"Line {line} of the gyms needs a number and a name.")
        try:
            gym = r.Gym.model_validate({**NUMBERED, "gym": cells[0], "name": cells[1], "region": "".join(cells[2:3])})
        except ValidationError as wrong:
            first = wrong.errors()[0]
            said = first["msg"].removeprefix("Value error, ").rstrip(".")
            raise BadKit(f"Line {line} of the gyms: {first['loc'][0]}: {said}.") from None
        found.append(GymRow(gym.gym, gym.name, gym.region))
    if len({one.number for one in found}) != len(found) or not found:
        raise BadKit("Give at least one gym, and each another number.")
    return found


def round_rule(
    file: CompetitionFile,
    name: str,
    deadline: tuple[int, str],
    opens_ms: int,
    places: Mapping[str, int],
    film_word: int,
    most_looks: MostLooks,
) -> Rule:
    """The rule of a new round: deadline as Unix milliseconds and zone; places by division id; letters of a film word, 0 for none;
    the most looks at a line. Raises ValueError."""
    rule = rule_from(file, token_hex(6), name, *deadline, places, opens_ms, film_word)
    return rule.model_copy(update={"most_looks": most_looks})


def begin_round(
    headquarters: Headquarters, file: CompetitionFile, rule: Rule, gyms: Sequence[GymRow], now_ms: int, address: str = ""
) -> bytes:
    """Begins a round at its headquarters; its kit, which is kept there. address: where gyms reach this server, empty for nowhere.
    Raises BadKit, NoRound."""
    with alone_in_room(headquarters.data):
        headquarters.catch_up()  # somebody else may have begun one meanwhile, whose key is not to be replaced
        refuse_second(headquarters)
        key = key_in(headquarters.data, HEADQUARTERS_KEY, make=True)
        start = start_of(file, entries=False).model_copy(update={"made_wall_ms": now_ms})
        made = key.sign("kit", says_of(_kit(rule, start, address)))
        if len(made) > MOST_BYTES["kit"]:
            raise BadKit("These events make a kit of more than 2 MB. Leave some of them out.")
        keep_in_room(headquarters.data, OUR_KIT, made)
        said = [(r.Gym, {"gym": one.number, "name": one.name, "region": one.region}) for one in gyms]
        headquarters.add([(r.Opened, {"rule": rule, "key": key.public}), *said], now_ms)
        return made


def refuse_second(headquarters: Headquarters) -> None:
    """Raises NoRound where a round was begun already."""
    if headquarters.has_round:
        raise NoRound("This data folder is the headquarters of a round already.")


def make_kit(
    headquarters: Headquarters,
    file: CompetitionFile,
    rule: Rule,
    gyms: Sequence[GymRow],
    folder: Path,
    now_ms: int,
    address: str = "",
) -> str:
    """Begins a round, as begin_round does, and writes its kit and slips into a new folder; says so. Raises BadKit, NoRound,
    NotOurs."""
    if not is_new(folder):
        raise BadKit(f"{folder} is already there. Give a new folder, so that nothing is overwritten.")
    refuse_second(headquarters)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise BadKit(f"{folder} can't be written: {wrong.strerror}.") from None
    made = begin_round(headquarters, file, rule, gyms, now_ms, address)
    try:
        (folder / KIT).write_bytes(made)
        (folder / SLIPS).write_text(slips_page(key_in(headquarters.data, HEADQUARTERS_KEY, make=False), rule, gyms), "utf-8")
    except OSError as wrong:
        raise BadKit(
            f"The round has begun, but {folder} can't be written: {wrong.strerror}. Start the server on this data folder; the "
            "desk's page of the round gives the kit as a file and the slips to print."
        ) from None
    return f"Written: {folder}, with the kit ({len(made):,} bytes) and {say('slips', n=len(gyms))} to print. The round has begun."


def _kit(rule: Rule, start: CompetitionFile, address: str) -> Kit:
    try:
        return Kit(rule=rule, start=start, address=address.rstrip("/"))
    except ValidationError:
        raise BadKit("The address of a server is such as https://round.example, with nothing behind it.") from None


def kit_file(data: Path) -> bytes | None:
    """The kit of a headquarters as it was made; None where it lies elsewhere."""
    try:
        return (data / ROOM / OUR_KIT).read_bytes()
    except OSError:
        return None


def kit_here(data: Path) -> CompetitionFile | None:
    """The competition in the kit of a headquarters; None where it lies elsewhere."""
    made = kit_file(data)
    return None if made is None else _start_in(made)


@lru_cache(maxsize=4)
def _start_in(made: bytes) -> CompetitionFile:
    """The competition in a kit, which an entry's page asks for each time."""
    return said_in(read_checked(made, "kit").says, Kit).start


def slips_page(key: SigningKey, rule: Rule, gyms: Sequence[GymRow]) -> str:
    """A page to print and cut: a slip for each gym, its code in letters and as a QR code."""
    slips = []
    for gym in gyms:
        code = slip_for(key.private, key.public, rule.id, gym.number).text()
        picture = segno.make(code, error="m", micro=False).svg_inline(scale=4, border=4)
        slips.append(
            f"<section><h2>{html.escape(rule.name)}: gym {gym.number}, {html.escape(gym.name)}</h2>"
            f"{picture}<p>{code}</p></section>"
        )
    style = "section{border-bottom:1px dashed;padding:1em;break-inside:avoid}p{font:1.2em monospace}"
    head = f'<!doctype html><html lang="en"><meta charset="utf-8"><title>Slips</title><style>{style}</style>'
    return f"{head}{''.join(slips)}</html>\n"
