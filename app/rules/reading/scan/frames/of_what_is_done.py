"""Sentences that name again what is done and tell no more work: what a repetition is worth, what is done in which lane, and how
much all of it is. Their numbers are none of the list: who read them as one more line would add to it in silence."""

import re
from collections.abc import Collection, Sequence

from app.rules.reading.scan.frames.parts import begins_at, ends_at
from app.rules.reading.scan.frames.told_once_more import SAYS_SO
from app.rules.reading.scan.pieces import Tok, in_small

NUMBER = r"(?:one|two|three|four|five|half|double|\d+)"
WORTH = re.compile(rf"\bcounts? (?:as|for) .*\b(?:as|for) {NUMBER}\b")  # `a burpee counts as one rep, a thruster as two`
IN_A_LANE = re.compile(r"(?:the |athletes (?:in|on) |in |on )*(?:lanes?|heats?|waves?|platforms?|flights?) #?\d")


def of_what_is_done(text: str, toks: Sequence[Tok], done: Collection[str]) -> bool:
    """Whether a sentence is one of these: all that it names is done already."""
    named = {tok.key for tok in toks if tok.key}
    if not named or not named <= set(done):
        return False
    said = in_small(text[begins_at(text, toks) : ends_at(text, toks)]).strip(" \t-–—(")
    numbered, headed = any(tok.values for tok in toks), any(tok.kind == "COLON" for tok in toks)
    totals = said.startswith(SAYS_SO) and not headed  # `in other words, for those who like it long: …` is taken apart there
    return numbered and bool(WORTH.search(said) or IN_A_LANE.match(said) or totals)
