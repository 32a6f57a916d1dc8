"""A bar that rises until a miss, told in one sentence: `Snatch ladder: start at 40 kg, +5 kg every minute, until you fail`.

Every word of it is one of the frame, and every number: the first load, the step, and every so often. How many bars there are is
asked where the windows are made.
"""

import re
from collections.abc import Sequence
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok

WORDS = re.compile(r"[^\W\d_]+")
FRAME = {"MOVE", "COUNT", "LADDER", "COLON", "COMMA", "STARTAT", "LOAD", "PLUS", "ADD", "AND", "THEN", "EMOM", "EVERY", "DUR"}
FRAME |= {"FAIL", "EACHMIN", "PROSE"}
OF_THE_BAR = {"the", "bar", "barbell", "goes", "weight", "load", "and", "it"}
MINUTE = "60"


def rising_bar(text: str, toks: Sequence[Tok]) -> list[Tok] | None:
    """The windows of a rising bar in the grammar's words; None for another sentence."""
    of = {kind: [tok for tok in toks if tok.kind == kind] for kind in FRAME}
    if any(tok.kind not in FRAME for tok in toks) or [len(of[kind]) for kind in ("MOVE", "LOAD", "FAIL")] != [1, 2, 1]:
        return None
    first, step = of["LOAD"]
    before = {tok: one.kind for one, tok in pairwise(toks)}
    one_unit = first.unit == step.unit and all(len(tok.values) == 1 and not tok.key for tok in of["LOAD"])
    if before.get(first) != "STARTAT" or before.get(step) not in ("PLUS", "ADD") or not one_unit:
        return None
    said = [word.casefold() for tok in of["PROSE"] for word in WORDS.findall(text[tok.start : tok.end])]
    if not set(said) <= OF_THE_BAR or any(tok.values != ("1",) for tok in of["COUNT"]) or len(of["COUNT"]) > 1:
        return None
    seconds = _every(toks, of)
    if seconds is None:
        return None
    start, unit = toks[0], step.unit.lower()
    grows = f"The load grows each window: {first.values[0]} {unit}, then by {step.values[0]} {unit}"
    made = [start.to(toks[-1], "DUR", values=(seconds,), key="", unit="", text="")]
    made += [start.to(toks[-1], kind, values=(), key="", unit="", text="") for kind in ("WINDOW", "COLON", "HEAVY")]
    last = start.to(toks[-1], "GROWS", values=(), key="", unit="", text=grows)
    return [*made, of["MOVE"][0], start.to(toks[-1], "STOP", values=(), key="", unit=""), last]


def _every(toks: Sequence[Tok], of: dict[str, list[Tok]]) -> str | None:
    """Seconds from one bar to the next, where they are told once."""
    if len(of["EMOM"]) == 1 and not of["EVERY"] and not of["DUR"] and not of["EMOM"][0].values:
        return MINUTE
    timed = [two for one, two in pairwise(toks) if one.kind == "EVERY" and two.kind == "DUR"]
    alone = len(timed) == len(of["EVERY"]) == len(of["DUR"]) == 1 and not of["EMOM"]
    return timed[0].values[0] if alone and len(timed[0].values) == 1 else None
