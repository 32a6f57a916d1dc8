"""Kinds of words of the grammar, by what they may do in talk."""

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
