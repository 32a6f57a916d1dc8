"""The list of films' addresses: kept beside headquarters' key, and in no record, no book and no backup."""

import csv
import io
from collections.abc import Mapping
from pathlib import Path

from app.lan.certificate import write_secret
from app.round.kept_records import NoRound
from app.rules.round import records as r
from app.rules.round.look_sheet import MOST_ADDRESS
from app.rules.round.state import RoundState
from app.store.rounds import ROOM

FILMS, GYM_FILMS = "films.csv", "gym-films.csv"  # headquarters' list, and a gym's own


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


def keep_films(data: Path, text: str, state: RoundState) -> int:
    """Keeps a list as it was typed, in place of the one before; how many films of lines that there are. Raises NoRound."""
    found = films_in(text)
    for key, address in found.items():
        if key not in state.lines:
            raise NoRound(f"There is no line of entry {key[0]} in {key[1]}.")
        if len(address) > MOST_ADDRESS:
            raise NoRound(f"The address of entry {key[0]} is longer than {MOST_ADDRESS} characters.")
    write_secret(data / ROOM / FILMS, text.encode())
    return len(found)


def keep_some(data: Path, films: Mapping[r.LineKey, str], name: str = FILMS) -> None:
    """Keeps the addresses of some films, in place of those before; an empty one takes it off the list. Raises NoRound."""
    for address in films.values():
        if len(address) > MOST_ADDRESS or any(one.isspace() for one in address):
            raise NoRound(f"A film’s address has no blanks and at most {MOST_ADDRESS} characters.")
    rows, text = {**kept_films(data, name), **films}, io.StringIO()
    csv.writer(text, lineterminator="\n").writerows((*line, film) for line, film in sorted(rows.items()) if film)
    write_secret(data / ROOM / name, text.getvalue().encode())


def kept_list(data: Path, name: str = FILMS) -> str:
    """The list as it was typed; empty where none was kept."""
    try:
        return (data / ROOM / name).read_text(encoding="utf-8")
    except FileNotFoundError:
        return ""


def kept_films(data: Path, name: str = FILMS) -> dict[r.LineKey, str]:
    """Films' addresses by line, as they are kept."""
    return films_in(kept_list(data, name))
