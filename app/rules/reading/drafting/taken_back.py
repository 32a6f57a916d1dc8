"""What somebody takes back in the same breath: `4 rope climbs... no wait, 2 rope climbs`."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from app.rules.reading.scan.pieces import Tok, words_in

AMOUNTS = ("COUNT", "REPS", "CALS", "LENG", "SIZE")
THINGS = ("MOVE", "UNKNOWN")
ZERO = "zero"  # of a number that is told digit by digit
BETWEEN = ("COMMA", "ELLIPSIS", "PROSE", "UNKNOWN", "LPAR", "RPAR", "COLON", "STOP", "ASKS", "NOTE")


@dataclass(frozen=True, slots=True)
class TakenBack:
    """Places in a sentence: `first` to `cue` was said first, `later` to `end` instead of it."""

    first: int
    cue: int
    later: int
    end: int


def taken_back(text: str, toks: Sequence[Tok], cues: Collection[str]) -> TakenBack | None:
    """Where an amount of a thing is followed by another one, with nothing between but that the first is taken back."""
    for later in range(3, len(toks) - 1):
        if not _amount_of_a_thing(toks, later):
            continue
        before = later - 1
        while before > 0 and (_between(toks[before]) or _said_twice(toks, before, later)):
            before -= 1
        begins = toks[before].within[1] if toks[before].kind == "UNKNOWN" and toks[before].key else toks[before].end
        words = words_in(text[begins : toks[later].start])
        numbers = {ZERO, *(tok.text.casefold() for tok in toks[before + 1 : later] if tok.values)}
        while words and words[-1] in numbers:
            words.pop()
        said = " ".join(words)
        if said not in cues:
            continue
        first = next((at for at in range(before - 1, -1, -1) if _amount_of_a_thing(toks, at)), None)
        if first is not None and before - first <= 2 and "\n" not in text[toks[first].start : toks[later].start]:
            return TakenBack(first, before + 1, later, later + 2)
    return None


def _between(tok: Tok) -> bool:
    return tok.kind in BETWEEN and not tok.key


def _said_twice(toks: Sequence[Tok], at: int, later: int) -> bool:
    """`Fifty, five zero, fifty double unders`: the number that is meant, or its first digit."""
    numbers = toks[at].values if toks[at].kind in ("COUNT", "BARE") else ()
    return len(numbers) == 1 and bool(toks[later].values) and toks[later].values[0].startswith(numbers[0])


def _amount_of_a_thing(toks: Sequence[Tok], at: int) -> bool:
    return toks[at].kind in AMOUNTS and at + 1 < len(toks) and toks[at + 1].kind in THINGS
