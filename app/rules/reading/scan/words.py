"""The table of words of a language: which ways of writing stand for which kind of word of the grammar."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.rules.reading.layout.corrected import CorrectionTable
from app.rules.reading.layout.spoken import ClauseTable
from app.rules.reading.scan.again.said import Again, again_of
from app.rules.reading.scan.again.table import AgainTable
from app.rules.reading.scan.beside_table import BesideTable
from app.rules.reading.scan.misspelt import Spelling
from app.rules.reading.scan.sense_words import Senses, SenseTable, senses_of
from app.rules.reading.scan.small_talk import SmallTalk, small_talk_of
from app.rules.reading.versions.legends import Legends, legends_of
from app.rules.values.shapes import Base
from app.rules.values.table_rows import read_row
from app.rules.values.tables import made_of
from app.rules.workout.movement_names import words_of
from app.rules.workout.movements import library

ENGLISH = "reading_en"
GLUE = "GLUE"
NUMBER_HOLE = "#"
SHORTEST = 3  # letters of a word that is read for a slip


class WordTable(Base):
    """The table: `words` by kind, `numbers` in words, `glue` that carries nothing, `articles` before a thing.

    `prose` are words of ordinary talk, beside which a word that nobody knows is no movement; `chat` too, but right before a
    movement they are part of its name; `weighty` those that may change what is meant beside them, `decides` those that may change
    what counts in any sentence. `groups` name versions, `of_versions` by themselves beside a load. `senses`: words by which whole
    sentences are told, `again`: by which they say once more what is said. `divisions` begin the
    line that names them; `mixed` says that men and women make an entry; by `legends` whose the numbers are is told; `label_ends`
    part the number of an event from what is done; `clauses` begin so where somebody speaks without a stop, `corrections` are told
    so; `columns` are what a column of a table is, by its heading.
    """

    about: tuple[str, ...]
    numbers: dict[str, int]
    glue: tuple[str, ...]
    words: dict[str, tuple[str, ...]]
    articles: tuple[str, ...]
    groups: tuple[str, ...]
    of_versions: tuple[str, ...]
    prose: tuple[str, ...]
    chat: tuple[str, ...]
    senses: SenseTable
    beside: BesideTable
    again: AgainTable
    columns: dict[str, tuple[str, ...]]
    weighty: tuple[str, ...]
    decides: tuple[str, ...]
    clauses: ClauseTable
    corrections: CorrectionTable
    label_ends: tuple[str, ...]
    divisions: tuple[str, ...]
    mixed: tuple[str, ...]
    legends: dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Phrase:
    """A way of writing: its pieces in small letters (`#` is a number), and the kind of word that it stands for."""

    pieces: tuple[str, ...]
    kind: str


@dataclass(frozen=True, slots=True)
class Words:
    """The words of a language. `phrases` by their first piece, the longest first; `of_two` the same by their first two, those
    under an empty second have a number there, or no second piece; `spoken` are the words of ordinary talk, `sensible` those of
    the senses; `beginnings` of all names of movements."""

    numbers: Mapping[str, int]
    phrases: Mapping[str, tuple[Phrase, ...]]
    of_two: Mapping[tuple[str, str], tuple[Phrase, ...]]
    articles: frozenset[str]
    groups: tuple[str, ...]
    of_versions: frozenset[str]
    prose: frozenset[str]
    chat: frozenset[str]
    spoken: frozenset[str]
    senses: Senses
    sensible: frozenset[str]
    weighty: frozenset[str]
    decides: frozenset[str]
    spelling: Spelling
    small_talk: SmallTalk
    again: Again
    columns: Mapping[str, str]
    talk_spelling: Spelling
    clauses: ClauseTable
    corrections: CorrectionTable
    label_ends: frozenset[str]
    divisions: tuple[str, ...]
    mixed: tuple[str, ...]
    legends: Legends
    beginnings: frozenset[str]

    def is_known(self, word: str) -> bool:
        """Whether a word stands in the tables of talk or of sense."""
        return word in self.sensible

    def ways(self, first: str, second: str) -> tuple[Phrase, ...]:
        """The phrases that may begin with two pieces, the longest first."""
        return self.of_two.get((first, second)) or self.of_two.get((first, ""), ())


def words_of_language(table: str = ENGLISH) -> Words:
    """The words of a language that was handed in. Raises NotHandedIn, BadTable."""
    return made_of(table, lambda plain: read_words(table, plain))


def read_words(name: str, plain: Any) -> Words:
    """The words that a table describes. Raises BadTable."""
    table = read_row(f"{name}.json", WordTable, plain)
    listed = [(GLUE, table.glue), ("PROSE", table.beside.idioms), *table.words.items()]
    found: dict[str, list[Phrase]] = {}
    for kind, ways in listed:
        for way in ways:
            pieces = tuple(way.split())
            found.setdefault(pieces[0], []).append(Phrase(pieces, kind))
    phrases = {first: tuple(sorted(ways, key=lambda one: -len(one.pieces))) for first, ways in found.items()}
    spelt = {piece for ways in phrases.values() for way in ways for piece in way.pieces}
    talk = {*table.prose, *table.chat, *table.weighty, *table.decides}
    spelling = Spelling({*spelt, *table.numbers, "the", *_words_of_movements()}, talk, _short_words())
    small_talk = _small_talk(table)
    senses = senses_of(
        table.senses, small_talk.talk, small_talk.sets["bears"] | (small_talk.sets["changes"] - small_talk.sets["mild"])
    )
    return Words(
        table.numbers,
        phrases,
        _by_two(phrases),
        frozenset(table.articles),
        table.groups,
        frozenset(table.of_versions),
        frozenset(table.prose),
        frozenset(table.chat),
        frozenset(table.prose) | frozenset(table.chat),
        senses,
        frozenset(senses.noun).union(*senses.sets.values()),
        frozenset(table.weighty),
        frozenset(table.decides),
        spelling,
        small_talk,
        again_of(table.again),
        {heading: column for column, ways in table.columns.items() for heading in ways},
        Spelling({*small_talk.known, *spelling.known}),
        table.clauses,
        table.corrections,
        frozenset(table.label_ends),
        table.divisions,
        table.mixed,
        legends_of(table.words, table.legends),
        frozenset(name[:end] for name in (*library().names, *library().lifts) for end in range(1, len(name) + 1)),
    )


def _by_two(phrases: Mapping[str, tuple[Phrase, ...]]) -> dict[tuple[str, str], tuple[Phrase, ...]]:
    """Phrases by their first two pieces: few begin with any two, and many with one."""
    found: dict[tuple[str, str], tuple[Phrase, ...]] = {}
    for first, ways in phrases.items():
        for second in {"", *(one.pieces[1] for one in ways if len(one.pieces) > 1)}:
            found[first, second] = tuple(one for one in ways if len(one.pieces) == 1 or one.pieces[1] in (second, NUMBER_HOLE))
    return found


def _small_talk(table: WordTable) -> SmallTalk:
    talk = frozenset(table.prose) | frozenset(table.chat)
    return small_talk_of(table.beside, talk, frozenset(table.decides), frozenset(_words_of_movements()))


def _words_of_movements() -> Iterator[str]:
    """Every word in a name of a movement, with and without a plural's s."""
    for described in library().described.values():
        for name in (described.movement.name, *described.called):
            together = "".join(words_of(name))
            if " " not in name and together.isalpha():
                yield together
            for word in words_of(name):
                single = word if word.endswith("ss") else word.removesuffix("s")
                yield from (word, single, single + ("es" if single.endswith("ss") else "s"))


def _short_words() -> Iterator[str]:
    """Words of three letters in what movements are called: `run`, `box`."""
    for described in library().described.values():
        yield from (word for word in words_of(described.movement.name) if len(word) == SHORTEST)
