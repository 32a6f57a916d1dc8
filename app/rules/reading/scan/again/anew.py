"""That each window begins with the first thing in it, said once more."""

import re
from collections.abc import Sequence

from app.rules.reading.drafts import Work
from app.rules.reading.scan.frames.as_written import as_written
from app.rules.reading.scan.pieces import Tok, without_things, words_in
from app.rules.reading.scan.sense_words import Senses

FROM_THE_TOP, AMRAPS = frozenset(("top", "beginning")), frozenset(("amrap", "amraps"))
PARTING = ("AND", "COMMA")
MOST_BEFORE = 40  # characters in which `and so the next` stands before the first that carries something
SEVERAL = ("TIMES", "AMRAP", "WINDOWS", "SETS", "ROUNDS", "EVERY", "EMOM")
# `The next 14 cal start straight away.`
NEXT = re.compile(
    r"(?:and |so )*the next <(?:CALS|COUNT|REPS|LENG|BARE)>(?: <MOVE>)? (?:starts?|begins?|follows?|comes?)"
    r" (?:straight away|right away|straight after|right after|straight on|immediately|at once|directly)"
)


def says_anew(text: str, toks: list[Tok], senses: Senses, works: Sequence[Work]) -> bool:
    """Whether a sentence says only that each window begins with the first of these."""
    if not toks:
        return False
    said, first = text[toks[0].start : toks[-1].end], works[0] if works else None
    begins = max(0, toks[0].start - MOST_BEFORE)
    amount = first.amount if first is not None and "next" in text[begins : toks[-1].end].casefold() else None
    if first is not None and amount and NEXT.fullmatch(as_written(text, toks)):
        numbers, moves = {tok.values for tok in toks if tok.values}, {tok.key for tok in toks if tok.key}
        return numbers == {amount.values} and moves <= {first.key}
    return again_from_the_top(said, toks, senses, first.key if first else "")


def anew_behind(text: str, sentence: Sequence[Tok], senses: Senses, works: Sequence[Work]) -> int | None:
    """Where in a sentence such an end of it begins; None where it has none. `works` are those told before it."""
    for at, tok in enumerate(sentence):
        if at and tok.kind in PARTING:
            tail = [one for one in sentence[at + 1 :] if one.kind != "STOP"]
            several = bool(works) or any(one.kind in SEVERAL for one in sentence[:at])
            if several and says_anew(text, tail, senses, works):
                return at
    return None


def again_from_the_top(said: str, toks: list[Tok], senses: Senses, first: str) -> bool:
    """`Every interval begins again at the row`, which is the first thing in it: so it is, and nothing more is said."""
    words = [word for word in words_in(without_things(said, toks)) if word not in AMRAPS]
    if (
        toks[0].kind == "AGAIN" and f"_{first}".endswith(f"_{toks[0].key}") and len(toks) > 1
    ):  # `start again with the thrusters in each window`
        return all(tok.kind in ("EACHMIN", "EVERY", "WINDOW", "INTERVAL", "ROUND", "STOP") for tok in toks[1:])
    again = next((tok for tok in toks if tok.kind == "AGAIN" and tok.key), None)
    if again is not None and f"_{first}".endswith(f"_{again.key}") and not any(tok.values for tok in toks):
        return senses.all(words, "anew", "of_anew", "windows") and senses.any(words, "anew", "windows")
    moves = {first if first.endswith(f"_{tok.key}") else tok.key for tok in toks if tok.kind in ("MOVE", "UNKNOWN") and tok.key}
    told = senses.any(words, "begins_anew") and senses.any(words, "anew") and bool(words)
    plain = not any(tok.values or tok.kind in ("ASKS", "SIGN", "NOTE") for tok in toks)
    top = not moves and not FROM_THE_TOP.isdisjoint(words)  # `always starting from the top`
    return told and plain and (moves == {first} or top) and senses.all(words, "begins_anew", "anew", "of_anew", "windows")
