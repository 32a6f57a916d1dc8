"""Work and rest of windows in other words: a rest told as easy work, without its unit, as the last minute of each round."""

import re
from collections.abc import Sequence
from dataclasses import replace

from app.rules.reading.scan.frames.as_written import as_written
from app.rules.reading.scan.pieces import Tok, in_small, rewritten

RESTS = ("REST", "OFF")
OFTEN = ("TIMES", "ROUNDS", "SETS", "WINDOWS")
MOST_BARE = {60: 5, 1: 90}  # minutes and seconds of a rest that has the unit of the work beside it
LEAST_MINUTES = 2
THINGS = re.compile(r"(?:exercises|movements|things|stations)", re.IGNORECASE)
EASY = re.compile(r"(?:easy|light|slow|gentle)(?: \w+)?", re.IGNORECASE)
UNCOUNTED = ("doesn't", "does not", "not", "count", "counted", "(", ")", ",")


def number_of_things(toks: Sequence[Tok]) -> list[Tok]:
    """`3 exercises, 3 rounds`, where work and rest of windows are told: as many stations."""
    found = list(toks)
    for at in range(len(toks) - 1):
        one, two = toks[at : at + 2]
        if one.kind in ("BARE", "COUNT") and two.kind in ("UNKNOWN", "PROSE") and THINGS.fullmatch(two.text):
            found[at], found[at + 1] = replace(one, kind="BARE"), replace(two, kind="STATIONS", key="", within=(0, 0))
    return found


def easy(toks: Sequence[Tok]) -> list[Tok]:
    """`1 min easy spinning (doesn't count) in between`: a rest."""

    def rest(line: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        if [tok.kind for tok in line[at : at + 2]] != ["DUR", "PROSE"] or not EASY.fullmatch(line[at + 1].text):
            return None
        place = at + 2
        while place < len(line) and in_small(line[place].text) in UNCOUNTED:
            place += 1
        told = place < len(line) and line[place].kind == "BETWEEN"
        return ([line[at], line[at + 1].to(line[place], "OFF", values=(), key="")], place + 1) if told else None

    return rewritten(list(toks), rest) if any(tok.kind == "BETWEEN" for tok in toks) else list(toks)


def without_amrap(toks: list[Tok]) -> list[Tok]:
    """`Each AMRAP: 10 pull-ups, 20 push-ups`, where several were told before: what is done in each of them."""
    each = toks[0].text.casefold() in ("each", "every") and [tok.kind for tok in toks[1:3]] == ["AMRAP", "COLON"]
    return toks[3:] if each and len(toks) > LEAST_OF_EACH else toks


LEAST_OF_EACH = 3  # words: `each`, `AMRAP` and the sign


def in_turn(toks: Sequence[Tok]) -> list[Tok]:
    """`10 rounds of 30/30: max cal bike`: so many times."""

    def times(line: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        behind = line[at + 2].kind if at + 2 < len(line) else ""
        pair = [tok.kind for tok in line[at : at + 2]] == ["ROUNDS", "PAIRNUM"] and behind in (
            "",
            "COLON",
            "COMMA",
            "STOP",
            "MAX",
        )
        return ([replace(line[at], kind="TIMES"), line[at + 1]], at + 2) if pair else None

    return rewritten(list(toks), times) if any(tok.kind == "PAIRNUM" for tok in toks) else list(toks)


def for_so_long(text: str, toks: Sequence[Tok]) -> Sequence[Tok]:
    """`30 sec work, 15 sec rest, for 6 minutes`: so often as both fit into it."""
    times = [tok for tok in toks if tok.kind == "DUR" and len(tok.values) == 1]
    told = {"ON", *RESTS} & {tok.kind for tok in toks}
    if len(times) != len(WORK_REST_ALL) or "ON" not in told or len(told) == 1 or any(tok.kind in OFTEN for tok in toks):
        return toks
    work, rest, all_of_it = (int(tok.values[0]) for tok in times)
    last = times[-1]
    said = text[: last.start].casefold().split()[-1:] == ["for"]
    often, over = divmod(all_of_it, work + rest)
    if not said or over or often < LEAST_OFTEN:
        return toks
    return [replace(tok, kind="TIMES", values=(str(often),)) if tok is last else tok for tok in toks]


WORK_REST_ALL, LEAST_OFTEN = ("work", "rest", "all of it"), 2


def rest_for_as_long_a_unit(text: str, toks: Sequence[Tok]) -> Sequence[Tok]:
    """`Work for twenty-five seconds and rest for fifteen`: in the unit of the work."""
    for at, tok in enumerate(toks[:-1]):
        bare = toks[at + 1]
        works = [one for one in toks[:at] if one.kind == "DUR" and len(one.values) == 1]
        told = tok.kind in RESTS and bare.kind == "BARE" and text[tok.start : bare.start].casefold().split()[-1:] == ["for"]
        if not told or len(works) != 1 or len(bare.values) != 1 or not bare.values[0].isdigit() or ":" in works[0].text:
            continue
        each = 60 if "min" in works[0].text.casefold() else 1
        if int(bare.values[0]) <= MOST_BARE[each]:
            rest = replace(bare, kind="DUR", values=(str(int(bare.values[0]) * each),))
            return [*toks[: at + 1], rest, *toks[at + 2 :]]
    return toks


def most_of_a_thing(toks: Sequence[Tok]) -> list[Tok]:
    """`SkiErg, max calories`, `push-ups, max reps`, all that is left of a sentence: as many as possible of it."""
    plain = [tok for tok in toks if tok.kind != "COMMA"]
    kinds = [tok.kind for tok in plain]
    if kinds[:2] == ["MOVE", "MAX"] and kinds[2:] in ([], ["CAL"], ["M"], ["T_CAL"], ["T_DIST"]):
        return [*plain[1:], plain[0]]
    return list(toks)


WORKS = r"(?:works?|intervals?|windows?|pieces?|bouts?|efforts?|blocks?|sets?|rounds?|stretches|runs?)"
A_REST = r"(?:rest|pause|break|recovery)"
LONG_AND_REST = re.compile(
    rf"(?:each|every) {WORKS} (?:is|lasts|takes|goes)(?: (?:during|for|on))? <DUR> ?,? (?:and |then )*(?:after|between|behind)"
    rf" (?:each|every|the|any)(?: {WORKS})?(?: there (?:is|are|comes|follows)| comes| follows| you have| we have)?(?: an?)?"
    rf"(?: {A_REST})?(?: of)? <DUR>(?: (?:of )?{A_REST})?"
)
HOW_MANY = re.compile(
    r"(?:the )?(?:event|workout|test|competition|discipline) (?:has|have|is|consists of|is made of) (?:<BARE>|<COUNT>) works"
)
A_ROUND = r"(?:each|every|a|one) (?:round|set|of them)"
LAST_RESTS = re.compile(
    rf"(?:<ROUNDS>|<SETS>|<TIMES>) ?,? {A_ROUND} (?:is|lasts|takes) <DUR>(?: on the clock| long)* ?,? and the"
    r" (?P<nth>last|second|third|fourth|fifth) minute (?:of|in) (?:each|every|it)(?: (?:round|set|one))?"
    rf" is (?:your |the |for |a |to )?{A_REST}(?: ?:)?"
)
BETWEEN = re.compile(
    rf"(?:and )?(?:in )?between (?:(?:the|any two|two|each of the) )?(?P<what>{WORKS}|stations|them)"
    r"(?: (?:you|we|they|there is|there are|you have|you get))?(?: (?:rest|recover|pause))?(?: for)?(?: an?)?"
    rf" <DUR>(?: of)?(?: {A_REST})?"
)
NTH_OF_A_ROUND = {"second": 2, "third": 3, "fourth": 4, "fifth": 5}


def work_and_rest(text: str, toks: Sequence[Tok]) -> list[Tok] | None:
    """`Each work is during 40 seconds and after each work there is a pause of 20`, `a round is 3 minutes and the third minute of
    each is your rest`; None for another sentence."""
    numbers = [tok for tok in toks if tok.values]
    if any(len(tok.values) != 1 for tok in numbers) or len(numbers) not in (1, 2) or any(tok.key for tok in toks):
        return None
    said = as_written(text, toks)
    last, times = toks[-1], [tok for tok in numbers if tok.kind == "DUR"]
    on, off = (last.to(last, kind, values=(), key="") for kind in ("ON", "OFF"))
    if LONG_AND_REST.fullmatch(said) and len(times) == 2:
        return [times[0], on, times[1], off]
    if (told := BETWEEN.fullmatch(said)) is not None and len(times) == 1 == len(numbers):
        rounds = [last.to(last, "ROUND", values=(), key="")] if told["what"].startswith("round") else []
        return [last.to(last, "REST", values=(), key=""), times[0], last.to(last, "BETWEEN", values=(), key=""), *rounds]
    if HOW_MANY.fullmatch(said):
        return [numbers[0].to(last, "WINDOWS", key="")]
    if (told := LAST_RESTS.fullmatch(said)) is not None:
        minutes = int(times[0].values[0]) // 60
        if int(times[0].values[0]) % 60 or NTH_OF_A_ROUND.get(told["nth"], minutes) != minutes or minutes < LEAST_MINUTES:
            return None
        work = replace(times[0], values=(str((minutes - 1) * 60),))
        colon = [last] if last.kind == "COLON" else []
        return [replace(numbers[0], kind="TIMES"), work, on, replace(times[0], values=("60",)), off, *colon]
    return None
