"""The words of a language that carry the sense of a sentence, and those that carry nothing beside them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok
from app.rules.values.shapes import Base

EVERY_WORD = re.compile(r"\w+(?:'\w+)*")
IN_SOME = ("before", "times")  # stand in some sentences, and are in no row
ONE_WINDOW = ("SET", "ROUND", "INTERVAL", "WINDOW")
APART = "separately"  # what a phrase of several words for it is read as


class SenseTable(Base):
    """Words by what they carry: `nouns` that are counted, by what the grammar calls them, and how they are taken; `told` says
    that something counts, `ending` when the last repetition is done (`clocks` that `stops`); `cap` and `called` that time is
    called, `before_cap` what stands before its time; `rest` a rest, `setting_up` what is done in it; `lasting` (`of_lasting`
    beside) how long it is; `late` with `of_late` that nothing counts after the bell, `once` that a distance counts as one;
    `of_score` stand beside what counts, `of_some` where it is some of what is done; `nothing` that what is done is not
    `scored` (`of_scored` beside), `only` that it alone is, `entry` that it is what one pays to begin; `who` stand beside how
    many work, `shared` beside how they share it; `out` with `missed`, or with something `undone`, that a miss ends it
    (`of_a_miss` beside); `apart` that several things are ranked each on its own; `begins_anew` with `anew` that each window
    begins at the top. `beside` carry nothing in such a
    sentence; `never` are words of talk that may change what is said there."""

    nouns: dict[str, tuple[str, ...]]
    windows: tuple[str, ...]
    told: tuple[str, ...]
    sum: tuple[str, ...]
    weak: tuple[str, ...]
    low: tuple[str, ...]
    best: tuple[str, ...]
    apart: tuple[str, ...]
    ending: tuple[str, ...]
    clocks: tuple[str, ...]
    stops: tuple[str, ...]
    begun: tuple[str, ...]
    valid: tuple[str, ...]
    of_lift: tuple[str, ...]
    adds: tuple[str, ...]
    of_score: tuple[str, ...]
    of_some: tuple[str, ...]
    nothing: tuple[str, ...]
    scored: tuple[str, ...]
    of_scored: tuple[str, ...]
    only: tuple[str, ...]
    entry: tuple[str, ...]
    per: tuple[str, ...]
    left_over: tuple[str, ...]
    of_adds: tuple[str, ...]
    late: tuple[str, ...]
    of_late: tuple[str, ...]
    once: tuple[str, ...]
    who: tuple[str, ...]
    shared: tuple[str, ...]
    out: tuple[str, ...]
    missed: tuple[str, ...]
    undone: tuple[str, ...]
    of_a_miss: tuple[str, ...]
    cap: tuple[str, ...]
    called: tuple[str, ...]
    before_cap: tuple[str, ...]
    of_rest: tuple[str, ...]
    setting_up: tuple[str, ...]
    rest: tuple[str, ...]
    tie: tuple[str, ...]
    level_in: tuple[str, ...]
    places: tuple[str, ...]
    of_two: tuple[str, ...]
    of_tie: tuple[str, ...]
    people: tuple[str, ...]
    lasting: tuple[str, ...]
    of_lasting: tuple[str, ...]
    going: tuple[str, ...]
    until: tuple[str, ...]
    over: tuple[str, ...]
    divides: tuple[str, ...]
    freely: tuple[str, ...]
    works: tuple[str, ...]
    waits: tuple[str, ...]
    of_turns: tuple[str, ...]
    begins_anew: tuple[str, ...]
    anew: tuple[str, ...]
    of_anew: tuple[str, ...]
    beside: tuple[str, ...]
    never: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """What is known where a sentence stands: what is done, lifts among it, and how long a stretch lasts."""

    done: frozenset[str]
    lifts: frozenset[str]
    seconds: frozenset[int]
    in_step: frozenset[str] = frozenset()
    ones: frozenset[str] = frozenset()
    tail: frozenset[str] = frozenset()  # what is done in the time that a list leaves
    last: str = ""  # what is done last
    total: int = 0
    counts: frozenset[str] = frozenset()  # repetitions that are asked for


@dataclass(frozen=True, slots=True)
class Senses:
    """The table, ready to be asked."""

    noun: Mapping[str, str]
    sets: Mapping[str, frozenset[str]]
    talk: frozenset[str] = frozenset()
    phrases: tuple[str, ...] = ()
    every: frozenset[str] = frozenset()

    def all_of(self, words: list[str], *kinds: str) -> bool:
        """Whether every word is of one of these kinds."""
        return all(any(word in self.sets[kind] for kind in kinds) for word in words)

    def all(self, words: list[str], *kinds: str) -> bool:
        """Whether every word is of one of these kinds, or carries nothing."""
        beside, never = self.sets["beside"], self.sets["never"]
        return all(any(word in self.sets[kind] for kind in kinds) or (word in beside and word not in never) for word in words)

    def only_talk(self, word: str) -> bool:
        """Whether a word is of talk alone, and carries nothing else."""
        return word in self.talk and not any(word in told for kind, told in self.sets.items() if kind != "beside")

    def joined(self, words: list[str], said: str) -> list[str]:
        """The words of what is said with phrases that say how scores part as one: `on its own`, `2 scores`."""
        flat = f" {' '.join(words)} "
        for phrase in self.phrases:
            flat = flat.replace(f" {phrase} ", f" {APART} ")
        written = f" {' '.join(EVERY_WORD.findall(said.casefold()))} "
        parted = any(f" {phrase} " in written for phrase in self.phrases) and APART not in flat
        return [*flat.split(), *([APART] if parted else [])]

    def any(self, words: list[str], *kinds: str) -> bool:
        """Whether a word of these kinds is among them."""
        return any(not self.sets[kind].isdisjoint(words) for kind in kinds)


def senses_of(table: SenseTable, talk: frozenset[str], bears: frozenset[str] = frozenset()) -> Senses:
    """A table of senses and the words of ordinary talk, which carry nothing beside them, but for those that bear on an event."""
    noun = {word: kind for kind, words in table.nouns.items() for word in words}
    sets = {name: frozenset(getattr(table, name)) for name in SenseTable.model_fields if name != "nouns"}
    phrases = tuple(sorted((one for one in table.apart if " " in one), key=len, reverse=True))
    alone = talk - bears - sets["beside"]
    sets = {**sets, "nouns": frozenset(noun), "beside": sets["beside"] | alone}
    return Senses(noun, sets, alone, phrases, frozenset(IN_SOME).union(*sets.values()))


def one_window(toks: Sequence[Tok]) -> bool:
    """`Of set 2`: a number behind one window's name says which it is, and not how many there are."""
    return any(one.kind in ONE_WINDOW and two.kind == "BARE" for one, two in pairwise(toks))
