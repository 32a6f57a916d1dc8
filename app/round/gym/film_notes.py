"""What a gym notes of its films: the print of each, and what of that which it must show was ticked off. It is handed in."""

from collections.abc import Iterable, Mapping
from functools import partial
from itertools import count
from pathlib import Path

from pydantic import Field, TypeAdapter, ValidationError

from app import calling
from app.round.room_files import keep_in_room
from app.rules.records.seal import Digest
from app.rules.round.kit import BadKit
from app.rules.round.records import LineKey
from app.rules.values.shapes import Base, Id, Key
from app.store.rounds import ROOM

NOTES = "film-notes.json"
PRINT, CHECK = "print", "check"  # begin the fields of a form
NO_PRINT = "The print of a film is 64 digits and letters from a to f. The page makes it of the file, and so does:"


class FilmNote(Base):
    """Of the film of a line: its print, empty for none; the keys of what was ticked off."""

    entry: int
    event: Id
    print: Digest | None = None
    checks: tuple[Key, ...] = Field(default=(), max_length=20)


NOTHING = FilmNote(entry=0, event="none")
ALL: TypeAdapter[tuple[FilmNote, ...]] = TypeAdapter(tuple[FilmNote, ...])


def print_field(key: LineKey) -> str:
    """What the field for the print of a line's film is called."""
    return f"{PRINT}-{key[0]}-{key[1]}"


def check_field(key: LineKey, check: str) -> str:
    """What the field is called by which something is ticked off of a line's film."""
    return f"{CHECK}-{check}-{key[0]}-{key[1]}"


def kept_notes(data: Path) -> dict[LineKey, FilmNote]:
    """The notes of all films, by line; none where they can't be read."""
    return _notes_in(data / ROOM / NOTES) or {}


def _notes_in(file: Path) -> dict[LineKey, FilmNote] | None:
    """What a file holds, where there is one; None where it can't be read."""
    try:
        return {(one.entry, one.event): one for one in ALL.validate_json(file.read_bytes())}
    except FileNotFoundError:
        return {}
    except ValidationError:
        return None


def keep_notes(data: Path, lines: Iterable[LineKey], typed: Mapping[str, str], checks: Mapping[str, tuple[str, ...]]) -> None:
    """Keeps what a form says of the films of some lines, in place of what was noted of those; checks: what may be ticked off,
    by event. Raises BadKit."""
    file = data / ROOM / NOTES
    notes = _notes_in(file)
    if notes is None:  # kept aside, for what was noted is nowhere else
        notes, names = {}, (file.with_suffix(f".unread-{number}") for number in count(1))
        file.replace(next(name for name in names if not name.exists()))
    for key in lines:
        said, ticked = "".join(typed.get(print_field(key), "").split()).lower(), partial(check_field, key)
        try:
            done = tuple(one for one in checks.get(key[1], ()) if typed.get(ticked(one)))
            notes[key] = FilmNote(entry=key[0], event=key[1], print=said or None, checks=done)
        except ValidationError:
            raise BadKit(f"{NO_PRINT} {calling.command('film-print FILM')}") from None
    keep_in_room(file, ALL.dump_json(tuple(one for _, one in sorted(notes.items()))))
