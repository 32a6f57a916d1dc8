"""Ties told by their sense: who is ahead where two are level, in whatever order the words stand."""

from dataclasses import replace

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.sense_words import Senses

LIGHTER = {"lighter", "lightest", "bodyweight"}
NUMBERS_OF_LEVEL = {("1",), ("2",)}


def tie_by_sense(words: list[str], toks: list[Tok], senses: Senses) -> list[Tok] | None:
    """`In case of a tie both get the same place`, `if two are level the lighter lifter wins`; None for what says more."""
    said = senses.any(words, "tie") or ("same" in words and senses.any(words, "level_in"))
    numbers = {tok.values for tok in toks if tok.values}
    points = [tok for tok in toks if tok.kind in ("TIE_AT", "TIE_COUNT")]  # at a point of the work, or of the clock
    if points:
        others = {tok.values for tok in toks if tok.values and tok not in points} <= NUMBERS_OF_LEVEL
        plain = len(points) == 1 and others and not any(tok.key for tok in toks if tok not in points)
        known = senses.all([word for word in words if word != "time"], "tie", "of_two", "of_tie", "level_in", "people")
        return [*_told(toks), points[0]] if said and plain and known else None
    if not said or not numbers <= NUMBERS_OF_LEVEL or any(tok.key for tok in toks):
        return None
    shared = bool({"same", "share", "shared", "equal", "shares", "joint"} & set(words)) and senses.any(words, "places")
    if shared and senses.all(words, "tie", "level_in", "places", "of_tie"):
        return _told(toks, "TIE_SHARE")
    if LIGHTER & set(words) and senses.all(
        [word for word in words if word not in LIGHTER], "tie", "level_in", "of_tie", "people"
    ):
        return _told(toks, "TIE_BODY")
    level = "same" in words and senses.any(words, "level_in") and senses.any(words, "of_two")
    return _told(toks) if level else None  # a tie, and what is done then is not known: it is asked


def _told(toks: list[Tok], *kinds: str) -> list[Tok]:
    return [replace(toks[0].to(toks[-1], one), values=(), unit="", key="") for one in ("TIE", *kinds)]
