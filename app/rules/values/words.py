"""The words that are said in more than one place: one catalogue, handed in when the app is loaded, in the language of the hall.

A word is a whole sentence, or a name that stands by itself; what changes in it is a named hole. One that speaks of a number `n`
has a form for each plural of its language. The file is static/js/words/en.js, which the tablets load as it stands;
static/js/words/say.js is the twin of this module, and both pass tests/vectors/words.json.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Word = str | Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The words of a language. `plural`: which numbers take which form, in order; any other number takes `other`.

    A row names its form and numbers: {"form": "few", "mod": 10, "n": [2, 3, 4], "but": {"mod": 100, "n": [12, 13, 14]}}.
    """

    language: str
    plural: Sequence[Mapping[str, Any]]
    words: Mapping[str, Word]

    def say(self, key: str, /, **holes: object) -> str:
        """A word with its holes filled; the hole `n` also chooses its form. Raises KeyError for a word or hole not there."""
        word = self.words[key]
        if not isinstance(word, str):
            form = self.form_of(holes["n"])
            word = word.get(form) or word["other"]
        return word.format_map(holes)

    def form_of(self, n: Any) -> str:
        """Which form of a word a number takes."""
        return next((str(row["form"]) for row in self.plural if _fits(row, n)), "other")


_handed_in = [Catalogue("", (), {})]


def hand_in(catalogue: Catalogue) -> Catalogue:
    """Puts a catalogue in force for this process, and returns the one before it."""
    before, _handed_in[0] = _handed_in[0], catalogue
    return before


def say(key: str, /, **holes: object) -> str:
    """A word or sentence of the catalogue with its holes filled: say("marks", n=3) is `3 marks`."""
    return _handed_in[0].say(key, **holes)


def _fits(row: Mapping[str, Any], n: Any) -> bool:
    fits = (n % row["mod"] if "mod" in row else n) in row["n"]
    return fits and not ("but" in row and _fits(row["but"], n))
