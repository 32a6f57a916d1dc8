"""Brackets in a line of a workout: `(43 kg)`, `(cap 12)`, `(unbroken)`."""

import re
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.scan.pieces import NTH, Tok, in_small

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
WORDS_OR_NUMBERS = re.compile(r"\d+|[^\W\d_]+(?:['’][^\W\d_]+)*")
OF_SIDES = {
    "that's",
    "that",
    "is",
    "so",
    "per",
    "each",
    "arm",
    "leg",
    "side",
    "hand",
    "altogether",
    "total",
    "in",
    "all",
    "reps",
    ",",
}
OF_MINUTES = {"the", "one", "ones", "and", "so", "on", "etc", "minute", "minutes", "min"}
ONCE = (
    ["only"],
    ["just"],
    ["only once"],
    ["just once"],
    ["not", "every round"],
    ["not", "each round"],
    ["not", "in every round"],
)
MUCH = {"twice", "thrice", "half", "double", "doubled", "triple", "halved", "again"}
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
    head = before[-1].kind if before else ""
    if head in ("ODD", "EVEN") and any(tok.values for tok in inside):
        numbers = _minutes(inside, head == "ODD")
        if not numbers:
            return [left.to(right, "SIGN", values=inside[0].values)]
        if not any(tok.kind == "ELLIPSIS" for tok in inside):  # these, and no others
            before[-1] = before[-1].to(right, "MINUTE", values=numbers)
        return []
    if head == "BUYIN" and _says_once(inside):
        return []
    behind_thing = any(tok.kind in ("MOVE", "UNKNOWN") for tok in before)
    if kinds <= BELONGS:
        return [tok for tok in inside if tok.kind != "COMMA"]
    if behind_thing and kinds == {"ALTERNATING"}:
        return [inside[0].to(inside[-1], "NOTE")]
    if behind_thing and "UNKNOWN" in kinds and kinds <= OF_A_NOTE and not _says_how_much(inside):
        return [inside[0].to(inside[-1], "NOTE")]
    if inside and ((inside[-1].kind == "ELLIPSIS" and _counts_on(inside)) or _counts_down(inside)):
        return [replace(left, kind="STOP"), *inside, replace(right, kind="STOP")]  # an example of what is said before it
    return [replace(left, kind="COMMA"), *inside, replace(right, kind="COMMA")]


def _says_how_much(inside: list[Tok]) -> bool:
    """`10 sit-ups (twice)`, `burpees (half)`: another amount, and no note."""
    return any(word in MUCH for tok in inside for word in WORDS_OR_NUMBERS.findall(tok.text.casefold()))


def _counts_on(inside: list[Tok]) -> bool:
    """`3 cleans, 3 dips, 5 cleans … and so on`: several amounts of things, and nothing else."""
    kinds = [tok.kind for tok in inside if tok.kind not in ("COMMA", "AND", "THEN", "ELLIPSIS")]
    return len(kinds) >= LEAST_OF_AN_EXAMPLE and set(kinds[::2]) <= {"COUNT"} and set(kinds[1::2]) <= {"MOVE", "UNKNOWN"}


def _counts_down(inside: list[Tok]) -> bool:
    """`8 of each, then 6 of each, then 4 of each`: several numbers, and nothing else."""
    numbers = [tok for tok in inside if tok.kind == "BARE"]
    return len(numbers) > 1 and all(tok.kind in ("BARE", "COMMA", "THEN", "AND", "STOP", "ELLIPSIS") for tok in inside)


def _says_sides(inside: list[Tok], before: list[Tok]) -> bool:
    """`20 lunges (10 per leg)`, `20 snatches, 22.5 kg (that's 10 per arm, 20 altogether)`: the same number, told of one side."""
    thing = next((at for at in range(len(before) - 1, 0, -1) if before[at].kind == "MOVE"), 0)
    count = before[thing - 1] if thing and {tok.kind for tok in before[thing + 1 :]} <= BELONGS else None
    if (
        count is None
        or count.kind != "COUNT"
        or not count.values[0].isdigit()
        or not any(tok.kind == "EACHSIDE" for tok in inside)
    ):
        return False
    numbers = [value for tok in inside for value in tok.values]
    words = {word for tok in inside for word in in_small(tok.text).split() if not word.isdigit()}
    half = [str(int(count.values[0]) // 2)] if int(count.values[0]) % 2 == 0 else []
    return numbers in (half, [*half, count.values[0]]) and bool(half) and words <= OF_SIDES


def _minutes(inside: list[Tok], odd: bool) -> tuple[str, ...]:
    """`Odd minutes (1, 3, 5)`, `the odd minutes (the first one, the third one and so on)`: which they are; none where they are
    not odd, or even, or more is said."""
    told = [tok.text if tok.text.casefold() in OF_MINUTES else " ".join(tok.values) or tok.text for tok in inside]
    words = [word for said in told for word in WORDS_OR_NUMBERS.findall(said.casefold())]
    numbers = [int(word) if word.isdigit() else NTH.index(word) + 1 for word in words if word.isdigit() or word in NTH]
    rising = all(one < two for one, two in pairwise(numbers)) and all(number % 2 == odd for number in numbers)
    plain = rising and all(word.isdigit() or word in NTH or word in OF_MINUTES for word in words)
    return tuple(map(str, numbers)) if plain else ()


def _says_once(inside: list[Tok]) -> bool:
    """`Buy-in (only once, not every round!)`: so it is."""
    said = [[tok.text.casefold() for tok in clause] for clause in _clauses(inside)]
    return bool(said) and all(clause in ONCE for clause in said)


def _clauses(toks: list[Tok]) -> list[list[Tok]]:
    clauses: list[list[Tok]] = [[]]
    for tok in toks:
        if tok.kind in ("COMMA", "STOP"):
            clauses.append([])
        else:
            clauses[-1].append(tok)
    return [clause for clause in clauses if clause]
