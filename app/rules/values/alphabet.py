"""Letters as a person reads them: a name without its signs, and the order in which names are listed.

Both languages that are spoken here list letters with a sign beside those without: É by E, Å by A, Ł by L, Ä by A, and ß as ss, æ
as ae. So do the general rules of the Unicode Collation Algorithm (UTS #10) for Latin letters, and German dictionaries (DIN 5007,
rule 1, named from memory); tests/outside/test_alphabet_in_browser.py asks a browser's collator. What it can't do: the alphabet of
another language (Å after Z in Swedish, Ll in old Spanish; þ, ı and ŧ stand by th, i and t), the order within scripts other than
Latin, which follow it letter by letter as Unicode has them, and numbers by their size (Team 10 before Team 2).
"""

import re
import unicodedata
from collections.abc import Iterable
from typing import Protocol, TypeVar

# Letters that no sign comes off, and how they are typed without them.
PLAIN_LETTERS = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h", "ŧ": "t"}
)


def folded(text: str) -> str:
    """A text without accents and capitals, nothing but words, each after one space."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(PLAIN_LETTERS))
    bare = "".join(one for one in plain if not unicodedata.combining(one))
    return "".join(f" {word}" for word in re.findall(r"\w+", bare))


def by_name(name: str) -> tuple[str, str, str]:
    """A key to sort names by: their letters, then those without a sign first, then as they are written."""
    return folded(name), unicodedata.normalize("NFKD", name.casefold()), name


class Named(Protocol):
    """Whoever is listed by name."""

    @property
    def name(self) -> str:
        """As people write it."""


N = TypeVar("N", bound=Named)


def in_order(named: Iterable[N]) -> list[N]:
    """Those who are listed by name, in its order: a store has them by code points, and the order of what is kept stays that."""
    return sorted(named, key=lambda one: by_name(one.name))
