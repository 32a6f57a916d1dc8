"""Kits and slips: made of a competition at headquarters, opened in a gym, whose key headquarters then binds."""

import csv
import html
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import segno

from app.round.checking import read_checked
from app.round.headquarters import Headquarters, NoRound
from app.round.signing import GYM_KEY, HEADQUARTERS_KEY, ROOM, SigningKey, key_in
from app.rules.records.document import CompetitionFile
from app.rules.result.start_file import start_of
from app.rules.round import records as r
from app.rules.round.kit import (
    MOST_BYTES,
    BadKit,
    Binding,
    Kit,
    Slip,
    binding_proof,
    check_slip,
    read_slip,
    said_in,
    says_of,
    slip_for,
)
from app.rules.round.rule import Rule
from app.rules.round.words import LETTERS, OPENING_LETTERS

KIT, SLIPS, BINDING, OPENING = "round.kit", "slips.html", "binding.json", "opening.txt"
OUR_KIT = "headquarters.kit"  # the kit beside the headquarters that made it


@dataclass(frozen=True, slots=True)
class GymRow:
    """A gym of the list: its number, its name, its region."""

    number: int
    name: str
    region: str = ""


@dataclass(frozen=True, slots=True)
class Opened:
    """A kit, and the gym that it was opened for."""

    kit: Kit
    gym: int


def gyms_in(text: str) -> list[GymRow]:
    """The gyms of a list as CSV: number, name, region. A first line of headings is passed over. Raises BadKit."""
    found: list[GymRow] = []
    for line, row in enumerate(csv.reader(io.StringIO(text)), start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells) or (line == 1 and not cells[0].isdecimal()):
            continue
        if len(cells) < 2 or not cells[0].isdecimal() or not cells[1]:
            raise BadKit(f"Line {line} of the gyms needs a number and a name.")
        found.append(GymRow(int(cells[0]), cells[1], cells[2] if len(cells) > 2 else ""))
    if len({one.number for one in found}) != len(found) or not found:
        raise BadKit("Give at least one gym, and each another number.")
    return found


def make_kit(
    headquarters: Headquarters, file: CompetitionFile, rule: Rule, gyms: Sequence[GymRow], folder: Path, now_ms: int
) -> str:
    """Begins a round at its headquarters, and writes its kit and slips into a new folder; says so. Raises BadKit, NoRound."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise BadKit(f"{folder} is already there. Give a new folder, so that nothing is overwritten.")
    if headquarters.has_round:
        raise NoRound("This data folder is the headquarters of a round already.")
    key = key_in(headquarters.data, HEADQUARTERS_KEY, make=True)
    start = start_of(file, entries=False).model_copy(update={"made_wall_ms": now_ms})
    made = key.sign("kit", says_of(Kit(rule=rule, start=start)))
    if len(made) > MOST_BYTES["kit"]:
        raise BadKit("These events make a kit of more than 2 MB. Leave some of them out.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / KIT).write_bytes(made)
        (headquarters.data / ROOM / OUR_KIT).write_bytes(made)
        (folder / SLIPS).write_text(slips_page(key, rule, gyms), encoding="utf-8")
    except OSError as wrong:
        raise BadKit(f"{folder} can't be written: {wrong.strerror}.") from None
    said = [(r.Gym, {"gym": one.number, "name": one.name, "region": one.region}) for one in gyms]
    headquarters.add([(r.Opened, {"rule": rule, "key": key.public}), *said], now_ms)
    return f"Written: {folder}, with the kit ({len(made):,} bytes) and {len(gyms)} slips to print. The round has begun."


def kit_here(data: Path) -> CompetitionFile | None:
    """The competition in the kit of a headquarters; None where it lies elsewhere."""
    try:
        made = (data / ROOM / OUR_KIT).read_bytes()
    except OSError:
        return None
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


def read_kit(kit: bytes, code: str) -> tuple[Opened, Slip]:
    """What a kit holds and for which gym, with the slip of the code. Raises BadKit."""
    slip, signed = read_slip(code), read_checked(kit, "kit")
    check_slip(slip, signed.by.key)
    return Opened(said_in(signed.says, Kit), slip.gym), slip


def is_open(data: Path, kit: bytes) -> bool:
    """Whether this very kit was opened in a data folder."""
    file = data / ROOM / KIT
    return file.is_file() and file.read_bytes() == kit


def kept_kit(data: Path) -> Opened:
    """The kit that was opened in a data folder, with the slip that it was opened by. Raises BadKit."""
    try:
        kit, binding = (data / ROOM / KIT).read_bytes(), (data / ROOM / BINDING).read_bytes()
    except OSError:
        raise BadKit(f"No kit was opened in {data}.") from None
    said = said_in(read_checked(binding, "binding").says, Binding)
    return Opened(said_in(read_checked(kit, "kit").says, Kit), said.gym)


def keep_opening(data: Path, word: str) -> None:
    """Keeps the round's opening word in a gym's data folder, as it was typed. Raises BadKit for what can't be one."""
    if len(word) != OPENING_LETTERS or set(word) - set(LETTERS):
        raise BadKit(f"An opening word has {OPENING_LETTERS} letters, and none of them is I or O.")
    try:
        (data / ROOM / OPENING).write_text(word, encoding="ascii")
    except OSError as wrong:
        raise BadKit(f"{data / ROOM} can't be written: {wrong.strerror}.") from None


def kept_opening(data: Path, rule: Rule) -> str:
    """The opening word as a gym keeps it; empty in a round without. Raises BadKit where it is not here."""
    if not rule.film_word:
        return ""
    try:
        return (data / ROOM / OPENING).read_text(encoding="ascii")
    except OSError:
        raise BadKit("This round has an opening word, and it was not typed in here yet: film-words WORD") from None


def keep_kit(data: Path, kit: bytes, opened: Opened, slip: Slip) -> Path:
    """Keeps an opened kit, makes the gym's key, and writes the file by which headquarters binds it. Raises BadKit."""
    key, rule = key_in(data, GYM_KEY, make=True), opened.kit.rule
    proof = binding_proof(slip.secret, rule.id, opened.gym, key.public)
    binding = key.sign("binding", says_of(Binding(round=rule.id, gym=opened.gym, proof=proof)))
    room = data / ROOM
    try:
        (room / BINDING).write_bytes(binding)
        (room / KIT).write_bytes(kit)
    except OSError as wrong:
        raise BadKit(f"{room} can't be written: {wrong.strerror}.") from None
    return room / BINDING
