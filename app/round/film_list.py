"""The list of films' addresses: kept beside headquarters' key, and in no record, no book and no backup.

An address that comes is written behind the list, so that the last claim before a deadline costs what the first did; the last
address of a line counts, and an empty one takes it off the list. Only what was added is read again. A list that is mostly what
was replaced since is written anew.
"""

import csv
import io
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from secrets import token_hex
from threading import Lock

from app.round.kept_records import NoRound
from app.round.room_files import add_in_room, alone_in_room, keep_in_room
from app.rules.round import records as r
from app.rules.round.kit import BadKit
from app.rules.round.look_sheet import MOST_ADDRESS
from app.rules.round.state import RoundState
from app.store.rounds import ROOM

FILMS, GYM_FILMS = "films.csv", "gym-films.csv"  # headquarters' list, and a gym's own
HEAD = "entry,event,the last address of a line counts,"  # of a list that may be added to; a word of chance follows
NOT_AN_ADDRESS = f"A film's address has no blanks and at most {MOST_ADDRESS} characters."
MOST_REPLACED = 1000  # rows that count no more, before the list is written anew


@dataclass(slots=True)
class _Read:
    """How far a list was read: its first line, so many bytes and rows, with what was found."""

    head: bytes = b""
    bytes: int = 0
    rows: int = 0
    films: dict[r.LineKey, str] = field(default_factory=dict)


_READ: dict[Path, _Read] = {}
_ONE_AT_A_TIME = Lock()


def is_address(typed: str) -> bool:
    """Whether something typed can be kept as a film's address; an empty one can."""
    return len(typed) <= MOST_ADDRESS and not any(one.isspace() for one in typed)


def refuse_no_address(films: Mapping[r.LineKey, str]) -> None:
    """Raises NoRound where something among these can't be kept as a film's address."""
    if not all(map(is_address, films.values())):
        raise NoRound(NOT_AN_ADDRESS)


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
    with _alone(data):
        _write(data, FILMS, found)
    return len(found)


def keep_some(data: Path, films: Mapping[r.LineKey, str], name: str = FILMS) -> None:
    """Keeps the addresses of some films, in place of those before; an empty one takes it off the list. Raises NoRound."""
    refuse_no_address(films)
    with _alone(data) as room:
        read = _read_on(room / name)
        others = {key: address for key, address in films.items() if read.films.get(key, "") != address}
        if not others:
            return
        is_whole = read.head and (room / name).stat().st_size == read.bytes
        if is_whole and read.rows + len(others) <= 2 * len(read.films) + MOST_REPLACED:
            add_in_room(data, name, _rows(others))
        else:
            _write(data, name, {key: address for key, address in {**read.films, **others}.items() if address})


@contextmanager
def _alone(data: Path) -> Iterator[Path]:
    """Has the room to oneself, from other processes too, and what was read of its lists. Raises NoRound."""
    try:
        with alone_in_room(data) as room, _ONE_AT_A_TIME:
            yield room
    except BadKit as wrong:
        raise NoRound(str(wrong)) from None


def kept_list(data: Path, name: str = FILMS) -> str:
    """The list to be typed on; empty where none was kept."""
    return _rows(kept_films(data, name)).decode()


def kept_films(data: Path, name: str = FILMS) -> dict[r.LineKey, str]:
    """Films' addresses by line, as they are kept."""
    with _ONE_AT_A_TIME:
        return dict(_read_on(data / ROOM / name).films)


def has_film(data: Path, line: r.LineKey) -> bool:
    """Whether the address of a line's film is on headquarters' list."""
    with _ONE_AT_A_TIME:
        return line in _read_on(data / ROOM / FILMS).films


def _rows(films: Mapping[r.LineKey, str]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows((*line, film) for line, film in films.items())
    return text.getvalue().encode()


def _write(data: Path, name: str, films: Mapping[r.LineKey, str]) -> None:
    keep_in_room(data, name, f"{HEAD}{token_hex(8)}\n".encode() + _rows(films))


def _read_on(file: Path) -> _Read:
    """What is kept, of which only what was added since is read. A last row without an end was never kept whole, and is left
    out. A list of an older version, as it was typed, is read whole each time. Raises NoRound where it can't be read."""
    try:
        return _read_added(file)
    except FileNotFoundError:
        return _Read()
    except (OSError, ValueError, csv.Error) as wrong:
        _READ.pop(file, None)
        told = wrong.strerror if isinstance(wrong, OSError) else "it is no list of entries, events and addresses"
        if isinstance(wrong, NoRound):
            told = str(wrong).removesuffix(".")
        raise NoRound(
            f"The list of films ({ROOM}/{file.name}) can't be read: {told}. Let whoever started Lane Ledger put it right, or "
            "move it elsewhere and give the films' addresses again."
        ) from None


def _read_added(file: Path) -> _Read:
    with file.open("rb") as opened:
        head = opened.readline()
        if not head.startswith(HEAD.encode()):
            return _Read(films=films_in((head + opened.read()).decode()))
        read = _READ.get(file)
        if read is None or read.head != head:
            read = _READ[file] = _Read(head, len(head))
        opened.seek(read.bytes)
        added = opened.read()
    added = added[: added.rfind(b"\n") + 1]
    for entry, event, address in csv.reader(io.StringIO(added.decode())):
        read.films.pop((int(entry), event), None)
        if address:
            read.films[int(entry), event] = address
        read.rows += 1
    read.bytes += len(added)
    return read
