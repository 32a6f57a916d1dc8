"""Words that mean something in one place alone, when the numbers of a line are made: away from it they carry nothing."""

from dataclasses import replace

from app.rules.reading.scan.pieces import Tok

ENDS_A_THING = ("", "COMMA", "STOP", "AND", "THEN")
AMOUNTS = {"COUNT", "LENG", "CALS", "REPS"}
EACH_OF_THEM = {
    *("each person", "per person", "each pupil", "per pupil", "per athlete", "each member", "per member", "each of you"),
}
OFTEN = {"ROUNDS", "SETS", "TIMES", "WINDOWS"}


def _done_again(before: list[Tok]) -> bool:
    """Whether a thing with its amount stands at the end of it: `run 800 m`, `10 burpees`."""
    kinds = {tok.kind for tok in before[-2:]}
    return "MOVE" in kinds and bool(kinds & AMOUNTS)


def left_over(toks: list[Tok]) -> list[Tok]:
    """Words that mean something in one place alone, away from it: `on` without a time beside it, `in` without a number."""
    kept: list[Tok] = []
    for at, tok in enumerate(toks):
        beside = {toks[place].kind for place in (at - 1, at + 1) if 0 <= place < len(toks)}
        on_a_thing = at + 1 < len(toks) and toks[at + 1].kind == "MOVE" and tok.text.casefold() == "on"
        timed = bool(beside & {"DUR", "PRIMED"}) and not on_a_thing
        if tok.kind == "COMMA" and [one.kind for one in toks[at + 1 : at + 3]] in (["UNBROKEN"], ["UNBROKEN", "STOP"]) and kept:
            continue  # `1 clean + 1 jerk, unbroken`
        if tok.kind == "CASHOUT" and kept and kept[-1].kind == "DUR" and [one.kind for one in toks[at + 1 :]] in ([], ["STOP"]):
            tok = replace(tok, kind="CAP")  # `they have ten minutes to finish`
        if tok.kind == "PRIME" and tok.glued and kept and kept[-1].kind in ("PROSE", "UNKNOWN"):
            continue  # `the kids' event`
        if tok.text.casefold() == "each" and kept and kept[-1].kind == "ATTEMPTS":
            continue
        if tok.kind == "ASKS" and kept and kept[-1].kind == "PROSE":  # `that's it, okay?`
            tok = replace(tok, kind="STOP")
        if tok.kind in ("WORD", "PROSE") and tok.text.casefold() == "each" and at + 1 < len(toks) and toks[at + 1].kind == "DUR":
            continue  # `4 rounds, each 3 minutes on`
        if kept and _says_only_each(kept[-1].kind, tok, toks[at + 1 : at + 2]):
            continue  # `3 sets of 2 min each`
        if tok.kind in ("WORD", "PROSE", "UNKNOWN") and tok.text.casefold() in EACH_OF_THEM and kept and kept[-1].kind == "DUR":
            continue  # `one minute each person`
        follows = toks[at + 1].kind if at + 1 < len(toks) else ""
        if tok.text.casefold() == "same" and [one.kind for one in toks[at + 1 : at + 3]] == ["DUR", "AMRAP"]:
            tok = replace(tok, kind="SAMEORDER")  # `then B, same 5 min AMRAP`
        if (
            tok.text.casefold() == "each"
            and follows == "COLON"
            and {one.kind for one in kept} & {"ROUNDS", "SETS", "TIMES", "WINDOWS"}
        ):
            continue  # `4 rounds, each:`
        if tok.text.casefold() == "again" and follows in ENDS_A_THING and _done_again(kept):
            continue  # `then run 800 m again`
        if tok.kind in ("TO", "IN", "GLUE", "QUOTE") or (tok.kind == "ON" and not timed):
            continue
        if tok.kind == "BARE" and not tok.values:  # an empty bar: told by its load, else a note
            if "LOAD" in beside or "LPAR" in beside:
                continue
            tok = replace(tok, kind="NOTE")
        easy = tok.kind in ("WORD", "PROSE") and tok.text.casefold() == "easy" and at and toks[at - 1].kind == "DUR"
        if easy and toks[at + 1 : at + 2] and toks[at + 1].kind == "BETWEEN":  # `one minute easy in between`
            tok = replace(tok, kind="OFF")
        if tok.kind == "SEC" and tok.text.casefold() == "second":  # `the second event`
            tok = replace(tok, kind="PROSE")
        kind = {"WORD": "UNKNOWN", "DASH": "COMMA"}.get(tok.kind)
        kept.append(replace(tok, kind=kind) if kind else tok)
    return kept


def _says_only_each(before: str, tok: Tok, after: list[Tok]) -> bool:
    """`3 sets of 2 min each`: whether `each` says no more than what stands beside it."""
    lone = tok.kind in ("WORD", "PROSE", "UNKNOWN") and tok.text.casefold() == "each" and tok.end - tok.start == len(tok.text)
    ends = not after or after[0].kind in ("COLON", "COMMA", "STOP", "RPAR", "AND")
    return lone and before == "DUR" and ends


def all_rounds(toks: list[Tok]) -> list[Tok]:
    """`All four rounds as fast as you can`, `all four laps as quickly as you can`: rounds, and no sum."""
    found: list[Tok] = []
    for tok in toks:
        summed = found[-2:] if [one.kind for one in found[-1:]] == ["ROUND"] else found[-1:]
        fast = tok.kind == "FORTIME" and tok.text.casefold().startswith("as ")
        if fast and summed and summed[0].kind == "T_SUM" and len(summed[0].values) == 1:
            found[len(found) - len(summed) :] = [summed[0].to(summed[-1], "ROUNDS", values=summed[0].values)]
        found.append(tok)
    return found
