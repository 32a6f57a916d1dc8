"""What people read, in their language: the words that are said in more than one place, and whole sentences said in one.

`say` is given a sentence in English with named holes, which is its own key, or the name of a row of the English catalogue
(static/js/words/en.js): what is said twice, and what speaks of a number `n`, which has a form for each plural of its language.
Another language is a table with the same keys (app/library/words_de); what it lacks is said in English. Which language is spoken
is said from outside, for as long as a page for people is made (`spoken`); everything else, marks, files, digests and a recount
among it, speaks English. static/js/words/say.js is the twin of this module, and both pass tests/vectors/words.json.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any, Optional

Word = str | Mapping[str, str]

ENGLISH = "en"
NAME = re.compile(r"[a-z0-9_]+(?:\.[a-z0-9_-]+)+")  # of a row of the catalogue, as opposed to a sentence
FROM_THE_RIGHT = re.compile(
    "[\u0590-\u065f\u066a-\u06ef\u06fa-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]"
)  # letters, not the digits among them
NUMBER = re.compile(r"(?<![\d.])(\d+)\.(\d+)(?![\d.])")


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The words of a language. `plural`: which numbers take which form, in order; any other number takes `other`. `beneath`: the
    catalogue that says what this one lacks. `point`: what stands before the decimals.

    A row names its form and numbers: {"form": "few", "mod": 10, "n": [2, 3, 4], "but": {"mod": 100, "n": [12, 13, 14]}}.
    """

    language: str
    plural: Sequence[Mapping[str, Any]]
    words: Mapping[str, Word]
    beneath: Optional["Catalogue"] = None
    point: str = "."

    def say(self, key: str, /, **holes: object) -> str:
        """A word or sentence with its holes filled; the hole `n` also chooses its form. Raises KeyError for a name of no row, and
        for a hole that is not there."""
        word = self.words.get(key)
        if word is None and self.beneath is not None:
            return self.beneath.say(key, **holes)
        if word is None and NAME.fullmatch(key):
            raise KeyError(key)
        if word is not None and not isinstance(word, str):
            form = self.form_of(holes["n"])
            word = word.get(form) or word["other"]
        return (key if word is None else word).format_map(holes)

    def known(self, text: str) -> str:
        """A text that somebody wrote, in this language where it is one of ours; else as it stands."""
        word = self.words.get(text)
        return word if isinstance(word, str) else text

    def form_of(self, n: Any) -> str:
        """Which form of a word a number takes."""
        return next((str(row["form"]) for row in self.plural if _fits(row, n)), "other")


_handed_in = [Catalogue("", (), {})]
_spoken: ContextVar[Catalogue | None] = ContextVar("spoken", default=None)


def hand_in(catalogue: Catalogue) -> Catalogue:
    """Puts the catalogue in force that is spoken where nothing else is said, and returns the one before it."""
    before, _handed_in[0] = _handed_in[0], catalogue
    return before


@contextmanager
def spoken(catalogue: Catalogue) -> Iterator[None]:
    """Speaks another language as long as this lasts, here and in what is begun here, and nowhere else."""
    token = _spoken.set(catalogue)
    try:
        yield
    finally:
        _spoken.reset(token)


def in_force() -> Catalogue:
    """The catalogue that is spoken here."""
    return _spoken.get() or _handed_in[0]


def say(key: str, /, **holes: object) -> str:
    """A sentence or a word with its holes filled: say("marks", n=3) is `3 marks`, say("Heat {number}", number=2) `Heat 2`."""
    return in_force().say(key, **holes)


def apart(text: object) -> object:
    """What goes into a sentence that is shown: a name that runs from right to left turns nothing that stands beside it (the
    isolates of UAX #9). For pages alone: what is stored may not hold these characters (texts.py)."""
    return f"\u2068{text}\u2069" if isinstance(text, str) and FROM_THE_RIGHT.search(text) else text


def say_apart(key: str, /, **holes: object) -> str:
    """The same as `say`, for a page."""
    return say(key, **{name: apart(hole) for name, hole in holes.items()})


def known(text: str) -> str:
    """A text that somebody wrote, in the language that is spoken where it is one of ours; else as it stands."""
    return in_force().known(text)


def decimal(text: str) -> str:
    """A text made of numbers alone (a load, a time, a measure) with the decimal sign of the language that is spoken."""
    point = in_force().point
    return text if point == "." else NUMBER.sub(rf"\g<1>{point}\g<2>", text)


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence, or a piece of one, to be said later in whatever language is spoken then: its key in the catalogue and what
    fills its holes, in plain texts with a decimal point. An empty key says nothing."""

    key: str = ""
    holes: Mapping[str, str] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.key)

    @property
    def text(self) -> str:
        """It in the language that is spoken; what is one of our own words in a hole too."""
        return decimal(say(self.key, **{name: known(hole) for name, hole in self.holes.items()})) if self.key else ""


UNTOLD = Told()


def ranges(numbers: Iterable[int]) -> str:
    """Numbers in words, runs of three and more drawn together: `1 to 4, 7`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        say("{first} to {last}", first=run[0], last=run[-1]) if len(run) > 2 else ", ".join(map(str, run)) for run in runs
    )


def _fits(row: Mapping[str, Any], n: Any) -> bool:
    fits = (n % row["mod"] if "mod" in row else n) in row["n"]
    return fits and not ("but" in row and _fits(row["but"], n))
