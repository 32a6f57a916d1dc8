"""Kinds of words of the grammar, by what they may do in talk."""

from itertools import pairwise

from app.rules.reading.scan.pieces import NTH, Tok

# With one of these something is done.
DONE = {
    "SCHEME",
    "LOAD",
    "PAIRNUM",
    "AMRAP",
    "FORTIME",
    "EMOM",
    "ROUNDS",
    "WINDOWS",
    "SETS",
    "MAX",
    "CAP",
    "REPS",
    "CALS",
    "LENG",
}
# Kinds of words that carry nothing by themselves, with nothing that is done beside them; and those that a standard may hold.
HARMLESS = {
    *(
        "UNKNOWN",
        "PROSE",
        "COLON",
        "COMMA",
        "QUOTE",
        "DPRIME",
        "PRIME",
        "NOTE",
        "AND",
        "MEMBERA",
        "MEMBERB",
        "BOTH",
        "ALLTOGETHER",
    ),
    *(
        "NOREP",
        "OFF",
        "ON",
        "PLUS",
        "SLASH",
        "AT",
        "DASH",
        "SIGN",
        "ASKS",
        "MIN",
        "THEN",
        "LB",
        "KM",
        "TARGET",
        "EACHSIDE",
        "NOTED",
    ),
    *("STOP", "REP", "SOLO", "LPAR", "RPAR", "BAR", "IN", "M"),
}
OF_AN_ASIDE = {
    *(
        "UNKNOWN",
        "PROSE",
        "COMMA",
        "COLON",
        "AND",
        "STOP",
        "ON",
        "OFF",
        "AT",
        "IN",
        "TO",
        "DASH",
        "QUOTE",
        "SLASH",
        "ASKS",
        "NOTE",
    ),
    *("LPAR", "RPAR", "PRIME", "DPRIME", "M", "YD", "FT", "MI"),
}
OF_A_STANDARD = HARMLESS | {"MOVE", "HOLD", "UNBROKEN", "SYNC", "COMPLEX", "SCORE", "PERTRY", "EVERY", "EACHMIN"}
NUMBER_KINDS = ("BARE", "COUNT", "DUR", "TIMES")
# A time in a row behind one of these is an hour; with one of the kinds below something is done in a heat.
ROWS_OF_HOURS = {
    *("heat", "heats", "briefing", "doors", "gates", "lunch", "warmup", "registration", "prizes", "podium"),
    *("start", "arrival"),
}
DONE_IN_HEATS = {
    *("AMRAP", "FORTIME", "EMOM", "CAP", "MAX", "REPS", "CALS", "LOAD", "ROUNDS", "SETS"),
    *("WINDOWS", "HEAVY", "RM", "NRM", "SCORE", "REST", "ON", "OFF", "LIFTRULES", "EACHLIFT"),
    *("GROWS", "SPLIT", "RELAY", "MISSESOUT", "CAPADDS", "BUYIN", "CASHOUT", "LADDER"),
}
PARTNERS = {"partner", "partners"}
EACH = {"every", "each"}
# Kinds of words with which a note or a standard says something by itself.
OF_WEIGHT = {
    *("LOAD", "DUR", "PRIMED", "SPAN", "CAP", "AMRAP", "FORTIME", "EMOM", "RX", "SCALED", "MEN", "WOMEN", "TIE", "TEAMS"),
    *("PAIR", "TRIO", "VERSIONS", "CALS", "ROUNDS", "SCHEME", "SPLIT", "TURNS", "REST"),
}


def weighs(toks: list[Tok], note: bool) -> bool:
    """Whether a note or a standard says what is done, how long, with what, for whom or what counts: then it is read."""
    kinds = {tok.kind for tok in toks if tok.text.casefold() not in PARTNERS}
    scored = "SCORE" in kinds and (note or any(kind.startswith("T_") for kind in kinds))
    return bool(kinds & OF_WEIGHT) or scored


def without_moves(said: str, toks: list[Tok]) -> str:
    """The text of some words without the names of movements."""
    left, start = list(said), toks[0].start if toks else 0
    for tok in toks:
        begins, ends = tok.within if tok.key and tok.kind == "UNKNOWN" else (tok.start, tok.end)
        if tok.key:
            left[begins - start : ends - start] = " " * (ends - begins)
    return "".join(left)


def travels(tok: Tok) -> bool:
    """`The bus runs every hour`."""
    return tok.text.casefold() in ("runs", "run", "rides", "walk", "walks")


def clock_behind(words: list[str], place: int) -> bool:
    """Whether a time stands in a row of times of the day: `Heats 8:30, 8:50, 9:10`."""
    before = words[place - 1] if place else ""
    return ":" in words[place] and not before.startswith("0:") and (":" in before or before in ROWS_OF_HOURS or len(before) == 1)


def of_some(words: list[str]) -> bool:
    """`Every third one`."""
    return any(word in EACH and after in (*NTH, "other") for word, after in pairwise(words))
