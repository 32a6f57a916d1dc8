"""Sentences and clauses that say nothing of the workout: talk, when the doors open, how a movement is judged, advice.

Nothing is talk that could change what is done, how long, with what, for whom or what counts: a number that is no time of the day
and no page, a movement outside a standard or advice, a word of the trade, a word from the table of those that bear on it. Talk
is a sentence: without a word that makes it one, some words that nobody knows are a name, and stand in red.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from app.rules.reading.scan.beside_table import BesideTable
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.talk_kinds import (
    DONE,
    DONE_IN_HEATS,
    HARMLESS,
    NUMBER_KINDS,
    OF_A_STANDARD,
    OF_AN_ASIDE,
    clock_behind,
    of_some,
    travels,
    without_moves,
)
from app.rules.reading.scan.talk_words import parts_of, words_of_talk

MOST_WORDS_OF_FAREWELL, MOST_WORDS_OF_A_NAME = 5, 3
ARTICLES, ONES = {"a", "an", "the", "some", "your", "more", "their"}, {"one", "ones"}
SUBJECT = 3  # so many words from the beginning a sentence says what it is about
BEFORE_A_SIGNAL = {"the", "a", "at", "on", "every", "each", "any"}
SOMEBODY = {"who", "somebody", "someone", "anybody", "anyone", "him", "her", "them", "if", "for"}
EARLIEST = 7 * 60  # the hour of the day, in what `7:00` says as a time
OF_A_WARNING = {"round", "rounds", "minute", "minutes", "set", "interval", "each", "every", "fast", "faster"}
LEAST_WORDS = 2  # of a sentence that the words of talk alone make one


@dataclass(frozen=True, slots=True)
class SmallTalk:
    """The table, ready to be asked: `sets` of its words by their row, `talk` those of ordinary talk."""

    sets: Mapping[str, frozenset[str]]
    parts: Callable[[str], tuple[str, ...]]  # of what is said, with idioms as one word: remembered, a text is read several times
    harmless: Mapping[str, tuple[str, ...]]
    talk: frozenset[str]
    known: frozenset[str]
    moves: frozenset[str] = frozenset()

    def says_nothing(
        self, said: str, toks: list[Tok], done: frozenset[str], meant: Callable[[str], str], whole: str = ""
    ) -> bool:
        """Whether a sentence or a clause may stand beside the event, of which `done` are the movements so far. `meant` reads a
        misspelt word; `whole` is what is said with the words at its edges that carry nothing for the grammar."""
        words = self._words(without_moves(said, toks), meant)
        written = self._words(whole or said, meant)
        if not words or any(tok.values and tok.kind not in NUMBER_KINDS for tok in toks):
            return False
        if (
            self._of_the_house(words, toks)
            or self._warns(words, toks)
            or self._brings(words, toks)
            or self._of_heats(words, toks)
        ):
            return True
        if self._judges(words, toks, done) and not self._turns(written):
            return True
        if self._hinges(written):
            return False
        reason = self._any(words[:2], "reasons")
        bears = self._bearing(words) - (self.sets["of_reasons"] if reason else frozenset())
        bears |= (self._changing(words, toks) - self.sets["mild"]) | self._geared(words)
        if any(tok.key for tok in toks) or bears or self.orders(without_moves(said, toks)):
            return False
        plain = [word for word in words if not word[0].isdigit()]
        harmless = all(self._harmless(tok) or tok.kind == "STARTAT" for tok in toks)
        return harmless and (self._speaks(plain) or self._any(words, "before")) and self._numbers(words, toks)

    def changes_nothing(self, said: str, toks: list[Tok], meant: Callable[[str], str]) -> bool:
        """Whether nothing in a sentence could change an event: somebody speaks, no word of it is one of those that could, it
        names no movement and no equipment, and its numbers are hours and pages."""
        words = self._words(said, meant)
        handled = self._handled(words)
        left = [tok for tok in toks if tok.values or not handled or not handled.issuperset(self._words(tok.text, meant))]
        if any(tok.key or tok.kind not in OF_AN_ASIDE | set(NUMBER_KINDS) for tok in left):
            return False
        told = self._bearing(words) | self._changing(words, left) | {word for word in words if word in self.moves}
        told |= self._geared(words)
        dated = any(tok.values for tok in left)
        speaks = len(words) > LEAST_WORDS and (dated or self._any(words, "speaks", "function"))
        hinges = self._hinges(words) and not self._of_the_house(words, toks)
        return speaks and not hinges and not told - handled and self._numbers(words, left)

    def _hinges(self, words: list[str]) -> bool:
        """Whether something comes of something, of a fall, a bell, a partner's return: but for `lmk if you need a judge`."""
        told = self._any(words, "hinges") or words[:1] == ["once"] or self._signalled(words)
        return told and not self._any(words[:1], "begs")

    def _turns(self, words: list[str]) -> bool:
        """`If it touches the ground it is finished`, `at the bell you drop`: no standard of a movement."""
        return self._signalled(words) or self._turned(words)

    def _turned(self, words: list[str]) -> bool:
        return self._any(words, "hinges") and self._any(words[-1:], "outcomes")

    def _signalled(self, words: list[str]) -> bool:
        """`At every bell`; the `53 lb bell` is none, nor is `three, two, one, horn`."""
        said = [after for word, after in pairwise(words) if word in BEFORE_A_SIGNAL]
        return len(words) > LEAST_WORDS and self._any(said, "signals")

    def hinges(self, said: str) -> bool:
        """Whether what is said in it hinges on something."""
        return self._hinges(self._words(said, _as_it_is))

    def is_ordered(self, said: str) -> bool:
        """Whether something is to be done at a signal, or with another piece of equipment."""
        words = [word for word in self._words(said, _as_it_is) if not word.startswith("touch")]
        return self._signalled(words) or bool(self._geared(words))

    def is_of_a_rep(self, said: str, toks: list[Tok]) -> bool:
        """Whether a line among standards says how a repetition is done: it begins with a movement, or names a part of the body,
        what is touched, or a repetition. `Every third one` is none, but some of them."""
        words = self._words(said, _as_it_is)
        headed = len(toks) > 1 and bool(toks[0].key) and toks[1].kind == "COLON"
        return not of_some(words) and (headed or self._any(words, "standards", "of_a_rep"))

    def denies(self, said: str) -> bool:
        """Whether something is denied in it."""
        return self._any(words_of_talk(said), "denied")

    def fills(self, said: str) -> bool:
        """Whether every word of it is a filler, which means nothing in the middle of a sentence."""
        words = words_of_talk(said)
        return bool(words) and all(word in self.sets["fillers"] for word in words)

    def idles(self, said: str) -> bool:
        """Whether nobody does anything in it: every word is one of those that make sentences, or a filler."""
        words = words_of_talk(said)
        return all(self._any([word], "function", "speaks", "fillers") for word in words)

    def _of_the_house(self, words: list[str], toks: list[Tok]) -> bool:
        """Whether it is about doors, dogs or coffee: its hours, places and prices are not those of an event."""
        plain = [word.removesuffix("'s") for word in words if word not in ARTICLES]
        if not self._any(plain[:SUBJECT], "house") or any(tok.key or tok.kind in DONE for tok in toks):
            return False
        told = (
            self._bearing(words)
            | self._changing(words, toks)
            | self._geared(words)
            | {word for word in words if word in self.moves}
        )
        return not told - self.sets["of_house"]

    def of_the_day(self, said: str, toks: list[Tok]) -> bool:
        """Whether it is about heats, lanes and what comes when, the house or the crew, and tells nothing that is done: `first
        heat at 9:00, then every 25 minutes`."""
        words = words_of_talk(said)
        about = self._any(words, "of_heats", "staff") or self._any(
            [word for word in words if word not in ARTICLES][:SUBJECT], "house"
        )
        return about and not any(tok.kind in DONE_IN_HEATS or (tok.kind == "MOVE" and not travels(tok)) for tok in toks)

    def _warns(self, words: list[str], toks: list[Tok]) -> bool:
        """Whether it is advice not to overdo it, and nothing else: `so don't be a hero in the first one`."""
        plain = [word for word in words if word not in ("so", "please", "and", "but")]
        warned = len(plain) > LEAST_WORDS and plain[0] in ("don't", "dont") and plain[1] in self.sets["advised"]
        numbered = any(tok.values and tok.text.casefold() != "one" for tok in toks) or any(tok.key for tok in toks)
        over = self._any(plain[1:], "to_extremes")
        return warned and over and not numbered and not self._geared(words) and not (self._bearing(plain[2:]) - OF_A_WARNING)

    def _brings(self, words: list[str], toks: list[Tok]) -> bool:
        """`Bring your own rope and your waiver`, of things alone; `bring running shoes`."""
        plain = words[1:] if words[:1] == ["please"] else words
        done = any(tok.values or (tok.key and not tok.text.casefold().endswith("ing")) for tok in toks)
        if done or SOMEBODY & set(words):
            return False
        return plain[:1] == ["bring"] and all(self._any([word], "brought", "function", "speaks") for word in words)

    def _of_heats(self, words: list[str], toks: list[Tok]) -> bool:
        """`First heat 9:00 and then every 25 minutes`: the hours of the day at which heats begin."""
        times = [tok for tok in toks if tok.values]
        hours = [tok for tok in times if tok.kind == "DUR" and ":" in tok.text and int(tok.values[0]) >= EARLIEST]
        others = [tok for tok in times if tok not in hours]
        apart = len(others) <= 1 and all(tok.kind == "DUR" and tok.start > hours[0].start for tok in others) if hours else False
        said = all(
            self._any([word], "heat_hours", "of_heats", "function") or word[0].isdigit() or len(word) == 1 for word in words
        )
        apart = apart and (bool(others) or not {"minutes", "min", "mins"} & set(words))
        return apart and self._any(words, "of_heats") and said and not any(tok.key for tok in toks)

    def _changing(self, words: list[str], toks: list[Tok]) -> set[str]:
        """Its words that could change an event; a start at an hour of the day is none."""
        dated = (any(tok.values for tok in toks) and self._any(words, "clocks")) or self._any(words, "parts_of_an_hour")
        return {word for word in words if word in self.sets["changes"]} - (self.sets["of_a_day"] if dated else frozenset())

    def _staffed(self, words: list[str]) -> bool:
        """Whether it says what a judge or the crew does that decides nothing: `the judge writes your total down`."""
        plain = [word for word in words if word not in ARTICLES]
        begins = bool(plain) and plain[0] in self.sets["staff"]
        done = any(after in self.sets["staff"] for word, after in pairwise(plain) if word == "by")
        return (begins or done) and self._any(words, "staff_does")

    def _handled(self, words: list[str]) -> frozenset[str]:
        """The words that change nothing in what it says of a judge or the crew: `judges write the tie-break in the small box`."""
        if not self._staffed(words):
            return frozenset()
        return self.sets["handled"] | (self.sets["of_writing"] if self._any(words, "writes") else frozenset())

    def speaks(self, said: str) -> bool:
        """Whether somebody says something: it is no list of things."""
        return self._any(words_of_talk(said), "speaks")

    def tail(self, said: str, toks: list[Tok], meant: Callable[[str], str]) -> bool:
        """Whether what stands at the end of a sentence without a stop is talk: `fastest wins dont forget your rope`."""
        words = self._words(said, meant)
        opened = len(words) > LEAST_WORDS and words[0] in self.sets["openers"]
        return opened and self.says_nothing(said, toks, frozenset(), meant)

    def bears(self, said: str, meant: Callable[[str], str], standard: bool = False) -> bool:
        """Whether a word stands in it that may change the event; in a standard fewer words do."""
        words = self._words(said, meant)
        if self._turned(words) if standard else self._hinges(words):
            return True
        told = self._bearing(words) - (self.sets["of_reasons"] if self._any(words[:2], "reasons") else frozenset())
        told |= frozenset() if standard else (self._changing(words, []) - self.sets["mild"]) | self._geared(words)
        return bool(told - (self.sets["of_a_rep"] | self.sets["of_standards"] if standard else frozenset()))

    def sentence(self, said: str) -> bool:
        """Whether somebody says something in it, of more words than a name has."""
        words = words_of_talk(said)
        return len(words) > MOST_WORDS_OF_A_NAME and self._any(words, "speaks", "conditions")

    def conditional(self, said: str) -> bool:
        """Whether a clause says when something else is so: it goes with that."""
        words = words_of_talk(said)
        return self._any(words, "ifs") and not self._any(words[:2], "reasons")

    def tip(self, said: str) -> bool:
        """Whether a heading says that advice follows."""
        return self._any(words_of_talk(said), "tips")

    def of_scores(self, said: str) -> bool:
        """Whether it names something whose scores may be meant."""
        return self._any(words_of_talk(said), "scored")

    def chooses(self, said: str) -> bool:
        """Whether it leaves something open: what may be done is not what is done."""
        return self._any(words_of_talk(said), "choices")

    def farewell(self, said: str) -> bool:
        """Whether it is a greeting or a farewell, with a name perhaps: `Hugs, Jo`."""
        words = words_of_talk(said)
        greets = bool(words) and (words[0] in self.sets["greets"] or words[-1] in self.sets["greets"])
        return greets and len(words) <= MOST_WORDS_OF_FAREWELL and not self._any(words, "bears")

    def _bearing(self, words: list[str]) -> set[str]:
        groups = self.sets["groups"] if self._any(words, "doing") else frozenset()
        several = set[str]()
        if not self.sets["begin_several"].isdisjoint(words):
            flat = f" {' '.join(words)} "
            several = {told for told in self.sets["several"] if f" {told} " in flat}
        return several | {word for word in words if word in self.sets["bears"] or word in groups}

    def _geared(self, words: list[str]) -> set[str]:
        """The equipment that somebody is to use, or to do without; `the pink one` may be a piece of it."""
        told = {word for word in words if word in self.sets["gear"]}
        told |= {last for first, _, last in zip(words, words[1:], words[2:], strict=False) if first in ARTICLES and last in ONES}
        used = self._any(words, "using", "denied") and not self._any(words, "tidied")
        return told if used else set()

    def _any(self, words: list[str], *rows: str) -> bool:
        return any(not self.sets[row].isdisjoint(words) for row in rows)

    def _words(self, said: str, meant: Callable[[str], str]) -> list[str]:
        return [part if part in self.known else meant(part) or part for part in self.parts(said)]

    def orders(self, said: str) -> bool:
        """`And you do froggers too`, `then some froggers`: something is to be done, be it known or not."""
        words = self._words(said, _as_it_is)
        named = [word for word in words if word not in ARTICLES]
        return any(word in self.sets["orders"] and after not in self.known for word, after in pairwise(named))

    def _speaks(self, words: list[str]) -> bool:
        told = any(word in self.talk for word in words) or self._any(words, "speaks", "advice")
        return told and (len(words) >= LEAST_WORDS or words[0] in self.talk)

    def _judges(self, words: list[str], toks: list[Tok], done: frozenset[str]) -> bool:
        """How a movement that is done is judged, or advice about it."""
        keys = {tok.key for tok in toks if tok.key}
        if any(tok.values for tok in toks) or any(word[0].isdigit() for word in words) or len(words) <= LEAST_WORDS:
            return False
        if not all(any(key in one or one in key for one in done) for key in keys) or of_some(words):
            return False
        if not all(self._harmless(tok) or tok.kind in OF_A_STANDARD for tok in toks):
            return False
        standard, of_a_rep = self._any(words, "standards"), self._any(words, "of_a_rep")
        bears = self._bearing(words)
        if standard:
            bears -= self.sets["of_a_rep"] | self.sets["of_standards"]
        counted = self._any(words, "counting") and not (standard and self._any(words, "guards"))
        owed = bool(keys) and self._any(words, "conditions") and not of_a_rep
        advised = bool(keys) and self._any(words, "advice")
        return not bears and not counted and not owed and (standard or advised)

    def _numbers(self, words: list[str], toks: list[Tok]) -> bool:
        """Whether every number is an hour, a page, a price."""
        spoken = [tok for tok in toks if tok.values and not tok.text[:1].isdigit() and not self._pronoun(words, tok)]
        first = [found[0] for found in (words_of_talk(tok.text) for tok in spoken) if found]
        if len(first) < len(spoken) or any(word not in words for word in first):
            return False
        places = [place for place, word in enumerate(words) if word[0].isdigit()] + [words.index(word) for word in first]
        flat = f" {' '.join(words)} "
        clock = any(f" {told} " in flat for told in self.sets["clocks"])
        return all(self._of_the_day(words, place, clock) or (clock and clock_behind(words, place)) for place in places)

    def _pronoun(self, words: list[str], tok: Tok) -> bool:
        """`I'll find one for you`: with nothing behind it that it could count."""
        if tok.text.casefold() != "one" or words.count("one") != 1:
            return False
        behind = words[words.index("one") + 1 :][:1]
        return not behind or self._any(behind, "speaks", "reasons", "after_one")

    def _of_the_day(self, words: list[str], place: int, clock: bool) -> bool:
        before = words[place - 1] if place else ""
        behind = words[place + 1] if place + 1 < len(words) else ""
        paged = before == "of" and "page" in words
        return paged or behind in self.sets["behind"] or before in self.sets["before"] or (clock and before in self.sets["hours"])

    def _harmless(self, tok: Tok) -> bool:
        return tok.kind in HARMLESS or tok.kind in NUMBER_KINDS or tok.text.casefold() in self.harmless.get(tok.kind, ())


def _as_it_is(word: str) -> str:
    return word


def small_talk_of(
    table: BesideTable, talk: frozenset[str], decides: frozenset[str], moves: frozenset[str] = frozenset()
) -> SmallTalk:
    """A table ready to be asked, with the words of ordinary talk and those that may decide what counts."""
    sets = {name: frozenset(words) for name, words in table.model_dump(exclude={"harmless"}).items()}
    sets["bears"] |= decides
    sets["several"] = frozenset(told for told in sets["bears"] if " " in told)
    sets["begin_several"] = frozenset(told.split()[0] for told in sets["several"])
    sets["counting"] = sets["of_a_rep"] & decides
    return SmallTalk(sets, parts_of(table), table.harmless, talk, talk.union(*sets.values()), moves - sets["function"])
