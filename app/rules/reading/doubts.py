"""Sentences that were not understood, and what becomes of them: work stays in red, another may be doubted.

A text is read once; a sentence that tells no work and in which something stood in red, or which came to a movement that nobody
knows though it is a sentence, is put beside, and the text is read again without it. What is put beside is set aside where it
holds nothing that could change an event; else whether it does is asked, once for all such sentences.
"""

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span, Talk

MOST_READINGS = 4
# Words of the grammar that say how work runs; a sentence with one is no talk.
OF_WORK = {
    *("AMRAP", "FORTIME", "EMOM", "TABATA", "DEATHBY", "SCHEME", "SPAN", "LADDER", "BUYIN", "CASHOUT", "HEAVY", "RM", "NRM"),
    *("ROUNDS", "SETS", "WINDOWS", "TIMES", "DURS", "SPLIT", "RELAY", "CAPADDS", "MISSESOUT"),
    *("LIFTRULES", "EACHLIFT", "GROWS"),
}
AMOUNTS = {"COUNT", "REPS", "CALS", "LENG", "MAX", "DUR", "SIZE"}
THINGS = {"MOVE"}


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence as it was come to: its span, whether it tells work, whether somebody speaks in it."""

    span: Span
    works: bool
    speaks: bool


def works(toks: list[Tok]) -> bool:
    """Whether a sentence says what is done, or how it runs: with an amount of a movement, or a heading of work."""
    counted = any(tok.kind in AMOUNTS and after.kind in THINGS for tok, after in itertools.pairwise(toks))
    timed = any(tok.kind in ("DUR", "PRIMED") for tok in toks) and any(
        tok.kind in ("CAP", "REST", "OFF", "EVERY") for tok in toks
    )
    return counted or timed or any(tok.kind in OF_WORK for tok in toks)


def troubled(told: Iterable[Told], talk: Talk) -> Iterator[Span]:
    """The sentences that are to be put beside when the text is read again."""
    red = [one.span.start for one in talk.not_understood if one.span and not one.matters]
    red += [one.span.start for one in talk.kept if one.span and one.leave_out.startswith("red-")]
    asked = [*talk.questions.values(), *(question for question, _ in talk.answered.values())]
    unknown = [one.span.start for one in asked if one.span and one.id.startswith("movement-")]
    for one in told:
        if one.works:
            continue
        within = any(one.span.start <= at < one.span.end for at in red)
        if within or (one.speaks and any(one.span.start <= at < one.span.end for at in unknown)):
            yield one.span
