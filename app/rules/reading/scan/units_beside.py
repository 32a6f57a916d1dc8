"""Units that mean another thing beside some words: inches of a box, a unit as what is scored, a change of places as a rest."""

from dataclasses import replace

from app.rules.reading.scan.pieces import Tok, rewritten
from app.rules.reading.scan.scanning import tall
from app.rules.reading.things import HELD

NEXT = ("COUNT", "CALS", "LENG", "REPS", "MAX", "DUR", "CAL", "NUM", "SIZE")
THINGS = ("MOVE", "WORD", "UNKNOWN")


GEARS = {
    "barbell": "bar",
    "bar": "bar",
    "kettlebell": "kettlebell",
    "dumbbell": "dumbbell",
    "dumbbells": "dumbbell",
    "ball": "ball",
}


def gear_of_versions(toks: list[Tok]) -> list[Tok]:
    """`Barbell: men 100 kg, women 70 kg`: loads of two versions behind what they are the loads of."""
    if [tok.kind for tok in toks[:3]] != ["WORD", "COLON", "LOAD"] or len(toks[2].values) != 2 or toks[2].key:
        return toks
    gear = GEARS.get(toks[0].text.casefold(), "")
    return [replace(toks[2], key=gear), *toks[3:]] if gear else toks


def loads_named(toks: list[Tok]) -> list[Tok]:
    """`Wall ball: 9 kg`: a load or a height behind what it is for."""
    return [
        tok
        for at, tok in enumerate(toks)
        if not (
            tok.kind == "COLON"
            and 0 < at < len(toks) - 1
            and toks[at - 1].kind == "MOVE"
            and toks[at + 1].kind in ("LOAD", "SIZE", "PAIRNUM")
            and (at == 1 or toks[at - 2].kind in ("STOP", "COMMA"))
        )
    ]


def inches(toks: list[Tok]) -> list[Tok]:
    """The sign of inches is that of seconds too: behind something with a height it is inches."""
    found: list[Tok] = []
    high = False
    for tok in toks:
        if tok.kind == "MOVE":
            high = tall(tok.key)
        found.append(replace(tok, kind="SIZE", unit="IN") if high and tok.kind == "PRIMED" and tok.unit == "DPRIME" else tok)
    return found


BENCHES = ("bench", "benches")


def benches(toks: list[Tok]) -> list[Tok]:
    """`Step-ups (bench, 40 cm)`, `on a 40 cm bench`: beside a height a bench is what is stepped on, and no press."""
    found: list[Tok] = []
    for at, tok in enumerate(toks):
        kinds = [one.kind for one in toks[at + 1 : at + 3]]
        told = kinds[:1] == ["SIZE"] or kinds in (["COMMA", "SIZE"], ["COLON", "SIZE"], ["DASH", "SIZE"])
        if tok.kind == "MOVE" and tok.text.casefold() in BENCHES and (told or (found and found[-1].kind == "SIZE")):
            continue
        parted = (
            tok.kind in ("COMMA", "COLON", "DASH") and at and toks[at - 1].text.casefold() in BENCHES and kinds[:1] == ["SIZE"]
        )
        if not (parted and toks[at - 1].kind == "MOVE"):
            found.append(tok)
    return found


HIGHEST = 6  # metres of a target
BEFORE_HEIGHTS = ("TO", "AT", "SLASH", "COMMA", "TARGET", "LPAR")


def heights(toks: list[Tok]) -> list[Tok]:
    """`20 wall balls 9 kg to 3 m`, `(9 kg / 3 m)`, `to 10'`: behind something that is thrown at a target, how high that is."""
    found: list[Tok] = []
    thrown = False
    for at, tok in enumerate(toks):
        if tok.kind == "MOVE":
            thrown = tall(tok.key) and "ball" in tok.key
        behind = toks[at + 1].kind if at + 1 < len(toks) else ""
        unit = _height(tok)
        told = found and found[-1].kind in (*BEFORE_HEIGHTS, "LOAD") and "LOAD" in [one.kind for one in found[-4:]]
        told = told or [one.kind for one in found[-2:]] in (["MOVE", "TO"], ["MOVE", "TARGET"])  # `wall balls to 3 m`
        if thrown and unit and told and behind not in THINGS and behind not in ("REST", "OFF", "CAP"):
            while found[-1].kind in ("TO", "AT", "SLASH", "TARGET", "COMMA") or (
                found[-1].kind == "PROSE" and found[-1].text == "target"
            ):
                found.pop()
            if [one.kind for one in found[-3:]] == ["MOVE", "COMMA", "LOAD"]:
                del found[-2]
            found.append(replace(tok, kind="SIZE", unit=unit))
        else:
            found.append(tok)
    return found


def above_reach(toks: list[Tok]) -> list[Tok]:
    """`(15 cm above reach)` is no height, and stands as it is said."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        words = [tok.text.casefold() for tok in toks[at + 1 : at + 4]]
        reach = words.index("reach") if words[:1] in (["above"], ["over"]) and "reach" in words else None
        if toks[at].kind == "SIZE" and reach is not None:
            found.append(toks[at].to(toks[at + 1 + reach], "NOTE", values=(), unit=""))
            at += reach + 1
        else:
            found.append(toks[at])
        at += 1
    return found


def _height(tok: Tok) -> str:
    """The unit of what may be a height; empty for another word."""
    if tok.kind == "LENG" and tok.unit == "M" and len(tok.values) == 1 and float(tok.values[0]) <= HIGHEST:
        return "M"
    if tok.kind == "PRIMED" and tok.unit == "PRIME":
        return "FT"
    return tok.unit if tok.kind == "SIZE" and tok.unit in ("FT", "M") else ""


SCORED = {"CAL": "T_CAL", "KG": "T_LOAD", "LB": "T_LOAD", "M": "T_DIST", "SEC": "T_TIME"}


def units_scored(toks: list[Tok]) -> list[Tok]:
    """`Score = kg`, `cals = score`: a unit without a number is what is taken."""
    if not any(tok.kind in ("SCORE", "SCOREOF") for tok in toks):
        return toks
    before, behind = ["", *(tok.kind for tok in toks[:-1])], [*(tok.kind for tok in toks[1:]), ""]
    return [
        replace(tok, kind=SCORED[tok.kind])
        if tok.kind in SCORED and after not in (*THINGS, *SCORED) and above not in ("IN", "LOADSIN")
        else tok
        for tok, above, after in zip(toks, before, behind, strict=True)
    ]


def changing_over(toks: list[Tok]) -> list[Tok]:
    """`1 min changeover` is a rest."""
    kinds = ["", *(tok.kind for tok in toks)]
    return [replace(tok, kind="REST") if kinds[at : at + 2] == ["DUR", "SWITCH"] else tok for at, tok in enumerate(toks)]


ENDS = ("", "COMMA", "STOP", "RPAR", "LPAR")


def capped_by_most(toks: list[Tok]) -> list[Tok]:
    """`Twelve minutes max.`, `max 10 min`: in a sentence in which nothing is done, a cap."""
    found = list(toks)
    for at in range(len(toks) - 1):
        if {toks[at].kind, toks[at + 1].kind} != {"MAX", "DUR"}:
            continue
        begin = next((place for place in range(at, 0, -1) if toks[place - 1].kind == "STOP"), 0)
        end = next((place for place in range(at, len(toks)) if toks[place].kind == "STOP"), len(toks))
        done = any(tok.kind in ("MOVE", "AMRAP", "ON", "OFF", "EVERY") for tok in toks[begin:end])
        behind = toks[at + 2].kind if at + 2 < len(toks) else ""
        if not done and behind in ENDS:
            place = at if toks[at].kind == "MAX" else at + 1
            found[place] = replace(toks[place], kind="CAP")
    held = [any(one.key in HELD for one in toks[max(0, at - 2) : at]) for at in range(len(toks))]
    return [
        replace(tok, kind="MAX")  # `dead hang, max time`
        if held[at] and tok.kind == "CAP" and toks[at].text.casefold() in LONGEST and kind_at(toks, at + 1) in ENDS
        else tok
        for at, tok in enumerate(found)
    ]


LONGEST = ("max time", "maximum time")


def kind_at(toks: list[Tok], at: int) -> str:
    """The kind of the word there; nothing beyond the ends."""
    return toks[at].kind if 0 <= at < len(toks) else ""


def tries_at_most(toks: list[Tok]) -> list[Tok]:
    """`Three attempts at a max deadlift`, `find your max deadlift`: the heaviest."""
    found = list(toks)
    kinds = [tok.kind for tok in toks]
    for at in range(len(toks) - 3):
        if kinds[at : at + 4] == ["ATTEMPTS", "AT", "MAX", "MOVE"]:
            found[at + 1] = replace(toks[at + 1], kind="COMMA")
            found[at + 2] = replace(toks[at + 2], kind="HEAVY")
    before = (["HEAVY", "MAX", "MOVE"], ["HEAVY", "MAX", "COMPLEX"])
    heavy = [at for at in range(1, len(toks) - 1) if kinds[at - 1 : at + 2] in before]
    return [tok for at, tok in enumerate(found) if at not in heavy]  # `find your max snatch`


def back_to(toks: list[Tok]) -> list[Tok]:
    """`Back to the rower`, `go back to 2)`: from there again; before a number of things it only comes next."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        tok, after = toks[at], toks[at + 1] if at + 1 < len(toks) else None
        at += 1
        if tok.kind != "BACKTO":
            found.append(tok)
        elif after is not None and ((after.kind in ("MOVE", "UNKNOWN") and after.key) or after.kind == "BARE"):
            found.append(tok.to(after, "AGAIN", values=after.values, key=after.key))
            at += 1
        elif after is not None and after.kind in NEXT:
            found.append(replace(tok, kind="THEN"))
        else:
            found.append(replace(tok, kind="AGAIN", values=(), key=""))
    return found


OF_SETS = ("SET", "ROUND")


def after_each_set(toks: list[Tok]) -> list[Tok]:
    """`After each set 30 ft handstand walk`, `10 burpees after every round`: work at the end of each of them."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        pair = [tok.kind for tok in toks[at : at + 2]]
        if pair not in [["BETWEEN", one] for one in OF_SETS] or not toks[at].text.casefold().startswith("after"):
            found.append(toks[at])
            at += 1
            continue
        begun, one, at = at, toks[at].to(toks[at + 1], "AFTEREACH", values=()), at + 2
        if [tok.kind for tok in toks[at : at + 3]] in (["LPAR", "BOTH", "RPAR"], ["LPAR", "MEMBERB", "RPAR"]):
            at += 3  # `after every set (of both)`
        before = [tok.kind for tok in found[-2:]]
        while at < len(toks) and toks[at].kind in ("COLON", "COMMA", "DASH") and _amount_of_work(toks[at + 1 :]):
            at += 1
        ends = at == len(toks) or toks[at].kind in ("STOP", "COMMA")
        if _amount_of_work(toks[at:]):
            found.append(one)
        elif ends and _amount_of_work(found[-2:]) and before[-1] in THINGS:
            found.insert(len(found) - 2, one)
        else:
            found += toks[begun:at]
    return found


def _amount_of_work(toks: list[Tok]) -> bool:
    """`30 ft handstand walk`: whether an amount of a thing stands at the beginning."""
    kinds = [tok.kind for tok in toks[:2]]
    return len(kinds) == 2 and kinds[0] in ("NUM", "COUNT", "LENG", "SIZE", "CALS", "REPS") and kinds[1] in THINGS


def most_in_the_rest(toks: list[Tok]) -> list[Tok]:
    """`AMRAP pull-ups in the remaining time`: as many as possible of one thing."""
    found = list(toks)
    for at, tok in enumerate(toks):
        end = next((place for place in range(at, len(toks)) if toks[place].kind == "STOP"), len(toks))
        things = [one for one in toks[at:end] if one.kind in THINGS]
        beside = any(one.kind == "REMAIN" for one in toks) and not any(one.kind in ("COUNT", "DUR") for one in toks[at:end])
        if tok.kind == "AMRAP" and toks[at + 1 : at + 2] == things[:1] and len(things) == 1 and beside:
            found[at] = replace(tok, kind="MAX")
    return found


ENDS_OF_HEATS = ("COMMA", "STOP", "AND", "RPAR")
OF_HEATS = ("lane", "lanes", "heat", "heats", "heats of")


def lanes_told(toks: list[Tok]) -> list[Tok]:
    """`Lanes 1 to 8`, `heats of 8`: who stands where, and no work; not where some lanes do something."""
    found: list[Tok] = []
    for at, tok in enumerate(toks):
        ends = at + 1 == len(toks) or toks[at + 1].kind in ENDS_OF_HEATS
        last = found[-1] if found and ends else None
        numbered = tok.kind in ("NUM", "BARE", "COUNT") or (tok.kind == "SCHEME" and len(tok.values) == 2)
        if last is not None and last.kind == "PROSE" and last.text.casefold() in OF_HEATS and numbered:
            found[-1] = last.to(tok, "PROSE")
        else:
            found.append(tok)
    return found


def worths(toks: list[Tok]) -> list[Tok]:
    """`= 40` is what a line is worth; without a number it stands for a colon."""
    found: list[Tok] = []
    for at, tok in enumerate(toks):
        before = toks[at - 1] if at else None
        if tok.kind == "NUM" and before is not None and before.kind == "EQUALS" and len(tok.values) == 1:
            found[-1] = before.to(tok, "WORTH", values=tok.values)
        else:
            found.append(replace(tok, kind="COLON") if tok.kind == "EQUALS" else tok)
    return found


def of_every_member(toks: list[Tok]) -> list[Tok]:
    """`5 min max cal row each.`, `relay, each: …`: of every member; in `max reps each: …` it says nothing."""
    found: list[Tok] = []
    for at, tok in enumerate(toks):
        alone = tok.kind in ("WORD", "PROSE") and tok.text.casefold() == "each"
        before, follows = toks[at - 1].kind if at else "", kind_at(toks, at + 1)
        if alone and (before, follows) == ("MAX", "COLON"):
            continue
        of_all = alone and before in BEFORE_EACH and follows in ENDS_EACH
        found.append(replace(tok, kind="EACHDOES") if of_all else tok)
    return found


ENDS_EACH = ("", "COLON", "COMMA", "STOP", "RPAR")
BEFORE_EACH = ("MAX", "MOVE", "LOAD", "RELAY", "TEAMS", "PAIR", "COMMA")


UNDONE = ("missed", "missing", "remaining", "unfinished", "incomplete", "left", "undone", "not")
OF_A_PENALTY = ("per", "for", "each", "every", *UNDONE)


def penalties(toks: list[Tok]) -> list[Tok]:
    """`cap 9 min (+1 s per rep)`, `1 sec per missed rep`: what every repetition that is left adds to the cap."""
    return rewritten(toks, _penalty)


def _penalty(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    plus = kind_at(toks, at) == "PLUS"
    told = at + plus
    if kind_at(toks, told) != "DUR" or len(toks[told].values) != 1:
        return None
    place, undone, per = told + 1, False, False
    while place < len(toks) and (toks[place].text.casefold() in OF_A_PENALTY or toks[place].kind == "REP"):
        undone = undone or toks[place].text.casefold() in UNDONE
        per = per or toks[place].text.casefold() in ("per", "each", "every")
        place += 1
    reps = [one for one in toks[told + 1 : place] if one.kind == "REP"]
    if len(reps) != 1 or not per or not (plus or undone):
        return None
    return [toks[at].to(toks[at], "CAPADDS", values=()), toks[told]], place


def minutes_behind(toks: list[Tok]) -> list[Tok]:
    """`A: max cal row in minutes 1, 3, 5`: which windows they are, told behind what is done in them."""
    stop = len(toks) - 1 if kind_at(toks, len(toks) - 1) == "STOP" else len(toks)
    minutes = [place for place, tok in enumerate(toks) if tok.kind == "MINUTE"]
    if minutes != [stop - 1] or not toks[stop - 1].values or not any(tok.kind == "MOVE" for tok in toks):
        return toks
    begins = 2 if kind_at(toks, 1) == "COLON" and toks[0].kind.startswith(("MEMBER", "LETTER")) else 0
    begins = 1 if not begins and toks[0].kind.startswith("MEMBER") else begins
    if any(tok.kind in ("STOP", "DUR") for tok in toks[begins : stop - 1]):
        return toks
    return [*toks[:begins], toks[stop - 1], *toks[begins : stop - 1], *toks[stop:]]
