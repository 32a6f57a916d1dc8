"""The words of what is said, as talk has them: idioms as one, what refers to something else as a word for it."""

import functools
import re
from collections.abc import Callable

from app.rules.reading.scan.beside_table import BesideTable
from app.rules.reading.scan.pieces import in_small

WORDS = re.compile(r"[^\W\d_]+(?:['’.-][^\W\d_]+)*|\d+(?:[:.,]\d+)*")
A_WORD_OF_TALK = "well"  # an idiom is talk, and nothing else
BEARS = "again"  # `as last year` is as it was then, whatever that was
MOST_REMEMBERED = 4096  # sentences and clauses: a text is read up to four times


def words_of_talk(said: str) -> list[str]:
    """Its words and numbers in small letters, those with a stop or a hyphen in them whole."""
    return WORDS.findall(in_small(said))


def parts_of(table: BesideTable) -> Callable[[str], tuple[str, ...]]:
    """What takes a sentence apart into its words, for a language's table; it remembers what it was asked last."""
    idioms = sorted(table.idioms, key=len, reverse=True)

    @functools.lru_cache(MOST_REMEMBERED)
    def parts(said: str) -> tuple[str, ...]:
        plain = in_small(said)
        for known in table.refers:
            plain = plain.replace(known, BEARS)
        for hour in table.parts_of_an_hour:
            plain = plain.replace(hour, "past")
        for idiom in idioms:
            plain = re.sub(rf"\b{re.escape(idiom)}\b", A_WORD_OF_TALK, plain) if idiom in plain else plain
        return tuple(part for word in WORDS.findall(plain) for part in ([word] if "." in word else word.split("-")))

    return parts
