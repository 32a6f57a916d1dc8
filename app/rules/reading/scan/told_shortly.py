"""Sentences that leave out what the line before has, or tell scores part by part: said to the grammar in full."""

import re
from dataclasses import replace

from app.rules.reading.scan.pieces import Tok, plain

WORDS = re.compile(r"[^\W\d_]+")
COUNTS = {
    **dict.fromkeys(("rep", "reps", "repetition", "repetitions"), "T_REPS"),
    **dict.fromkeys(("kg", "kilos", "kilograms", "lb", "lbs", "pounds", "load", "weight", "heaviest"), "T_LOAD"),
    **dict.fromkeys(("cal", "cals", "calories"), "T_CAL"),
    **dict.fromkeys(("metres", "meters", "distance"), "T_DIST"),
    "time": "T_TIME",
}
OF_PARTS = {
    "is",
    "are",
    "in",
    "by",
    "the",
    "for",
    "of",
    "part",
    "a",
    "b",
    "c",
    "scored",
    "score",
    "counts",
    "counted",
    "measured",
}
OF_PARTS |= {"ranked", "and", "its", "one", "two", "three", "on", "your", "total", "completed", "lifted"}
OF_PARTS |= {"scores", "separately", "first", "second", "third", "there", "have", "you", "get"}
NTH_PARTS = ("first", "second", "third")
LEAST_PARTS = 2
IN_ORDER = "in order"  # the unit of a score that is that of the part at its place
NOT_DONE = {"finish", "finished", "make", "reach"}
OF_THE_TIME = {
    "score",
    "result",
    "is",
    "your",
    "the",
    "time",
    "or",
    "reps",
    "rep",
    "repetitions",
    "number",
    "of",
    "you",
    "got",
    "get",
    "did",
}
OF_THE_TIME |= {
    "if",
    "don",
    "t",
    "dont",
    "do",
    "not",
    "finish",
    "finished",
    "done",
    "completed",
    "who",
    "does",
    "doesn",
    "make",
    "it",
    "at",
}
OF_THE_TIME |= {"reach", "how", "many", "a", "total", "when", "cap", "with", "in", "all", "them", "those", "that", "have"}


def rung(toks: list[Tok], last: Tok | None) -> list[Tok] | None:
    """`8 @ 60 kg` below `clean ladder`: so many of what was named last; None for another line."""
    kinds = [tok.kind for tok in toks]
    if last is None or kinds not in (["BARE", "AT", "LOAD"], ["REPS", "AT", "LOAD"], ["REPS", "LOAD"]):
        return None
    first = toks[0]
    thing = replace(last, start=first.end, end=first.end, text="")
    return [replace(first, kind="COUNT"), thing, *toks[1:]]


def scores_of_parts(text: str, toks: list[Tok]) -> list[Tok] | None:
    """`Part A is scored in reps, part B in kg.`, `two scores: the reps of the first part and the load of the second`: a score for
    each part, in its order; None for another sentence."""
    words = [word.casefold() for word in WORDS.findall(text[toks[0].start : toks[-1].end])]
    parts = sum(tok.kind == "PART" for tok in toks) or sum(word in NTH_PARTS for word in words)
    numbers = {value for tok in toks for value in tok.values}
    if parts < LEAST_PARTS or not numbers <= {str(parts)} or any(tok.key for tok in toks):
        return None
    takes = [COUNTS[word] for word in words if word in COUNTS]
    scored = {"scored", "score", "scores", "counts", "counted", "ranked", "measured"} & set(words)
    in_order = [word for word in words if word in NTH_PARTS] in ([], list(NTH_PARTS[:parts]))
    if not scored or len(takes) != parts or not in_order or any(word not in COUNTS and word not in OF_PARTS for word in words):
        return None
    labels = [plain(tok) for tok in toks if tok.kind == "PART"]
    return _part_by_part(toks[0], takes, IN_ORDER if labels == sorted(labels) else "")


def _part_by_part(first: Tok, takes: list[str], order: str) -> list[Tok]:
    """A score of each part, and whether they are told in the order of the parts."""
    told = [first.to(first, kind, values=(), key="", unit="") for take in takes for kind in ("SCOREOF", take)]
    return [replace(tok, unit=order) if tok.kind == "SCOREOF" else tok for tok in told]


BY_LETTERS = re.compile(r"(?:[A-D]\s*[=:]\s*(?:max|total|heaviest|best)?\s*[a-z]+\s*[,;/]?\s*(?:and\s+)?)+", re.IGNORECASE)
OF_A_LETTER = re.compile(r"([A-D])\s*[=:]\s*(?:max|total|heaviest|best)?\s*([a-z]+)", re.IGNORECASE)


def scores_by_letters(text: str, toks: list[Tok]) -> list[Tok] | None:
    """`A = kg, B = reps`, a line of its own: what counts of each part, by its letter; None for another line."""
    begins, ends = text.rfind("\n", 0, toks[0].start) + 1, text.find("\n", toks[-1].end)
    line = text[begins : ends if ends >= 0 else len(text)].strip(" .")
    told = OF_A_LETTER.findall(line) if BY_LETTERS.fullmatch(line) else []
    takes = [COUNTS.get(word.casefold(), "") for _, word in told]
    if len(told) < LEAST_PARTS or not all(takes) or [letter.upper() for letter, _ in told] != list("ABCD"[: len(told)]):
        return None
    return _part_by_part(toks[0], takes, IN_ORDER)


def time_or_repetitions(text: str, toks: list[Tok]) -> list[Tok] | None:
    """`Score: your time, or the reps you got if you don't finish`: for time, and who is stopped by the cap is ranked by work."""
    kinds = {tok.kind for tok in toks}
    words = [word.casefold() for word in WORDS.findall(text[toks[0].start : toks[-1].end].replace("’", "'"))]
    told = "SCORE" in kinds and "T_TIME" in kinds and "or" in words and set(words) & NOT_DONE
    if not told or any(tok.values for tok in toks) or any(word not in OF_THE_TIME for word in words):
        return None
    return [toks[0].to(toks[0], "SCORE"), next(tok for tok in toks if tok.kind == "T_TIME")]


OF_A_CAP = {
    *("who", "does", "do", "not", "don", "doesn", "didn", "t", "if", "you", "they", "those", "that", "anyone"),
    *("everyone", "whoever", "athletes", "athlete", "teams", "pairs", "finish", "finished", "finishes"),
    *("unfinished", "within", "inside", "in", "at", "the", "a", "cap", "capped", "get", "gets", "time", "score"),
    *("result", "your", "is", "it", "are", "and", "plus", "with", "be"),
}


def of_the_cap(text: str, toks: list[Tok]) -> list[Tok] | None:
    """`Athletes who do not finish within the cap get the cap time plus one second for every missing rep.`"""
    at = next((place for place, tok in enumerate(toks) if tok.kind == "CAPADDS"), None)
    if at is None or [tok.kind for tok in toks[at : at + 2]] != ["CAPADDS", "DUR"]:
        return None
    others = [*toks[:at], *toks[at + 2 :]]
    words = [word.casefold() for tok in others for word in WORDS.findall(text[tok.start : tok.end])]
    capped = [tok for tok in toks[:at] if tok.kind == "DUR" and len(tok.values) == 1]  # `if capped: 9:00 plus a second …`
    plain = all((not tok.values or tok in capped) and not tok.key and tok.kind != "TIE" for tok in others)
    if not plain or not words or len(capped) > 1 or not all(word in OF_A_CAP for word in words):
        return None
    told = [toks[0].to(toks[0], "CAP", values=()), capped[0], toks[at].to(toks[at], "COMMA", values=())] if capped else []
    return [*told, *toks[at : at + 2]]


OF_ALL = "of all"  # the unit of a number that is the most that anybody can do


def most_of_all(clause: list[Tok]) -> list[Tok] | None:
    """`Total reps (max 84)`: the most that anybody can do, which is compared with what is asked for."""
    if [tok.kind for tok in clause] != ["MAX", "BARE"] or len(clause[1].values) != 1:
        return None
    return [clause[0].to(clause[1], "CLAIM", values=clause[1].values, unit=OF_ALL)]


HOW_MUCH = {"far": ("MAX", "M"), "many": ("MAX",), "calories": ("MAX", "CAL"), "cals": ("MAX", "CAL"), "heavy": ("HEAVY",)}
OF_A_QUESTION = {"how", "far", "many", "heavy", "calories", "cals", "reps", "can", "do", "you", "in", "get", "on", "the", "a"}


def asked_for(text: str, toks: list[Tok]) -> list[Tok] | None:
    """`How far can you row in 4 minutes?`: as far as possible in that time; None for another question."""
    moves, times = [tok for tok in toks if tok.kind == "MOVE"], [tok for tok in toks if tok.kind == "DUR"]
    if len(moves) != 1 or len(times) != 1 or any(tok.values for tok in toks if tok not in times):
        return None
    left = [text[tok.start : tok.end] for tok in toks if tok not in (*moves, *times)]
    words = [word.casefold() for said in left for word in WORDS.findall(said)]
    told = next((HOW_MUCH[word] for word in ("calories", "cals", "far", "heavy", "many") if word in words), None)
    if told is None or words[:1] != ["how"] or not set(words) <= OF_A_QUESTION:
        return None
    first = toks[0]
    return [times[0], *(first.to(first, kind, values=(), key="") for kind in told), moves[0]]


def question_apart(text: str, sentence: list[Tok]) -> list[list[Tok]]:
    """A sentence at a question mark in it, where the question says what is done."""
    at = next((place for place, tok in enumerate(sentence) if tok.kind == "ASKS"), len(sentence))
    if not sentence[at + 1 :] or asked_for(text, sentence[: at + 1]) is None:
        return [sentence]
    return [sentence[: at + 1], sentence[at + 1 :]]


def without_letters(toks: list[Tok]) -> list[Tok]:
    """`Total of A + B + C`: what is added up are the parts, as many as letters."""
    summed = next((at for at, tok in enumerate(toks) if tok.kind == "T_SUM"), None)
    if summed is None:
        return toks
    at, letters = summed + 1, "A" if toks[summed + 1 : summed + 2] and toks[summed + 1].kind == "PLUS" else ""
    while at < len(toks) and (toks[at].kind == "PLUS" or (toks[at].text in "ABCDEF" and len(toks[at].text) == 1)):
        letters += "" if toks[at].kind == "PLUS" else toks[at].text
        at += 1
    if len(letters) < LEAST_PARTS or not "ABCDEF".startswith(letters):
        return toks
    claim = toks[summed].to(toks[at - 1], "CLAIM", values=(str(len(letters)),))
    return [*toks[: summed + 1], claim, *toks[at:]]


def unit_alone(toks: list[Tok]) -> list[Tok] | None:
    """`Kilograms.`: in which unit loads are."""
    return [toks[0].to(toks[0], "LOADSIN"), toks[0]] if [tok.kind for tok in toks] in (["KG"], ["LB"]) else None


MORE_TIMES = {
    **dict.fromkeys(("one more time", "once more", "once again", "a second time", "twice", "two times", "one more round"), 2),
    **dict.fromkeys(("three times", "two more times", "twice more"), 3),
    **dict.fromkeys(("four times", "three more times"), 4),
}
OF_ALL_OF_IT = {
    *(
        "and",
        "then",
        "you",
        "we",
        "they",
        "do",
        "does",
        "go",
        "goes",
        "through",
        "repeat",
        "repeats",
        "of",
        "it",
        "that",
        "this",
        "so",
    ),
    *(
        "see",
        "everything",
        "all",
        "the",
        "whole",
        "thing",
        "lot",
        "above",
        "in",
        "total",
        "altogether",
        "round",
        "now",
        "just",
        "is",
    ),
    *("done", "a", "i", "is"),
}


def all_again(text: str, toks: list[Tok]) -> list[Tok] | None:
    """`Then you do all of that one more time, so you see everything twice`: how often all of it is done."""
    every = next((tok for tok in toks if tok.kind == "ALLOFIT"), None)
    if every is None or any(tok.key for tok in toks):
        return None
    said = f" {' '.join(WORDS.findall(text[toks[0].start : toks[-1].end].casefold()))} "
    counts = set()
    for phrase in sorted(MORE_TIMES, key=len, reverse=True):
        if f" {phrase} " in said:
            counts.add(MORE_TIMES[phrase])
            said = said.replace(f" {phrase} ", " ")
    if len(counts) != 1 or not set(said.split()) <= OF_ALL_OF_IT:
        return None
    return [every, toks[-1].to(toks[-1], "TIMES", values=(str(counts.pop()),), key="")]
