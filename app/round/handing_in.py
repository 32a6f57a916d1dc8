"""A gym's hand-in: made of its competition by the kit that was opened there, signed with the gym's key."""

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from secrets import token_hex

from app.round.kits import keep_opening, kept_kit, kept_opening
from app.round.signing import GYM_KEY, key_in
from app.rules.records.document import CompetitionFile
from app.rules.result.public_file import public_of
from app.rules.round.hand_in import HandIn, HandInLine, entry_numbers, lines_of
from app.rules.round.kit import BadKit, says_of
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
    """The hand-in of a data folder's competition (the whole file). Raises BadKit, also where there is no line to hand in."""
    opened, key = kept_kit(data), key_in(data, GYM_KEY, make=False)
    public, opening = public_of(file), kept_opening(data, opened.kit.rule)
    found = lines_of(opened.kit.rule, public, opened.gym)
    if not found.lines:
        raise BadKit("\n".join(("There is no line to hand in yet.", *found.lacking)))
    people = {number: _person(file, number, found.entries[number]) for number in sorted({entry for entry, _ in found.lines})}
    lines = [
        HandInLine(entry=entry, event=event, division=division, parts=parts, person=commitment(people[entry]))
        for (entry, event), (division, parts) in sorted(found.lines.items())
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
    return Made(content, sha256(content).hexdigest(), len(lines), found.lacking)


def _person(file: CompetitionFile, number: int, key: str) -> Person:
    """Who an entry is, with a salt of chance."""
    entry = next(one for one in file.entries if one.id == key)
    return Person(entry=number, name=entry.name, salt=token_hex(32))


def film_words(data: Path, file: CompetitionFile, opening: str) -> list[tuple[int, str, str]]:
    """Keeps the opening word, and gives each entry's number, name and film word. Raises BadKit."""
    opened = kept_kit(data)
    if not opened.kit.rule.film_word:
        raise BadKit("This round has no words.")
    keep_opening(data, opening)
    numbers = entry_numbers(file, opened.gym)
    return [(numbers[one.id], one.name, film_word(opening, numbers[one.id], opened.kit.rule.film_word)) for one in file.entries]
