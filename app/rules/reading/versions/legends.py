"""Whose the two numbers of a thing are, told apart from them: `M/F` alone in its line, `Cap 12:00 (men/women)`, `Loads as listed,
men/women`, `first weight = M, second = W`."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok, in_small

WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*|[/♀♂]")
KINDS = {"MEN": "men", "WOMEN": "women", "RX": "rx", "SCALED": "scaled"}
OTHER = {"men": "women", "women": "men", "rx": "scaled", "scaled": "rx"}
LETTERS = {"m": "men", "w": "women", "f": "women"}
DOUBLED = {"mm": "men", "ww": "women", "ff": "women"}  # of pairs and teams: `MM / FF`
# Who works together stands in the line: `pairs, M/F` may be a man and a woman of each.
TOGETHER = {"TEAMS", "PAIR", "TRIO", "SPLIT", "SYNC", "TURNS", "RELAY", "ALLTOGETHER", "BOTH", "EACHDOES", "MEMBER"}
BEFORE = {
    *("", "COMMA", "STOP", "DASH", "BAR", "DUR", "BARE", "PRIMED", "CAP", "FORTIME", "AMRAP", "EMOM", "ROUNDS", "TIMES", "SETS"),
    *("SCHEME", "KG", "LB", "LETTER", "PART"),
}
BEHIND = {"", "COMMA", "STOP", "BAR"}
LEAST_OF_A_SCHEME = 3  # `10-8` may be two versions' numbers themselves


@dataclass(frozen=True, slots=True)
class Legend:
    """Whose the first and the second of two numbers are. `short`: it is told by letters or signs alone, which beside a pair or a
    team may as well be who is in it."""

    names: tuple[str, str]
    start: int
    end: int
    short: bool


@dataclass(frozen=True, slots=True)
class Legends:
    """The words of a language by which whose the numbers are is told: `names` of versions, `nouns` for a number, `first` and
    `second`, and what is `idle` beside them."""

    names: Mapping[str, str]
    nouns: frozenset[str]
    first: frozenset[str]
    second: frozenset[str]
    idle: frozenset[str]
    teams: frozenset[str]

    def told(self, said: str, start: int) -> Legend | None:
        """The legend that a sentence is; None for one that says anything else. It begins at `start` in the text."""
        if any(sign.isdigit() for sign in said):
            return None
        words = WORD.findall(in_small(said))
        left = [word for word in words if word not in self.idle | self.nouns]
        teams = any(word in self.teams for word in left)
        left = [word for word in left if word not in self.teams]
        names = self._in_order(words, left)
        if len(names) != 2 or OTHER.get(names[0]) != names[1] or (teams and not any(word in DOUBLED for word in left)):
            return None
        short = all(word in LETTERS or not word.isalpha() for word in left)
        return Legend((names[0], names[1]), start, start + len(said), short)

    def written_for(self, said: str) -> str:
        """`That's for the men.`: whose all numbers above are; empty for another sentence."""
        words = WORD.findall(in_small(said))
        left = [word for word in words if word not in self.idle | self.nouns | {"that's", "those", "these", "so"}]
        pointed = bool(words) and words[0] in ("that", "that's", "those", "these", "this") and "for" in words
        return self._name(left[0]) if pointed and len(left) == 1 and left[0] not in LETTERS else ""

    def _in_order(self, words: Sequence[str], left: Sequence[str]) -> tuple[str, ...]:
        """Whose the first number is, and whose the second, by all the words that say anything."""
        if len(left) == 3 and left[1] == "/":
            return self._name(left[0]), self._name(left[2])
        steps = ["first" if word in self.first else "second" if word in self.second else "" for word in left]
        ordered = [word for word, step in zip(left, steps, strict=True) if not step]
        names = tuple(self._name(word) for word in ordered)
        numbered = any(one in self.first | self.second and two in self.nouns for one, two in pairwise(words))
        if not (numbered or any(word.endswith("'s") for word in ordered)):
            return ()  # `men first, women second`: whose heat it is
        told = [step for step in steps if step]
        if len(left) == 4 and told == ["first", "second"] and steps in (["first", "", "second", ""], ["", "first", "", "second"]):
            return names
        return (*names, OTHER.get(names[0], "")) if len(left) == 2 and told == ["first"] else ()

    def _name(self, word: str) -> str:
        return self.names.get(word.removesuffix("'s"), "")


def legends_of(ways: Mapping[str, Sequence[str]], table: Mapping[str, Sequence[str]]) -> Legends:
    """The words by which a language tells whose numbers are."""
    names = {way: name for kind, name in KINDS.items() for way in ways[kind] if " " not in way}
    sets = {row: frozenset(words) for row, words in table.items()}
    return Legends({**names, **LETTERS, **DOUBLED}, sets["nouns"], sets["first"], sets["second"], sets["idle"], sets["teams"])


def without_legends(toks: list[Tok]) -> tuple[list[Tok], list[Legend]]:
    """A line without what tells whose all numbers are (`For time, M/F`), and what that says. Beside two numbers it is about
    those alone, and stays."""
    if not any(tok.kind == "VERSIONS" for tok in toks) or any(tok.kind in TOGETHER for tok in toks):
        return toks, []
    found: list[Tok] = []
    told: list[Legend] = []
    for at, tok in enumerate(toks):
        before, behind = toks[at - 1] if at else None, toks[at + 1].kind if at + 1 < len(toks) else ""
        if tok.kind == "VERSIONS" and len(tok.values) == 2 and behind in BEHIND and _alone_behind(before):
            short = all(word in LETTERS or not word.isalpha() for word in WORD.findall(tok.text.casefold()))
            told.append(Legend((tok.values[0], tok.values[1]), tok.start, tok.end, short))
            if found and found[-1].kind == "COMMA":
                found.pop()
        else:
            found.append(tok)
    return (found if any(tok.kind not in ("COMMA", "STOP") for tok in found) or not told else []), told


def _alone_behind(before: Tok | None) -> bool:
    """Whether nothing before it has two numbers that it could be about."""
    if before is None:
        return True
    several = len(before.values) > 1 and not (before.kind == "SCHEME" and len(before.values) >= LEAST_OF_A_SCHEME)
    return before.kind in BEFORE and not several
