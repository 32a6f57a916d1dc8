"""Words with one slip of the finger in them: a letter left out, doubled, wrong or changed places with the one beside it.

A word is only read as another where one single known word is so near, begins with the same letter, and means something where it
stands; what it was read as is told as assumed.
"""

import difflib
from collections import defaultdict
from collections.abc import Iterable, Mapping

LEAST, SHORT = 4, 3  # letters of a known word, of a slip in it
LONG, ALIKE = 8, 0.87  # a word of so many letters may have two slips in it, if it is so much like one known word
VOWELS = set("aeiouy")


class Spelling:
    """Finds the known word that a misspelt one is."""

    def __init__(self, known: Iterable[str], others: Iterable[str] = (), short: Iterable[str] = ()) -> None:
        """`known` are read for a slip; `others` are no slips themselves; in `short` ones of three letters the last two may have
        changed places."""
        self.known, self.others, self.short = frozenset(known), frozenset(others), frozenset(short)
        self._near: Mapping[tuple[str, int], list[str]] = self._by_beginning()
        self._long: defaultdict[str, list[str]] = defaultdict(list)
        for word in sorted(self.known):
            if word.isalpha() and len(word) >= LONG:
                self._long[word[0]].append(word)

    def _by_beginning(self) -> Mapping[tuple[str, int], list[str]]:
        found: defaultdict[tuple[str, int], list[str]] = defaultdict(list)
        for word in sorted(self.known):
            if word.isalpha() and len(word) >= LEAST - 1 and set(word) & VOWELS:
                found[word[0], len(word)].append(word)
        return found

    def meant(self, word: str) -> str:
        """The one known word that is a slip away; empty for a known word, and where there is none or more than one."""
        near = self.near(word)
        return near[0] if len(near) == 1 or _plurals(near) else ""

    def near(self, word: str) -> list[str]:
        """The known words that are a slip away; none for a known word."""
        if word in self.known or word in self.others or len(word) < SHORT or not word.isalpha():
            return []
        near = [
            other
            for length in (len(word) - 1, len(word), len(word) + 1)
            for other in self._near.get((word[0], length), ())
            if _one_slip(word, other) and (len(other) >= LEAST or other == "the" or self._short(word, other))
        ]
        if not near and len(word) >= LONG:
            near = sorted(difflib.get_close_matches(word, self._long.get(word[0], ()), 3, ALIKE))
        return [other for other in near if _swapped(word, other)] or near  # `swigns` is no `signs`: all its letters are there

    def _short(self, word: str, other: str) -> bool:
        """`capp`, `rnu`: a short word is only read where its last letter stands twice, or two have changed places."""
        return _doubled(word, other) or (other in self.short and _swapped(word, other))


def _plurals(near: list[str]) -> bool:
    """One word, and the same with an s."""
    return len(near) == 2 and near[0] + "s" == near[1]


def _doubled(word: str, other: str) -> bool:
    return word == other + other[-1]


def _swapped(word: str, other: str) -> bool:
    """Whether two letters beside one another have changed places."""
    at = _differ_at(word, other)
    return len(word) == len(other) and word[at : at + 2] == other[at : at + 2][::-1] and word[at + 2 :] == other[at + 2 :]


def _differ_at(word: str, other: str) -> int:
    return next((at for at, (one, two) in enumerate(zip(word, other, strict=False)) if one != two), min(len(word), len(other)))


def _one_slip(word: str, other: str) -> bool:
    least = min(len(word), len(other))
    half = least // 2
    if word[:half] != other[:half] and word[half + 1 - least :] != other[half + 1 - least :]:
        return False  # one slip leaves one half of a word as it is
    at = _differ_at(word, other)
    if len(word) == len(other):
        return _swapped(word, other) or (len(word) > LEAST and word[at + 1 :] == other[at + 1 :])
    longer, shorter = (word, other) if len(word) > len(other) else (other, word)
    doubled = longer[at : at + 1] == longer[at - 1 : at]
    return longer[at + 1 :] == shorter[at:] and (doubled or len(shorter) >= LEAST)
