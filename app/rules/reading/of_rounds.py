"""Sentences about the rounds, sets and minutes that were told before them: loads by the round, how a crossing ladder goes on,
what a round goes without, and what is done told once more as an example."""

from dataclasses import replace

from app.rules.reading.drafts import Stretch
from app.rules.reading.scan.frames.crossing_ladders import goes_further
from app.rules.reading.scan.frames.in_each_minute import rest_of_each, together
from app.rules.reading.scan.frames.loads_by_round import loads_by_round
from app.rules.reading.scan.frames.rounds_without import LAST, Without, own_buy_in, without
from app.rules.reading.scan.frames.told_once_more import last_rung, told_once_more
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import NOT_KNOWN, Span
from app.rules.reading.versions_told import SaysVersions


class SaysOfRounds(SaysVersions):
    """Takes such sentences before they could be talk, or work of their own."""

    def _of_the_rounds(self, sentence: list[Tok]) -> bool:
        """Whether a sentence is one of these, and is said."""
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        here = self.drafter.draft.stretches[-1] if self.drafter.draft.stretches else None
        if not plain or here is None or not (here.works or here.round_loads):
            return False
        text, numbers = self.talk.text, self.scanner.words.numbers
        span = Span(plain[0].start, plain[-1].end)
        again = told_once_more(text, plain, here, numbers)
        if again is None:
            self.talk.unknown(span, NOT_KNOWN)
            return True
        if again or last_rung(text, plain, here, numbers) or rest_of_each(text, plain, here):
            self._keep(plain)
            return True
        if (loads := loads_by_round(text, plain, numbers)) is not None:
            here.round_loads.append((loads, span))
        elif (less := without(text, plain, numbers)) is not None:
            if not self._goes_without(here, less):
                return False
        elif not goes_further(text, plain, here, numbers):
            return False
        self.drafter.known_now = self.drafter.last = None
        self.taken += plain
        return True

    def _of_each_round(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence without what it says of every round or minute."""
        here = self.drafter.draft.stretches[-1] if self.drafter.draft.stretches else None
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        if here is None or not plain:
            return sentence
        if said := together(self.talk.text, plain, here):
            here.together = True
            self.taken += plain[:said]
            rest = plain[said:]
            return rest[1:] if rest and rest[0].kind in ("DASH", "COMMA") else rest
        group = here.group
        rounds = group.rounds if not group.works and here.kind in ("", "time") else 0
        left = own_buy_in(self.talk.text, plain, rounds, self.scanner.words.numbers)
        if left is None:
            return sentence
        group.begins_each = True
        return left

    def _goes_without(self, here: Stretch, less: Without) -> bool:
        """Writes a round out that goes without something; not where that is not clear."""
        told = [group for group in here.groups if group.works]
        group = told[0] if len(told) == 1 else None
        if group is None or group.rounds < 2 or group.scheme or group.role or group.times or here.kind not in ("", "time"):
            return False
        nth = group.rounds if less.round == LAST else less.round
        kept = [work for work in group.works if work.key not in less.keys]
        gone = {work.key for work in group.works} & set(less.keys)
        if not kept or gone != set(less.keys) or not 0 < nth <= group.rounds:
            return False
        if less.ends is not None:
            count, key, number = less.ends
            last = kept[-1] if nth == group.rounds else group.works[-1]
            counted = last.amount is not None and last.amount.kind == "reps" and last.amount.values == (str(count),)
            if not counted or last.key != key or number not in (0, group.rounds):
                return False
        parts = [(nth - 1, group.works), (1, kept), (group.rounds - nth, group.works)]
        made = [
            replace(group, rounds=often, rounds_span=None, works=[replace(work) for work in works], closed=True)
            for often, works in parts
            if often
        ]
        at = here.groups.index(group)
        here.groups[at : at + 1] = made
        return True
