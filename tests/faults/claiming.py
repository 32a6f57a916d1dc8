"""What a row of the claims is: a sentence, what must be so for it to be true, and how late it may be."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from tests.faults.ground import Facts

Holds = Callable[[Facts, re.Match[str]], bool]


@dataclass(frozen=True, slots=True)
class Claim:
    """One sentence: its words, when it is true, and for how many seconds it may come late."""

    words: re.Pattern[str]
    holds: Holds
    late_s: float = 0.0


def says(words: str, holds: Holds, late_s: float = 0.0) -> Claim:
    """A row."""
    return Claim(re.compile(words), holds, late_s)


def number(said: re.Match[str], name: str = "n") -> int:
    """A number that a sentence names."""
    told = said[name]
    return 1 if told == "one" else int(told.replace(",", ""))


def besides(what: str) -> Holds:
    """True where the test has set this up, and nowhere else."""
    return lambda facts, _: what in facts.besides


def always(_facts: Facts, _said: re.Match[str]) -> bool:
    """For what claims nothing that could be false here."""
    return True
