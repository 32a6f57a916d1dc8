"""Sentences that were not understood, and what becomes of them: work stays in red, another may be doubted.

A text is read once; a sentence that tells no work and in which something stood in red, or which came to a movement that nobody
knows though it is a sentence, is put beside, and the text is read again without it. What is put beside is set aside where it
holds nothing that could change an event; else whether it does is asked, once for all such sentences.
"""

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
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
MEASURED = {"CAL", "M", "T_CAL", "T_DIST", "T_LOAD"}


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence as it was come to: its span, its words, whether somebody speaks in it, and whether it goes together: something
    is denied in it, or a condition said; `of_the_day` says that it is about heats,
    lanes, the house or the crew."""

    span: Span
    toks: tuple[Tok, ...]
    speaks: bool
    together: bool
    of_the_day: bool = False


def works(toks: Sequence[Tok]) -> bool:
    """Whether a sentence says what is done, or how it runs: with an amount of a movement, or a heading of work."""
    counted = any(tok.kind in AMOUNTS and after.kind in THINGS for tok, after in itertools.pairwise(toks))
    counted = counted or any(tok.kind == "MAX" and after.kind in MEASURED for tok, after in itertools.pairwise(toks))
    timed = any(tok.kind in ("DUR", "PRIMED") for tok in toks) and any(
        tok.kind in ("CAP", "REST", "OFF", "EVERY") for tok in toks
    )
    labelled = toks[:1] and toks[0].kind == "MINUTE" and any(tok.kind in THINGS for tok in toks)  # `in block two the front squat`
    return bool(labelled) or counted or timed or any(tok.kind in OF_WORK for tok in toks)


def troubled(told: Iterable[Told], talk: Talk, agrees: Callable[[Span], bool]) -> Iterator[Span]:
    """The sentences that are to be put beside when the text is read again, and the words within those that tell work; one of
    those that `agrees` with what is said elsewhere says it once more."""
    red = [one.span for one in talk.not_understood if one.span and not one.matters]
    red += [one.span for one in talk.kept if one.span and one.leave_out.startswith("red-")]
    asked = [*talk.questions.values(), *(question for question, _ in talk.answered.values())]
    unknown = [one.span for one in asked if one.span and one.id.startswith("movement-")]
    for one in told:
        within = [span for span in red if one.span.start <= span.start < one.span.end]
        things = [span for span in unknown if one.span.start <= span.start < one.span.end]
        if not works(one.toks) or one.of_the_day:
            if within or ((one.speaks or one.of_the_day) and things):
                yield from _idle(one, within)
        elif within and agrees(one.span):
            yield one.span
        else:
            yield from _odd_words(one, [span for span in within if span.end <= one.span.end], things)


def _idle(told: Told, red: Sequence[Span]) -> Iterator[Span]:
    """A sentence that tells no work; of one that was read clause by clause, the clauses that stood in red."""
    clauses = [Span(clause[0].start, clause[-1].end) for clause in _clauses(told.toks)]
    odd = [clause for clause in clauses if any(clause.start <= span.start and span.end <= clause.end for span in red)]
    if 0 < len(odd) < len(clauses) and len(red) <= len(odd) and not told.together:
        yield from odd
    else:
        yield told.span


def _odd_words(told: Told, red: Sequence[Span], unknown: Sequence[Span]) -> Iterator[Span]:
    """Of a sentence of work, the clauses that tell none where something in them stood in red, or nobody knows a thing in them
    (what is counted is asked about as a movement); in those that do, the words in red without a number and a movement."""
    clauses = _clauses(told.toks)
    for clause in clauses:
        odd = [span for span in red if clause[0].start <= span.start < clause[-1].end]
        things = [span for span in unknown if clause[0].start <= span.start < clause[-1].end]
        if not works(clause) and (odd or (things and not _counts(clause))) and len(clauses) > 1:
            yield Span(clause[0].start, clause[-1].end)
            continue
        for span in odd:
            words = [tok for tok in clause if tok.start < span.end and span.start < tok.end]
            bare = not any(tok.values or tok.key or tok.kind in OF_WORK for tok in words)
            if bare and 0 < len(words) < len(clause) and span.end <= clause[-1].end:
                yield Span(words[0].start, words[-1].end)


def _counts(clause: Sequence[Tok]) -> bool:
    """`10 froggers`: whether it is an amount of a thing, as every other line of work."""
    return clause[0].kind in AMOUNTS and len(clause) > 1 and all(tok.kind == "UNKNOWN" for tok in clause[1:])


def _clauses(toks: Iterable[Tok]) -> list[list[Tok]]:
    clauses: list[list[Tok]] = [[]]
    for tok in toks:
        if tok.kind == "COMMA":
            clauses.append([])
        else:
            clauses[-1].append(tok)
    return [clause for clause in clauses if clause]
