"""Brackets in a line of a workout: `(43 kg)`, `(cap 12)`, `(unbroken)`."""

from dataclasses import replace

from app.rules.reading.scan.pieces import Tok

BELONGS = {
    "LOAD",
    "PAIRNUM",
    "SIZE",
    "TARGET",
    "EACHSIDE",
    "AT",
    "VERSIONS",
    "UNBROKEN",
    "SYNC",
    "NOTE",
    "COMMA",
    "CAL",
    "SAMELOAD",
}
MAKE_AN_ENTRY = ("TEAMS", "PAIR", "TRIO")
COUNTED = [[amount, "MOVE"] for amount in ("COUNT", "MAX", "REPS")]
LEAST_OF_AN_EXAMPLE = 4  # words: two amounts, each of a thing
OF_A_NOTE = {"UNKNOWN", "MOVE", "TARGET", "SIZE", "UNBROKEN", "COMMA"}


def without_brackets(toks: list[Tok]) -> list[Tok]:
    """Brackets around what belongs to a thing are taken off, others become commas; one of other words is a note."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        if toks[at].kind != "LPAR":
            found.append(toks[at])
            at += 1
            continue
        end = next((place for place in range(at + 1, len(toks)) if toks[place].kind == "RPAR"), None)
        if end is None:
            found.append(replace(toks[at], kind="COMMA"))
            at += 1
            continue
        found += _bracket(toks[at], toks[at + 1 : end], toks[end], found)
        at = end + 1
    return [replace(tok, kind="COMMA") if tok.kind == "RPAR" else tok for tok in found]


def _bracket(left: Tok, inside: list[Tok], right: Tok, before: list[Tok]) -> list[Tok]:
    kinds = {tok.kind for tok in inside}
    named = next((tok for tok in reversed(before) if tok.kind == "MOVE"), None)
    if named is not None and [tok.kind for tok in inside] == ["MOVE"] and inside[0].key == named.key:
        return []  # `press-ups (push-ups)`
    if [tok.kind for tok in inside] == ["LENG"] and [tok.kind for tok in before[-2:]] in COUNTED:
        return [inside[0].to(inside[0], "NOTE", values=(), unit="")]  # `max shuttle runs (10 m)`: how far each is
    if kinds == {"VERSIONS"} and before and before[-1].kind in MAKE_AN_ENTRY:
        return [inside[0].to(inside[-1], "PROSE", values=())]  # `teams of 2 (M/F)`: who they are
    if _says_sides(inside, before):
        return []
    behind_thing = any(tok.kind in ("MOVE", "UNKNOWN") for tok in before)
    if kinds <= BELONGS:
        return [tok for tok in inside if tok.kind != "COMMA"]
    if behind_thing and kinds == {"ALTERNATING"}:
        return [inside[0].to(inside[-1], "NOTE")]
    if behind_thing and "UNKNOWN" in kinds and kinds <= OF_A_NOTE:
        return [inside[0].to(inside[-1], "NOTE")]
    if inside and inside[-1].kind == "ELLIPSIS" and _counts_on(inside):
        return [replace(left, kind="STOP"), *inside, replace(right, kind="STOP")]  # an example of what is said before it
    return [replace(left, kind="COMMA"), *inside, replace(right, kind="COMMA")]


def _counts_on(inside: list[Tok]) -> bool:
    """`3 cleans, 3 dips, 5 cleans … and so on`: several amounts of things, and nothing else."""
    kinds = [tok.kind for tok in inside if tok.kind not in ("COMMA", "AND", "THEN", "ELLIPSIS")]
    return len(kinds) >= LEAST_OF_AN_EXAMPLE and set(kinds[::2]) <= {"COUNT"} and set(kinds[1::2]) <= {"MOVE", "UNKNOWN"}


def _says_sides(inside: list[Tok], before: list[Tok]) -> bool:
    """`20 lunges (10 per leg)`: the same number, told of one side."""
    kinds = [tok.kind for tok in before[-2:]]
    if [tok.kind for tok in inside] != ["BARE", "EACHSIDE"] or kinds != ["COUNT", "MOVE"]:
        return False
    count, side = before[-2].values[0], inside[0].values[0]
    return count.isdigit() and side.isdigit() and int(count) == 2 * int(side)
