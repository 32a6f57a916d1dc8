"""A line of a text taken apart into words that the grammar knows, each with the span of the text that it came from.

Three passes, each from left to right: letters, digits and signs; the longest known phrase or movement at each place; numbers with
the units and words beside them (chunks.py). What no table knows stays a word, and words side by side are one unknown thing.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.grammar import Statement
from app.rules.reading.scan.numbered import (
    letter_of_member,
    lettered,
    letters,
    nth_window,
    numbered_member,
    off_misspelt,
    part,
    twice,
)
from app.rules.reading.scan.pieces import BLIND, GROUP, Tok, pieces, plain, words_in
from app.rules.reading.scan.sense_words import Known
from app.rules.reading.scan.spoken_numbers import MOST_WORDS_OF_NUMBER, number_in_words
from app.rules.reading.scan.words import GLUE, NUMBER_HOLE, Words
from app.rules.reading.talk import Span
from app.rules.workout.movements import library

MOST_WORDS_IN_NAME = 6
OF_A_MEMBER = re.compile(r"[A-D]['’]s")


def tall(key: str) -> bool:
    """Whether a movement has a height: a box, a target."""
    described = library().described.get(key)
    return described is not None and bool({"box", "ball", "high_target"} & set(described.needs))


class Scanner:
    """Finds known phrases and movements in pieces. What a name means is remembered, and the lines that were read."""

    def __init__(self, words: Words) -> None:
        self.words = words
        self._known: dict[str, str] = {}
        self._beginnings: dict[str, bool] = {}
        self._meant: dict[str, str] = {}
        self._talked: dict[str, str] = {}
        self.misspelt: list[tuple[Tok, str]] = []
        self.set_aside: dict[tuple[int, int, int, frozenset[str]], bool] = {}  # clauses by where they stand, and what is done
        self.sensible: dict[tuple[int, int, int], list[str]] = {}  # the words of clauses that may have a sense
        self.parsed: dict[tuple[Tok, ...], tuple[list[Statement] | None, list[Tok]]] = {}  # what the grammar makes of words
        self.sensed: dict[tuple[int, int, int, Known], list[Tok] | None] = {}  # the same, by their sense
        self.lines: dict[tuple[int, int], tuple[list[Tok], list[tuple[Tok, str]]]] = {}  # of the text, by where they stand
        # Sentences that were put beside and have a sense: they are tried again while others stand beside, once.
        self.tries_again, self.tried_again, self.in_vain = False, set[Span](), set[Span]()
        self._pieces: dict[tuple[int, int], list[Tok]] = {}  # the same, before they are read
        # What sentences are by themselves: the first of a line's words, those that stand beside one another, those of a frame.
        self.told: dict[tuple[Tok, ...], tuple[list[Tok], list[list[Tok]]]] = {}
        self.framed: dict[tuple[Tok, ...], list[Tok] | None] = {}
        self.in_windows: dict[tuple[Tok, ...], list[Tok] | None] = {}

    def begin(self) -> None:
        """The text is read from the beginning, with other answers perhaps: what its lines are stays known."""
        self.misspelt.clear()
        self.tries_again, self.tried_again, self.in_vain = False, set(), set()

    def pieces(self, text: str, start: int, end: int) -> list[Tok]:
        """The pieces of a line of the one text that is read: they are looked at several times."""
        if (start, end) not in self._pieces:
            self._pieces[start, end] = pieces(text, start, end)
        return self._pieces[start, end]

    def movement(self, name: str) -> str:
        """The key of a movement under which the library knows it, be it as a lift alone; empty for none."""
        if name not in self._known:
            shelf = library()
            flat = shelf.plain(name)
            self._known[name] = shelf.names.get(flat) or shelf.lifts.get(flat) or ""
        return self._known[name]

    def _begins(self, raw: list[Tok]) -> bool:
        """Whether a movement's name may begin so."""
        name = _as_written(raw)
        if name not in self._beginnings:
            flat = library().plain(name)
            self._beginnings[name] = (
                flat in self.words.beginnings or raw[-1].kind == "AND" or plain(raw[-1]) in self.words.articles
            )
        return self._beginnings[name]

    def known(self, raw: list[Tok]) -> list[Tok]:
        """The pieces with phrases, movements and numbers in words found; what is left are WORDs and signs."""
        found = letters(raw)
        at = 2 * len(found[0].values) - 1 if found else 0
        while at < len(raw):
            taken = letter_of_member(raw, at) or numbered_member(raw, at) or off_misspelt(raw, at) or self._at(raw, at)
            if taken is None:
                one = raw[at]
                found.append(replace(one, kind=self._word(one), unit=self._group(one)) if one.kind == "LETTERS" else one)
                at += 1
                continue
            toks, length = taken
            found += toks
            at += length
        return found

    def _group(self, one: Tok) -> str:
        """Marks a word that may name a version, beside a load: `juniors 12 kg`."""
        return GROUP if plain(one) in self.words.of_versions else ""

    def _word(self, one: Tok) -> str:
        said = plain(one)
        if said.endswith("'s") and said not in self.words.prose:  # `Saturday's`
            said = said.removesuffix("'s")
        if said in self.words.decides:
            return "DECIDES"
        if said in self.words.weighty:
            return "WEIGHTY"
        return "PROSE" if said in self.words.prose else "CHAT" if said in self.words.chat else "WORD"

    def read(self, raw: list[Tok]) -> list[Tok]:
        """The pieces as known words; misspelt ones where they mean something then."""
        meant = [self._slip(plain(one)) if one.kind == "LETTERS" else "" for one in raw]
        if not any(meant):
            return self.known(raw)
        spelt = self.known([replace(one, text=word) if word else one for one, word in zip(raw, meant, strict=True)])
        blind = [tok for tok in spelt if tok.kind in BLIND]
        used = [word and all(not tok.start <= one.start < tok.end for tok in blind) for one, word in zip(raw, meant, strict=True)]
        self.misspelt += [(one, word) for one, word, fits in zip(raw, meant, used, strict=True) if fits]
        if any(word and not fits for word, fits in zip(meant, used, strict=True)):
            spelt = self.known(
                [replace(one, text=word) if fits else one for one, word, fits in zip(raw, meant, used, strict=True)]
            )
        slips = [one for one, fits in zip(raw, used, strict=True) if fits]
        return [_named(tok) if any(tok.start <= one.start < tok.end for one in slips) else tok for tok in spelt]

    def decides(self, said: str) -> bool:
        """Whether a word stands in it that may change what counts, whatever else is said."""
        return not self.words.decides.isdisjoint(words_in(said))

    def denies(self, said: str) -> bool:
        """Whether a word stands in it that may turn what is said into another thing."""
        return not self.words.weighty.isdisjoint(words_in(said))

    def talks(self, said: str) -> bool:
        """Whether a word of ordinary talk stands in it."""
        return not self.words.spoken.isdisjoint(words_in(said))

    def spelt(self, words: list[str]) -> list[str]:
        """Words with those that are misspelt as they are meant."""
        return [word if self.words.is_known(word) else self._slip(word) or word for word in words]

    def talked(self, word: str) -> str:
        """What a misspelt word of talk is meant to be; empty where it is none."""
        if word not in self._talked:
            self._talked[word] = self.words.talk_spelling.meant(word)
        return self._talked[word]

    def blind(self, raw: list[Tok]) -> list[Tok]:
        """The pieces as known words without what carries nothing; slips in them are not told."""
        found = [tok for tok in self.read(raw) if tok.kind != GLUE]
        self.misspelt.clear()
        return found

    def _slip(self, word: str) -> str:
        if word not in self._meant:
            near = [] if self.movement(word) else self.words.spelling.near(word)
            alike = len({self.movement(one) or one for one in near}) == 1  # `burpes`: all are ways of writing one movement
            self._meant[word] = near[0] if near and alike else self.words.spelling.meant(word) if near else ""
        return self._meant[word]

    def _at(self, raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        if numbered := nth_window(raw, at) or twice(raw, at):
            return numbered
        if lettered := part(raw, at):
            return lettered
        phrase, movement = self._phrase(raw, at), self._movement(raw, at)
        if phrase and phrase[0][0].kind == "HOLD":
            held = self._held(raw, at + phrase[1])
            if held:
                return [*phrase[0], held[0]], phrase[1] + held[1]
        if raw[at].text == "ME" and at + 1 < len(raw) and (self._movement(raw, at + 1) or plain(raw[at + 1]) in ("cal", "cals")):
            return [replace(raw[at], kind="MAX")], 1
        if movement and (not phrase or movement[1] > phrase[1]):
            return [movement[0]], movement[1]
        number = self._number(raw, at)
        return number if number and (not phrase or (phrase[0][0].kind == GLUE and number[1] >= phrase[1])) else phrase

    def _phrase(self, raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        first = plain(raw[at])
        second = plain(raw[at + 1]) if at + 1 < len(raw) else ""
        ways = self.words.ways(first, second)
        if raw[at].kind == "NUM":
            ways = (*ways, *self.words.ways(NUMBER_HOLE, second))
        counted = at > 0 and raw[at - 1].kind == "NUM"
        for phrase in ways:
            if counted and phrase.kind == "MINUTE":  # `5 min 10 burpees` is no tenth minute
                continue
            if (values := self._fits(raw, at, phrase.pieces)) is not None:
                counts = phrase.kind == "LABEL" or (phrase.kind == "PAIR" and values)  # `event 21-15-9`, `pairs event 2`
                if counts and not self._labels(raw, at + len(phrase.pieces)):
                    continue
                if phrase.kind == "HELDRULE" and not ends(raw, at + len(phrase.pieces)):  # `one works, one holds a plank`
                    continue
                if phrase.kind in ("MINUTE", "MEMBER") and self._timed(raw, at + len(phrase.pieces)):  # `window 10 min`
                    continue
                if phrase.kind == "SCOREOF" and lettered(raw, at + len(phrase.pieces) - 1):  # `score 2a`
                    return [raw[at].to(raw[at + len(phrase.pieces)], phrase.kind, text="", values=())], len(phrase.pieces) + 1
                last = raw[at + len(phrase.pieces) - 1]
                if phrase.kind == "LABEL":
                    return [raw[at].to(last, "PROSE", text="", values=())], len(phrase.pieces)
                values = () if phrase.kind == "PAIR" else values
                return [raw[at].to(last, phrase.kind, text="", values=values)], len(phrase.pieces)
        return None

    def _labels(self, raw: list[Tok], at: int) -> bool:
        """Whether what stands there parts a number from it: `event 2: …`, `event five is …`."""
        return at >= len(raw) or raw[at].kind in ("COLON", "COMMA", "STOP") or plain(raw[at]) in self.words.label_ends

    def _timed(self, raw: list[Tok], at: int) -> bool:
        """Whether a unit of time stands there."""
        return at < len(raw) and any(
            phrase.kind in ("MIN", "SEC", "HOUR") and len(phrase.pieces) == 1
            for phrase in self.words.phrases.get(plain(raw[at]), ())
        )

    def _fits(self, raw: list[Tok], at: int, wanted: tuple[str, ...]) -> tuple[str, ...] | None:
        if at + len(wanted) > len(raw):
            return None
        values: list[str] = []
        for tok, piece in zip(raw[at:], wanted, strict=False):
            if piece == NUMBER_HOLE:
                number = tok.values[0] if tok.kind == "NUM" else str(self.words.numbers.get(plain(tok), ""))
                if not number:
                    return None
                values.append(number)
            elif plain(tok) != piece:
                return None
        return tuple(values)

    def _movement(self, raw: list[Tok], at: int) -> tuple[Tok, int] | None:
        """The longest name of a movement that begins here."""
        timed = len(raw[at].text) == 1 and at > 0 and raw[at - 1].kind == "NUM" and self._timed(raw, at)
        if raw[at].kind != "LETTERS" or (timed and not _in_name(raw, at + 1)) or OF_A_MEMBER.fullmatch(raw[at].text):
            return None  # the s of `15 s to change` begins no name, and `B's best lift` is no back squat
        most = at
        while (
            most < len(raw)
            and most - at < MOST_WORDS_IN_NAME
            and (raw[most].kind in ("LETTERS", "AND") or (raw[most].kind == "LPAR" and most > at) or _in_name(raw, most))
            and self._begins(raw[at : most + 1])
        ):
            most += 1
        for end in range(most, at, -1):
            if raw[end - 1].kind in ("AND", "LPAR") or plain(raw[end - 1]) in self.words.articles:
                continue
            closes = "LPAR" in {tok.kind for tok in raw[at:end]}  # `squats (no weight)`
            if closes and (end >= len(raw) or raw[end].kind != "RPAR"):
                continue
            key = self.movement(_as_written(raw[at:end]))
            if key:
                if named := self._named_in_brackets(raw, at, end, key):
                    key, end = named
                    return raw[at].to(raw[end - 1], "MOVE", key=key, name=library().movements[key].name, text=""), end - at
                end += closes
                return raw[at].to(raw[end - 1], "MOVE", key=key, text=""), end - at
        return None

    def _named_in_brackets(self, raw: list[Tok], at: int, end: int, key: str) -> tuple[str, int] | None:
        """`Burpees (bar facing)`, `pull-ups (strict)`: the movement that the words in the brackets make of it, and its end."""
        close = next((place for place in range(end + 2, min(len(raw), end + 5)) if raw[place].kind == "RPAR"), None)
        if close is None or raw[end].kind != "LPAR" or any(one.kind not in ("LETTERS", "AND") for one in raw[end + 1 : close]):
            return None
        name, inside = _as_written(raw[at:end]), _as_written(raw[end + 1 : close])
        found = self.movement(f"{inside} {name}") or self.movement(f"{inside.removesuffix('s')} {name}")
        return (found, close + 1) if found and found != key else None

    def _held(self, raw: list[Tok], at: int) -> tuple[Tok, int] | None:
        """What somebody holds: `the bar` is a bar hold, `a plank` a plank hold."""
        skipped = at
        while skipped < len(raw) and plain(raw[skipped]) in self.words.articles:
            skipped += 1
        for end in range(min(len(raw), skipped + 4), skipped, -1):
            words = raw[skipped:end]
            if any(tok.kind != "LETTERS" for tok in words):
                continue
            name = " ".join(tok.text for tok in words)
            for way in (f"{name} hold", f"hold of a {name}", name):
                if key := self.movement(way):
                    return words[0].to(words[-1], "MOVE", key=key, name=library().movements[key].name, text=""), end - at
        return None

    def _number(self, raw: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        """A number in words, `twenty one` too."""
        if raw[at].kind != "LETTERS":
            return None
        found = number_in_words([plain(tok) for tok in raw[at : at + MOST_WORDS_OF_NUMBER]], self.words.numbers)
        if found is None:
            return None
        value, length = found
        one = replace(raw[at], kind="NUM", values=(value,))
        return [one if length == 1 else one.to(raw[at + length - 1], "NUM", text="")], length


def ends(raw: list[Tok], at: int) -> bool:
    """Whether a clause ends there."""
    return at >= len(raw) or raw[at].kind in ("COLON", "COMMA", "STOP", "RPAR")


def _named(tok: Tok) -> Tok:
    """A movement whose name is misspelt is called as the library has it."""
    return replace(tok, name=library().movements[tok.key].name) if tok.key and not tok.name else tok


def _as_written(toks: list[Tok]) -> str:
    """A name with blanks between its words, and none beside a digit that has none: `s2oh`."""
    said = toks[0].text
    for before, tok in pairwise(toks):
        said += ("" if tok.glued and "NUM" in (before.kind, tok.kind) else " ") + tok.text
    return said


def _in_name(raw: list[Tok], at: int) -> bool:
    """A digit between letters without a blank: the 2 of `t2b`."""
    if at >= len(raw):
        return False
    beside = at + 1 < len(raw) and raw[at + 1].kind == "LETTERS" and raw[at + 1].glued
    return raw[at].kind == "NUM" and raw[at].glued and beside


def with_texts(text: str, toks: list[Tok]) -> Iterator[Tok]:
    """The words with what the text says at their span, without glue."""
    for tok in toks:
        if tok.kind != GLUE:
            said = text[tok.start : tok.end]
            yield tok if tok.text == said else replace(tok, text=said)
