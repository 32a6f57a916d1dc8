"""Sentences about the rounds, sets and minutes that were told before them: loads by the round, how a crossing ladder goes on,
what a round goes without, and what is done told once more as an example."""

import re
from dataclasses import replace

from app.rules.reading.drafting.bars import begin_bars, place_bars
from app.rules.reading.drafting.lifts import compare_parts
from app.rules.reading.drafting.round_loads import place_round_loads
from app.rules.reading.drafts import Draft, Stretch
from app.rules.reading.scan.frames.attempts_said import nth_try
from app.rules.reading.scan.frames.bars_said import bars, misses_a_bar
from app.rules.reading.scan.frames.crossing_ladders import fill_gaps, goes_further
from app.rules.reading.scan.frames.in_each_minute import rest_of_each, together
from app.rules.reading.scan.frames.loads_by_round import loads_by_round
from app.rules.reading.scan.frames.of_what_is_done import of_what_is_done
from app.rules.reading.scan.frames.parts import begins_at, ends_at
from app.rules.reading.scan.frames.rising_rounds import end_rises, first_round, rises
from app.rules.reading.scan.frames.rounds_without import LAST, Without, own_buy_in, without
from app.rules.reading.scan.frames.told_once_more import last_rung, told_once_more
from app.rules.reading.scan.frames.turned import turned
from app.rules.reading.scan.pieces import OWN_SCHEME, Tok
from app.rules.reading.talk import NOT_KNOWN, Span, Talk
from app.rules.reading.versions_told import SaysVersions


class SaysOfRounds(SaysVersions):
    """Takes such sentences before they could be talk, or work of their own."""

    told_again = False  # whether all that is done was told twice

    def _of_the_rounds(self, sentence: list[Tok]) -> bool:
        """Whether a sentence is one of these, and is said."""
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        here = self.drafter.draft.stretches[-1] if self.drafter.draft.stretches else None
        if plain and turned(self.talk.text, plain):
            self.talk.unknown(Span(plain[0].start, plain[-1].end), NOT_KNOWN)
            return True
        if plain and self._of_bars(plain):
            return True
        if not plain or here is None or not (here.works or here.round_loads):
            return False
        text, numbers = self.talk.text, self.scanner.words.numbers
        span = Span(plain[0].start, plain[-1].end)
        if (tried := nth_try(text, plain, numbers)) is not None and self.drafter.attempt(*tried, span):
            self.taken += plain
            return True
        if self.told_again and SAME_AGAIN.fullmatch(text[begins_at(text, plain) : ends_at(text, plain)].strip(" \t(")):
            self._keep(plain)
            return True
        again = told_once_more(text, plain, here, numbers)
        self.told_again = self.told_again or again is True
        if again is None:
            self.talk.unknown(span, NOT_KNOWN)
            return True
        if not again and of_what_is_done(text, plain, {work.key for work in here.works}):
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
        elif not (goes_further(text, plain, here, numbers) or rises(text, plain, here, numbers)):
            return False
        self.drafter.known_now = self.drafter.last = None
        self.taken += plain
        return True

    def _of_bars(self, plain: list[Tok]) -> bool:
        """Whether a sentence tells of bars one after another, or that who misses one is out."""
        draft, text, span = self.drafter.draft, self.talk.text, Span(plain[0].start, plain[-1].end)
        told = bars(text, plain, self.scanner.words.numbers, draft.bars)
        if told is not None and draft.bars is None:
            told = begin_bars(draft, told)
        if told is not None:
            draft.bars = replace(told, spans=(*told.spans, span))
            draft.stretches[draft.bars_at].seconds = told.seconds
        elif draft.bars is not None and misses_a_bar(text, plain, draft.bars):
            draft.stretches[draft.bars_at].puts_out = True
            draft.takes.append(("T_MISS", span))
        else:
            return False
        self.drafter.known_now = self.drafter.last = None
        self.taken += plain
        return True

    def _of_each_round(self, sentence: list[Tok]) -> list[Tok]:
        """A sentence without what it says of every round or minute."""
        here = self.drafter.draft.stretches[-1] if self.drafter.draft.stretches else None
        plain = [tok for tok in sentence if tok.kind != "STOP"]
        if not plain:
            return sentence
        if first := first_round(self.talk.text, plain, here):
            self.drafter.here.group.first_span = Span(plain[0].start, plain[first - 1].end)
            self.taken += plain[:first]
            return [tok for tok in sentence if tok not in plain[:first]]
        if ordered := by_its_scheme(plain):
            return [*ordered, *(tok for tok in sentence if tok.kind == "STOP")]
        if (parts := parts_of_a_complex(plain)) is not None:
            self.drafter.here.parts_told = parts
            return [tok for tok in sentence if not parts[1].start <= tok.start < parts[1].end]
        if here is None:
            return sentence
        plain = before_the_next(self.talk.text, plain, here)
        if said := together(self.talk.text, plain, here):
            here.together = True
            self.taken += plain[:said]
            rest = plain[said:]
            return rest[1:] if rest and rest[0].kind in ("DASH", "COMMA") else rest
        group = here.group
        rounds = group.rounds if not group.works and here.kind in ("", "time") else 0
        left = own_buy_in(self.talk.text, plain, rounds, self.scanner.words.numbers)
        if left is None:
            return [tok for tok in sentence if tok in plain or tok.kind == "STOP"]
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


OF_A_THING = {"LOAD", "AT", "SIZE", "TARGET", "NOTE", "COLON", "COMMA", "UNBROKEN"}
SAME_AGAIN = re.compile(
    r"(?:it['’]?s|it is|that['’]?s|that is|this is) (?:just )?the same (?:workout|event|thing)(?: again)?"
    r"(?:,? (?:so )?you (?:don['’]?t|do not) do it twice)?",
    re.IGNORECASE,
)
NEXT = re.compile(
    r",?\s*before the next(?: (?:attempt|try|lift|one|round|window|bar|\d+:\d\d|\d+ s(?:ec(?:ond)?s?)?))? (?:starts|begins)\s*$"
)


def by_its_scheme(toks: list[Tok]) -> list[Tok] | None:
    """`Pull-ups 21-15-9`, a sentence of its own, as the grammar has it: the scheme, and the thing; None for another sentence."""
    scheme = next((tok for tok in toks if tok.kind == "SCHEME"), None)
    rest = [tok for tok in toks if tok is not scheme and tok.kind != "REP"]
    if scheme is None or scheme.unit or toks[0].kind != "MOVE" or not {tok.kind for tok in rest[1:]} <= OF_A_THING:
        return None
    while rest[-1].kind in ("COLON", "COMMA"):
        rest.pop()
    return [replace(scheme, unit=OWN_SCHEME), *rest]


def parts_of_a_complex(toks: list[Tok]) -> tuple[tuple[int, ...], Span] | None:
    """`… the heaviest complex: 1 + 1 + 1`: how many of each of its lifts, and where that is said; None where it is not."""
    at = next((place for place, tok in enumerate(toks) if tok.kind == "COMPLEX"), len(toks))
    told = [tok for tok in toks[at + 1 :] if tok.kind != "COLON"]
    fits = len(told) > 2 and len(told) % 2 and all(tok.kind == ("PLUS" if nth % 2 else "BARE") for nth, tok in enumerate(told))
    if not fits or not all(tok.values[0].isdigit() for tok in told[::2]):
        return None
    return tuple(int(tok.values[0]) for tok in told[::2]), Span(told[0].start, told[-1].end)


def before_the_next(text: str, toks: list[Tok], here: Stretch) -> list[Tok]:
    """`1:30 per attempt, then a minute to change plates before the next 1:30 starts`: without what only says that it goes on."""
    found = NEXT.search(text[toks[0].start : ends_at(text, toks)].casefold())
    if found is None:
        return toks
    at = toks[0].start + found.start()
    kept, tail = [tok for tok in toks if tok.start < at], [tok for tok in toks if tok.start >= at]
    times = [tok.values for tok in tail if tok.values]
    told = {tok.values for tok in kept if tok.kind == "DUR"} | {(str(here.seconds),)}
    return kept if kept and tail and len(times) <= 1 and set(times) <= told else toks


def place_rounds(draft: Draft, talk: Talk) -> None:
    """What was told of rounds and bars in several sentences, once all is told."""
    place_bars(draft, talk)
    fill_gaps(draft, talk)
    end_rises(draft, talk)
    compare_parts(draft, talk)
    place_round_loads(draft, talk)
