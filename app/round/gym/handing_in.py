"""A gym's hand-in: made of its competition by the kit that was opened there, signed with the gym's key."""

from dataclasses import dataclass
from pathlib import Path
from secrets import token_hex
from typing import Literal

from app.round.film_list import GYM_FILMS, kept_films
from app.round.gym.film_notes import NOTHING, kept_notes
from app.round.gym.kept import keep_made, made_said
from app.round.gym.opened import Opened, gym_here, keep_opening, kept_opening
from app.round.signing import GYM_KEY, key_in
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Roster
from app.rules.result.public_file import public_of
from app.rules.round.hand_in import HandIn, HandInLine, entry_numbers, lines_of
from app.rules.round.kit import BadKit, Film, Films, Pieces, Promise, pieces_in, says_of
from app.rules.round.people import Person, commitment
from app.rules.round.words import film_word


@dataclass(frozen=True, slots=True)
class Made:
    """A hand-in, signed; its digest; how many lines it has, and what it has no line for, as sentences."""

    content: bytes
    digest: str
    lines: int
    lacking: tuple[str, ...]


def make_hand_in(data: Path, file: CompetitionFile, replaces: str | None) -> Made:
    """The hand-in of a data folder's competition (the whole file), which is kept there. Raises BadKit, also where there is no
    line to hand in."""
    opened, key = gym_here(data), key_in(data, GYM_KEY, make=False)
    public, opening = public_of(file), kept_opening(data, opened.kit.rule)
    found = lines_of(opened.kit.rule, public, opened.gym)
    if not found.lines:
        raise BadKit("\n".join(("There is no line to hand in yet.", *found.lacking)))
    people = {number: _person(file, number, found.entries[number]) for number in sorted({entry for entry, _ in found.lines})}
    notes, films = kept_notes(data), kept_films(data, GYM_FILMS)
    lines = [
        HandInLine(
            entry=key[0],
            event=key[1],
            division=division,
            parts=parts,
            person=commitment(people[key[0]]),
            film=_where(films.get(key, "")),
            film_print=notes.get(key, NOTHING).print,
            film_checks=notes.get(key, NOTHING).checks,
        )
        for key, (division, parts) in sorted(found.lines.items())
    ]
    hand_in = HandIn(
        round=opened.kit.rule.id,
        gym=opened.gym,
        replaces=replaces,
        opening=opening,
        lines=tuple(lines),
        people=tuple(people.values()),
        competition=public,
    )
    content = key.sign("hand-in", says_of(hand_in))
    return Made(content, keep_made(data, content), len(lines), found.lacking)


def _where(address: str) -> Literal["", "here", "elsewhere"]:
    """Where a film is, by its address: what is none of the web's is the name of a file that the gym keeps."""
    return "" if not address else "elsewhere" if "/" in address else "here"


def _person(file: CompetitionFile, number: int, key: str) -> Person:
    """Who an entry is, with a salt of chance."""
    entry = next(one for one in file.entries if one.id == key)
    return Person(entry=number, name=entry.name, salt=token_hex(32))


def film_words(data: Path, roster: Roster, typed: str) -> list[tuple[int, str, str]]:
    """Keeps the opening word as it was typed, and gives each entry's number, name and film word. Raises BadKit."""
    opened = gym_here(data)
    if not opened.kit.rule.film_word:
        raise BadKit("This round has no words.")
    return words_by(opened, roster, keep_opening(data, typed))


def words_by(opened: Opened, roster: Roster, opening: str) -> list[tuple[int, str, str]]:
    """Each entry's number, name and film word, by the opening word."""
    numbers = entry_numbers(roster, opened.gym)
    letters = opened.kit.rule.film_word
    return [(numbers[one.id], one.name, film_word(opening, numbers[one.id], letters)) for one in roster.entries]


def promise_of(data: Path, digest: str) -> bytes:
    """What promises a hand-in that was made here: its digest, signed. Raises BadKit."""
    opened, key = gym_here(data), key_in(data, GYM_KEY, make=False)
    replaces = made_said(data, digest).replaces
    return key.sign("promise", says_of(Promise(round=opened.kit.rule.id, gym=opened.gym, hand_in=digest, replaces=replaces)))


def pieces_of(data: Path, digest: str, content: bytes) -> bytes:
    """What tells the pieces of a hand-in that was made here, signed; it goes before the file. Raises BadKit."""
    opened, key = gym_here(data), key_in(data, GYM_KEY, make=False)
    of = Pieces(round=opened.kit.rule.id, gym=opened.gym, hand_in=digest, bytes=len(content), pieces=tuple(pieces_in(content)))
    return key.sign("pieces", says_of(of))


def films_of(data: Path, digest: str) -> bytes:
    """Where the films of a hand-in's lines are, as far as that was typed in, signed; empty for none. Raises BadKit, NoRound."""
    opened, key, films = gym_here(data), key_in(data, GYM_KEY, make=False), kept_films(data, GYM_FILMS)
    keys = [(one.entry, one.event) for one in made_said(data, digest).lines]
    listed = [Film(entry=one[0], event=one[1], address=films[one]) for one in keys if one in films]
    if not listed:
        return b""
    return key.sign("films", says_of(Films(round=opened.kit.rule.id, gym=opened.gym, films=tuple(listed))))
