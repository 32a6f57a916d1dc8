"""The table of words of a language: which ways of writing stand for which kind of word of the grammar."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.rules.values.shapes import Base
from app.rules.values.table_rows import read_row
from app.rules.values.tables import made_of

ENGLISH = "reading_en"
GLUE = "GLUE"
NUMBER_HOLE = "#"


class WordTable(Base):
    """The table: `words` by kind, `numbers` in words, `glue` that carries nothing, `articles` before a thing."""

    about: tuple[str, ...]
    numbers: dict[str, int]
    glue: tuple[str, ...]
    words: dict[str, tuple[str, ...]]
    articles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Phrase:
    """A way of writing: its pieces in small letters (`#` is a number), and the kind of word that it stands for."""

    pieces: tuple[str, ...]
    kind: str


@dataclass(frozen=True, slots=True)
class Words:
    """The words of a language. `phrases` by their first piece, the longest first."""

    numbers: Mapping[str, int]
    phrases: Mapping[str, tuple[Phrase, ...]]
    articles: frozenset[str]


def words_of_language(table: str = ENGLISH) -> Words:
    """The words of a language that was handed in. Raises NotHandedIn, BadTable."""
    return made_of(table, lambda plain: read_words(table, plain))


def read_words(name: str, plain: Any) -> Words:
    """The words that a table describes. Raises BadTable."""
    table = read_row(f"{name}.json", WordTable, plain)
    listed = [(GLUE, table.glue), *table.words.items()]
    found: dict[str, list[Phrase]] = {}
    for kind, ways in listed:
        for way in ways:
            pieces = tuple(way.split())
            found.setdefault(pieces[0], []).append(Phrase(pieces, kind))
    phrases = {first: tuple(sorted(ways, key=lambda one: -len(one.pieces))) for first, ways in found.items()}
    return Words(table.numbers, phrases, frozenset(table.articles))
