"""A sentence as those proofs have it that go by its words alone: what the trade's words in it mean matters to none of them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from app.rules.reading.scan.pieces import Tok, in_small
from app.rules.workout.formats import Format

Rows = Mapping[str, frozenset[str]]
WORDS = re.compile(r"[^\W\d_]+(?:['-][^\W\d_]+)*")
NUMBERS = re.compile(r"\d+(?:[.,:]\d+)*")


@dataclass(frozen=True)
class Saying:
    """`text` is all of it, `plain` the same with blanks for the names of movements, which are `keys`; it is `headed` by one with
    a colon behind it. `line` is the line that it stands in, `above` the one over that; it is `first` in the text's first line;
    `elsewhere` is all else that is written."""

    text: str
    plain: str
    keys: tuple[str, ...]
    headed: bool
    line: str = ""
    above: str = ""
    first: bool = False
    elsewhere: str = ""

    @cached_property
    def words(self) -> list[str]:
        """Its words but for movements, numbers in words among them."""
        return words_said(self.plain)

    @cached_property
    def numbers(self) -> list[str]:
        """Its numbers in digits."""
        return NUMBERS.findall(self.plain)

    def only(self, rows: Rows, *names: str) -> bool:
        """Whether each of its words stands in one of these rows, or carries nothing."""
        return all(any(word in rows[name] for name in (*names, "carries_nothing")) for word in self.words)

    def any(self, rows: Rows, *names: str) -> bool:
        """Whether a word of one of these rows stands in it."""
        return not all(rows[name].isdisjoint(self.words) for name in names)

    def of_what_is_done(self, format: Format) -> bool:
        """Whether every movement that it names is done in the event."""
        done = done_in(format)
        return all(any(spaced(key) in name for name in done) for key in self.keys)


def saying(text: str, start: int, end: int, toks: Sequence[Tok]) -> Saying:
    """What stands in a text from `start` to `end`, and where."""
    left, keys = list(text[start:end]), []
    for tok in toks:
        if tok.key and tok.kind in ("MOVE", "UNKNOWN"):
            begins, ends = tok.within if tok.kind == "UNKNOWN" else (tok.start, tok.end)
            left[begins - start : ends - start] = " " * (ends - begins)
            keys.append(tok.key)
    headed = bool(toks) and toks[0].kind == "MOVE" and text[toks[0].end : end].lstrip()[:1] in (":", "=", "–", "-")
    begins = text.rfind("\n", 0, start) + 1
    over = text[:begins].rstrip()
    ends = text.find("\n", end)
    line, above = text[begins : len(text) if ends < 0 else ends], over.rpartition("\n")[2]
    return Saying(text[start:end], "".join(left), tuple(keys), headed, line, above, not over, f"{text[:start]}\n{text[end:]}")


def each_version(format: Format) -> list[Format]:
    """The event as it is written, and as its variants have it."""
    return [format, *(format.varied(one.id) for one in format.variants)]


def done_in(format: Format) -> list[str]:
    """The names of all that is done, by the event and by the library."""
    return [spaced(name) for one in format.movements.values() for name in (one.name, one.library or "") if name]


def spaced(name: str) -> str:
    """A name without what joins its words."""
    return name.casefold().replace("_", " ").replace("-", " ")


def words_said(said: str) -> list[str]:
    """The words of what is said in small letters, those with a hyphen whole."""
    return WORDS.findall(in_small(said))
