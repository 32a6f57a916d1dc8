"""The teller: under each fault it collects what was said, and holds every sentence against what was true (claims, ground)."""

import re
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from tests.faults.claiming import Claim
from tests.faults.claims import CLAIMS, CLOCK
from tests.faults.ground import Ground, Held, Outcome
from tests.faults.hearing import Said

LOOK_S = 0.25
Ear = Callable[[], Iterable[Said]]


class Untrue(AssertionError):
    """Raised for a sentence that was not true, or that no row of the claims knows; its text says which."""


@dataclass
class Teller:
    """What was said under one fault. heard: how often each sentence was, without its numbers."""

    fault: str
    ground: Ground
    heard: Counter[str] = field(default_factory=Counter)
    outcome: Outcome | None = None

    def conclude(self) -> None:
        """The fault is over: what became of the marks is looked at now, and not when the next fault has come."""
        self.outcome = self.ground.outcome()

    def listen(self, *ears: Ear) -> None:
        """Reads what is said now and checks it; what may come late is read again until it is true, gone, or too late.

        Raises Untrue.
        """
        begun = time.monotonic()
        first = True
        while True:
            said = [one for ear in ears for one in ear()]
            if first:
                self.heard.update(f"{one.where}: {re.sub(r'[0-9]+', '…', one.words)}" for one in said)
            held = self.ground.holds()
            wrong = [found for one in said for found in self.untrue(one, held)]
            late = [one for one, by_s in wrong if time.monotonic() - begun > by_s]
            if late:
                raise Untrue("\n".join([f"Under “{self.fault}” this was not true:", *late]))
            if not wrong:
                return
            first = False
            time.sleep(LOOK_S)

    def untrue(self, said: Said, held: Held) -> Iterator[tuple[str, float]]:
        """The sentences of a text that do not hold, each with what is so instead, and how late it may be. Raises Untrue."""
        facts = self.ground.facts(held, said.lane, said.wall_ms, said.shown)
        if left := re.fullmatch(CLOCK, said.words):
            self.ground.lane(said.lane).error_ms = facts.off_by_ms(int(left["left"]))
        for claim, match in sentences(said.where, said.words):
            if not claim.holds(facts, match):
                yield f"{said.where}, lane {said.lane}: “{match[0]}” ({facts})", claim.late_s

    @property
    def row(self) -> tuple[str, int, int, int, int, dict[str, int]]:
        """A line of the table: the fault; marks tried, lost, doubled, misplaced; what was said how often."""
        found = self.outcome or self.ground.outcome()
        return self.fault, found.tried, found.lost, found.doubled, found.misplaced, dict(self.heard)


def sentences(where: str, words: str) -> Iterator[tuple[Claim, re.Match[str]]]:
    """The claims that a text makes, one after another. Raises Untrue for words that no row knows."""
    at = 0
    while at < len(words):
        found = [(claim, match) for claim in CLAIMS[where] if (match := claim.words.match(words, at))]
        if not found:
            raise Untrue(f"No row of the claims knows what {where} says here: “{words[at:]}”")
        claim, match = max(found, key=lambda one: one[1].end())
        yield claim, match
        at = match.end() + len(words[match.end() :]) - len(words[match.end() :].lstrip(" ·"))
