"""What a gym notes of its films: the print of each, and what of that which it must show was ticked off. It is handed in."""

from collections.abc import Iterable, Mapping
from functools import partial
from hashlib import sha256
from itertools import count
from pathlib import Path

from pydantic import Field, TypeAdapter, ValidationError

from app import calling
from app.round.room_files import alone_in_room, keep_in_room
from app.rules.records.seal import Digest, canonical
from app.rules.round.kit import BadKit
from app.rules.round.records import LineKey
from app.rules.values.shapes import Base, Id, Key
from app.store.rounds import ROOM

NOTES = "film-notes.json"
PRINT, CHECK, WAS = "print", "check", "was"  # begin the fields of a form
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


def was_field(key: LineKey) -> str:
    """What the field is called that says how a line's film was shown."""
    return f"{WAS}-{key[0]}-{key[1]}"


def shown_as(film: str, note: FilmNote) -> str:
    """What is kept of a line's film, its address among it, as a form carries it: so that who sends the form later changes only
    what they changed, and nothing that somebody else noted meanwhile."""
    return sha256(canonical([film, note.print or "", list(note.checks)])).hexdigest()[:16]


def kept_notes(data: Path) -> dict[LineKey, FilmNote]:
    """The notes of all films, by line; none where what was kept is not whole. Raises BadKit where the file can't be read."""
    return _notes_in(data / ROOM / NOTES) or {}


def _notes_in(file: Path) -> dict[LineKey, FilmNote] | None:
    """What a file holds, where there is one; None where that is not whole. Raises BadKit."""
    try:
        return {(one.entry, one.event): one for one in ALL.validate_json(file.read_bytes())}
    except FileNotFoundError:
        return {}
    except ValidationError:
        return None
    except OSError as wrong:
        raise BadKit(
            f"The notes of films ({file}) can't be read: {wrong.strerror}. Let whoever started Lane Ledger read that file, or "
            "move it elsewhere and note the films again."
        ) from None


def keep_notes(data: Path, said: Iterable[FilmNote]) -> None:
    """Keeps what is noted of some films, in place of what was noted of those. Raises BadKit."""
    with alone_in_room(data) as room:
        file = room / NOTES
        notes = _notes_in(file)
        if notes is None:  # kept aside, for what was noted is nowhere else
            notes, names = {}, (file.with_suffix(f".unread-{number}") for number in count(1))
            file.replace(next(name for name in names if not name.exists()))
        notes |= {(one.entry, one.event): one for one in said}
        keep_in_room(data, NOTES, ALL.dump_json(tuple(one for _, one in sorted(notes.items()))))


def note_in(key: LineKey, typed: Mapping[str, str], checks: Iterable[str]) -> FilmNote:
    """What a form says of the film of a line. checks: what may be ticked off. Raises BadKit."""
    print, ticked = "".join(typed.get(print_field(key), "").split()).lower(), partial(check_field, key)
    try:
        done = tuple(one for one in checks if typed.get(ticked(one)))
        return FilmNote(entry=key[0], event=key[1], print=print or None, checks=done)
    except ValidationError:
        raise BadKit(f"{NO_PRINT} {calling.command('film-print FILM')}") from None
